"""Load the demo scenario of fixtures/demo.json through the services that pages use. Loading twice changes nothing."""

from datetime import date, datetime, time, timedelta

from django.db import transaction
from django.utils import timezone

from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.engine.room import lay_out
from layout.engine.switching import Switched
from layout.engine.ways import words
from layout.engine.ways.out import ways_of
from layout.inputs import inputs_of
from layout.models import WayTaken
from layout.offers.taking import take_way
from layout.offers.ways import names_of
from layout.services import approve_revision, change_draft, draft_of, issue_revision
from projects.accounts.models import Shop
from projects.accounts.services import add_person
from projects.catalogue.models import FixtureType
from projects.catalogue.services import stock_catalog, verify_cutout
from projects.catalogue.tables import demo, layers, read_length
from projects.jobs import services
from projects.jobs.models import Room
from projects.jobs.queries import room_of
from projects.stages.services import hold_all, take_over
from reports.demo.bids import enter_bids
from reports.demo.ceilings import enter_ceiling
from reports.demo.changes import enter_changes
from reports.demo.checks import enter_checks
from reports.demo.days import enter_days
from reports.demo.light import enter_light
from reports.demo.marks import enter_marks
from reports.demo.material import enter_material
from reports.demo.photos import enter_photos
from reports.demo.prices import enter_prices
from reports.demo.sound import enter_sound
from reports.demo.stages import enter_stages
from reports.demo.trash import enter_trash
from reports.demo.wiring import enter_circuits, enter_controls, enter_pulls
from reports.services import log_copy

PASSWORD = "plumb-and-square"  # the demo listens on this machine only
STAGE_CARD_IS_PRINTED = 4  # released to the field
SIDES = ("door", "left", "far", "right")


class Scenario:
    """The demo as data, with its dates moved so that it looks like today."""

    def __init__(self, data, today):
        self.data = data
        self.shift = today - date.fromisoformat(data["as_of"])
        self.people = {}
        self.types = {}

    def day(self, text):
        return date.fromisoformat(text) + self.shift if text else None

    def moment(self, text, hour=15):
        return timezone.make_aware(datetime.combine(self.day(text), time(hour)))


@transaction.atomic
def load():
    """The demo's shop, loaded if it was not there."""
    data = demo()
    found = Shop.objects.filter(name=data["shop"]["name"]).first()
    if found:
        return found
    told = Scenario(data, timezone.localdate())
    shop = Shop.objects.create(
        name=data["shop"]["name"], style=data["shop"]["style"], fraction=data["shop"]["fraction"]
    )
    stock_catalog(shop)
    for entry in data["people"]:
        fields = {key: entry[key] for key in ("email", "name", "role", "may_approve", "may_move_marks")}
        told.people[entry["key"]] = add_person(shop, password=PASSWORD, **fields)
    _verify_some(shop, told)
    enter_controls(shop)
    told.types = {record.key: record for record in FixtureType.objects.of(shop)}
    for entry in data["jobs"]:
        _load_job(shop, entry, told)
    enter_circuits(shop)
    enter_sound(shop)
    enter_light(shop, told.people["lead"])
    enter_prices(shop, told.people["estimator"], told.people["crew"])
    enter_bids(shop, told.people["estimator"])
    enter_changes(shop, told.people["estimator"], told.people["crew"])
    enter_material(shop, told.people["lead"], told.people["crew"])
    enter_pulls(shop, told.people["lead"])
    enter_stages(shop, told)
    enter_marks(shop, told)
    enter_checks(shop, told)
    enter_days(shop, told.people)
    enter_photos(shop, told)
    enter_trash(shop, told.people)
    return shop


def _verify_some(shop, told):
    for record in FixtureType.objects.of(shop).filter(key__in=("light_4_new", "speaker_6_half_new", "light_90_mm")):
        verify_cutout(record, record.version, by=told.people["lead"].user.name, on=timezone.localdate() - timedelta(60))


def _load_job(shop, entry, told):
    job = services.open_job(
        shop,
        **{key: entry[key] for key in ("number", "name", "client", "site", "code_edition", "note", "style")},
        fraction=entry["fraction"] if entry["style"] != "mm" else None,
        **{name: told.day(text) for name, text in entry["dates"].items()},
    )
    for room in entry["rooms"]:
        _load_room(job, room, told)


def _load_room(job, entry, told):
    room = Room(
        shop=job.shop,
        job=job,
        note=entry["notes"],
        rows_run=entry["rows_run"] or "",
        north=entry["north"] or "",
        **{f"{side}_wall": entry["wall_names"].get(side, "") for side in SIDES},
        **{f"gap_{side}": read_length(entry["gap"][side]) for side in SIDES},
        **{
            key: entry[key]
            for key in (
                "name", "level", "door_name", "zero_x", "zero_y", "ceiling_system", "held_left_right", "held_door_far",
            )
        },
    )  # fmt: skip
    room.save()
    _load_build_up(room, entry)
    for visit in entry["measurements"]:
        _load_visit(room, visit, told)
    counts = [(told.types[c["fixture_type"]], c["zone"], c["count"]) for c in entry["counts"]]
    services.set_counts(room, counts)
    points = [
        {"what": what, **{name: read_length(text) for name, text in point.items()}}
        for what, point in entry["wire_points"].items()
        if point
    ]
    services.set_wire_points(room, points)
    if found := entry["ceiling"]:
        enter_ceiling(room_of(room.shop, room.pk), found, told.day(found["looked_on"]))
    _load_stages(room, entry, told)
    _load_layouts(room, entry, told)


def _load_build_up(room, entry):
    table = layers()
    services.set_build_up(
        room,
        [(surface, table[key].name, table[key].thickness) for surface, keys in entry["layers"].items() for key in keys],
    )


def _load_visit(room, visit, told):
    readings = [
        (r["subject"], r["ordinal"], read_length(r["value"]), read_length(r["height"]) if r["height"] else None)
        for r in visit["readings"]
    ]
    services.record_measurements(
        room,
        readings,
        kind=visit["kind"],
        taken_on=told.day(visit["taken_on"]),
        taken_by=visit["taken_by"],
        instrument=visit["instrument"],
        laser_edge=visit["laser_edge"] or "",
        note=visit["note"],
    )


def _load_stages(room, entry, told):
    """From the shop's notes: what a stage asks was not looked at then."""
    for event in entry["stage_events"]:
        take_over(room, event["stage"], by=told.people[event["by"]], note=event["note"], at=told.moment(event["on"]))
    if held := entry["on_hold"]:
        lead, at = told.people["lead"], told.moment(held["since"], 16)
        hold_all(room.shop, [room.pk], "on_hold", who=held["who"], why=held["reason"], by=lead, at=at)


def _load_layouts(room, entry, told):
    if not entry["layout"]:
        return
    steps = [*entry["earlier_layouts"], entry["layout"]]
    events = {event["stage"]: event["on"] for event in entry["stage_events"]}
    first = events.get(2) or told.data["as_of"]
    for number, wanted in enumerate(steps, 1):
        room = room_of(room.shop, room.pk)
        _choose(draft_of(room), wanted, told)
        at = told.moment(first, 9 + number) + timedelta(days=2 * (number - 1))
        if "way" in wanted:
            _take_way(room, wanted["way"], told, at)
        if not entry["issue"]:
            continue
        revision = issue_revision(room, by=told.people["estimator"], at=at)
        if entry["approved_revision"] == number:
            approve_revision(revision, by=told.people["owner"], at=max(at, told.moment(events[3])))
        # The kitchen's crew still holds the card of an earlier revision: the wall of tags shows it torn.
        stale = number == len(steps) > 2
        if entry["stage"] >= STAGE_CARD_IS_PRINTED and not stale:
            log_copy(
                revision, how="printed", held_by=told.people["lead"].user.name, datum="framing", by=told.people["lead"]
            )


def _take_way(room, wanted, told, at):
    """The first way out of its kind that clears the room, as its page offers it; taken shortly before the issue."""
    draft = draft_of(room)
    tape, layout = room.job.tape, lay_out(inputs_of(room, draft))
    names = names_of(room, layout.inputs.orientation)
    way = next(way for way in ways_of(layout).ways if way.kind == wanted["kind"] and not way.still)
    taken = take_way(
        draft,
        draft.version,
        way.change,
        kind=way.kind.value,
        words=words.say_way(way, tape, names),
        cost="; ".join(words.say_costs(way, tape)),
        reason=wanted["reason"],
        by=told.people[wanted["by"]],
    )
    WayTaken.objects.filter(pk=taken.pk).update(at=at - timedelta(minutes=20))


def _choose(draft, wanted, told):
    changes = {
        "rows": wanted["rows"],
        "lights_per_row": wanted["columns"],
        "mode_along": wanted["mode_along"],
        "mode_across": wanted["mode_across"],
        "light_type": told.types[wanted["light_type"]],
        "speaker_type": told.types[wanted["speaker_type"]] if wanted["speaker_type"] else None,
        "subwoofer_type": told.types[wanted["subwoofer"]] if wanted["subwoofer"] else None,
        "speaker_gaps": ",".join(map(str, wanted["speaker_gaps"])),
    }
    for name in ("end_setback", "row_setback", "spacing_limit", "columns_may_move", "rows_may_move"):
        if wanted.get(name):
            changes[name] = read_length(wanted[name])
    for name in ("speaker_rows", "speakers_between"):
        changes[name] = ",".join(map(str, wanted.get(name, [])))
    changes["rows_of"] = wanted.get("rows_of", Kind.LIGHT.value)
    pins = [Pin(Line(pin["line"]), pin["number"], read_length(pin["at"])) for pin in wanted.get("pins", [])]
    moved = [
        Moved(Kind(one["kind"]), one["row"], one["number"], read_length(one["along"]), read_length(one["across"]))
        for one in wanted.get("moved", [])
    ]
    typed = {"along": (), "across": ()}
    switched = [Switched(*one) for one in wanted.get("switched", [])]
    change_draft(
        draft, draft.version, changes, typed, pins=tuple(pins), moved=tuple(moved), switched=tuple(switched) or None
    )
