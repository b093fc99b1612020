"""The Rooms screen: rows of jobs (jobs_web), or every room as a wall of tags or a table. Of money the wall has one
line, the office's: what nobody has signed yet."""

from dataclasses import dataclass, replace
from functools import cache
from itertools import groupby

from django.shortcuts import render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from projects.catalogue.tables import stages
from projects.jobs.models import Job
from projects.platform.addresses import address_of
from projects.stages.order import next_hold
from reports.changes.queries import unsigned
from reports.rooms import asked as address
from reports.rooms.job_rows import PATTERNS
from reports.rooms.jobs_web import jobs_screen, seen_by, sees_money
from reports.rooms.lines import whom
from reports.rooms.queries import RoomFacts, jobs_offered, page_of, rooms_asked_for, rooms_in_scope, totals
from reports.rooms.reds import moves, waits
from reports.rooms.rules import rules_of
from reports.rooms.views import views_of


def rooms(request):
    asked = address.read(request.GET)
    jobs, job = jobs_offered(request.shop, asked.job_id)
    notes = list(asked.notes)
    if asked.job_id is not None and job is None:
        notes.append(address.unknown(_("job"), str(asked.job_id)))
        asked = replace(asked, job_id=None)
    if asked.view == address.JOBS:
        return jobs_screen(request, asked, notes, job, jobs)
    rules = rules_of(request.shop) if asked.red else {}
    only = chosen_now(request, asked, rules) if asked.told_by_now else None
    scope = rooms_in_scope(request.shop, asked, only)
    page = page_of(rooms_asked_for(scope, asked), asked, request.shop)
    counts = totals(scope, asked)
    context = {
        "asked": asked,
        "notes": notes,
        "job": job,
        "jobs": jobs,
        "page": page,
        "strips": strips(page.object_list) if asked.view == address.WALL else [],
        "lines": table(page.object_list) if asked.view == address.TABLE else [],
        "columns": columns(asked.sort),
        "totals": legend(counts, asked),
        "rule": rules.get(asked.red),
        "crew_member": crew_member(request.shop, asked.crew),
        # With none of these the shop has no room at all, and there is nothing to narrow.
        "any_room": bool(page.object_list or asked.narrowed or counts[address.CANCELLED]),
        "views": [(key, label, key == asked.view) for key, label in address.VIEWS.items()],
        "choices": choices(asked),
        "kept_views": views_of(request.member),
        "query": request.GET.urlencode(),
        "unsigned": unsigned(request.shop) if sees_money(request) else None,
    }
    return render(request, "reports/rooms.html", context)


def chosen_now(request, asked, rules):
    """The ids of rooms that break the rule asked for, wait for whom was asked, come to the hold point asked for."""
    # What is asked for is told even by a rule that nobody watches.
    asked_rule = {key: replace(rule, watched=True) for key, rule in rules.items() if key == asked.red}
    now, _rules, found = seen_by(request, asked_rule, asked.job_id)
    chosen = [room for room in now.rooms if not asked.who or (waits(room) and whom(room) == asked.who)]
    if asked.red:
        broken = {room.id for red in found for room in red.rooms}
        chosen = [room for room in chosen if room.id in broken]
    if asked.hold:
        chosen = [room for room in chosen if moves(room) and (hold := next_hold(room)) and hold.point == asked.hold]
    return [room.id for room in chosen]


def crew_member(shop, member_id):
    """The name of whom the rooms are narrowed to; empty for nobody, and for one who isn't here."""
    found = shop.members.filter(pk=member_id).select_related("user").first() if member_id is not None else None
    return found.user.name if found else ""


# A room's square on the wall: its further classes, fill, address, words twice, stage. One format for hundreds of them.
TAG = (
    '<li><a class="tag{}" data-fill="{}" href="{}" aria-label="{}" title="{}"><b aria-hidden="true">{}</b></a></li>'
)


@dataclass(frozen=True, slots=True)
class Strip:
    """A job's row of tags: the rooms it has, and as they are drawn."""

    job: Job
    tags: list[RoomFacts]
    drawn: SafeString


def strips(found: list[RoomFacts]) -> list[Strip]:
    said = cache(standing_in_words)
    rows = ((job, list(rooms)) for job, rooms in groupby(found, key=lambda room: room.job))
    return [Strip(job, rooms, format_html_join("", TAG, (_tag(room, said) for room in rooms))) for job, rooms in rows]


def _tag(room: RoomFacts, said):
    marks = (" waits" if room.waits_for else "") + (" torn" if room.old_card else "")
    words = f"{room.name}, {said(room.stage, room.stage_name, room.fill, room.waits_for, room.old_card)}"
    return marks, PATTERNS[room.fill], address_of("room", room.id), words, words, room.stage


def standing_in_words(number: int, name: str, fill: str, waits_for: str, old_card: bool) -> str:
    """'stage 5 rough-in, in hand, waits for: GC, printed card out of date'."""
    stage = _("stage %(number)d %(name)s") % {"number": number, "name": name[:1].lower() + name[1:]}
    said = [stage, str(address.FILLS.get(fill, address.STATES[address.CANCELLED]))]
    if waits_for:
        said.append(_("waits for: %(who)s") % {"who": waits_for})
    if old_card:
        said.append(str(address.FLAGS["old_card"]))
    return ", ".join(said)


def table(found: list[RoomFacts]) -> list[dict]:
    """The table's lines in ready words: a template that works them out takes several times as long."""
    today, zone = timezone.localdate(), timezone.get_current_timezone()
    said_of_day = cache(lambda day: date_format(day, "M j, Y"))
    return [_line(room, today, zone, said_of_day) for room in found]


def _line(room: RoomFacts, today, zone, said_of_day) -> dict:
    job, changed = str(room.job), room.updated_at.astimezone(zone)
    days = max((today - room.since.astimezone(zone).date()).days, 0)
    return {
        "id": str(room.id),
        "job": job,
        "job_href": address_of("job", room.job.pk),
        "name": room.name,
        "href": address_of("room", room.id),
        "level": room.level,
        "stage": f"{room.stage} {room.stage_name}",
        "days": "" if room.cancelled else str(days),
        "size": _size_in_words(room),
        "kind": room.size.kind if room.size else "",
        "lights": _figure(room.lights),
        "speakers": _figure(room.speakers),
        "revision": _figure(room.revision),
        "flags": list(_to_look_at(room)),
        "changed": said_of_day(changed.date()),
        "changed_at": changed.isoformat(),
        "choose": "" if room.cancelled else _("Choose %(name)s of %(job)s") % {"name": room.name, "job": job},
    }


def _size_in_words(room: RoomFacts) -> str:
    if room.size is None:
        return ""
    both = (room.size.left_to_right, room.size.door_to_far)
    return " × ".join("?" if length is None else room.tape.show(length) for length in both)


def _figure(value: int | None) -> str:
    return "" if value is None else str(value)


def _to_look_at(room: RoomFacts):
    if room.cancelled:
        yield _("cancelled")
    if room.waits_for:
        yield _("waits for: %(who)s") % {"who": room.waits_for}
    if room.old_card:
        yield _("printed card out of date: revision %(card)s") % {"card": room.card}
    if not room.revision:
        yield _("no layout")
    if room.unverified:
        yield _("cutout not verified")


def legend(counts: dict[str, int], asked: address.Asked) -> list[dict]:
    """What each fill and mark means, how many rooms have it, and whether only they are shown."""
    shown = [
        {"name": "state", "key": key, "label": label, "pattern": PATTERNS[key], "chosen": asked.state == key}
        for key, label in address.FILLS.items()
    ]
    drawn = {"waits": "waits", "old_card": "torn"}
    shown += [] if asked.whole_past else [
        {"name": "flag", "key": key, "label": label, "mark": drawn.get(key), "chosen": asked.flag == key}
        for key, label in address.FLAGS.items()
    ]
    if counts[address.CANCELLED] or asked.state == address.CANCELLED:
        key = address.CANCELLED
        shown.append({"name": "state", "key": key, "label": address.STATES[key], "chosen": asked.state == key})
    for entry in shown:
        entry["count"] = counts[entry["key"]]
    return shown


def columns(sort: str) -> list[dict]:
    """The table's heads: what a head sorts by when followed, and how the table is sorted by it now."""
    heads = [
        (_("Job"), ("job",), ""),
        (_("Room"), ("room",), ""),
        (_("Level"), ("level",), ""),
        (_("Stage"), ("stage", "-stage"), ""),
        (_("Days there"), ("stood",), "num"),
        (_("Size, shortest readings"), (), ""),
        (_("Lights"), ("-lights",), "num"),
        (_("Speakers"), ("-speakers",), "num"),
        (_("Revision"), ("-revision",), "num"),
        (_("To look at"), (), ""),
        (_("Changed"), ("-updated", "updated"), ""),
    ]
    return [
        {
            "label": label,
            "sort": next((way for way in ways if way != sort), ways[0]) if ways else "",
            "sorted": ("descending" if sort.startswith("-") else "ascending") if sort in ways else "",
            "css": css,
        }
        for label, ways, css in heads
    ]


def choices(asked: address.Asked) -> list[dict]:
    """The form's selects: name, label, and options as (value, label, chosen)."""
    stage_names = {str(stage.number): f"{stage.number} {_(stage.name)}" for stage in stages()}
    chosen_stage = "" if asked.stage is None else str(asked.stage)
    which = address.EVERY if asked.every else ""
    selects = [
        ("jobs", _("Which jobs"), {"": _("jobs under way"), **address.WHICH_JOBS}, which),
        ("stage", _("Stage"), {"": _("any stage"), **stage_names}, chosen_stage),
        ("state", _("State"), {"": _("any state"), **address.STATES}, asked.state),
        ("flag", _("To look at"), {"": _("any or none"), **address.FLAGS}, asked.flag),
        ("sort", _("Order"), address.SORTS, asked.sort),
    ]
    return [
        {"name": name, "label": label, "options": [(key, text, key == chosen) for key, text in options.items()]}
        for name, label, options, chosen in selects
    ]
