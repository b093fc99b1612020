"""The demo's dimmers, circuits, zones and an opened reel, through the services that pages use. Knows no routing."""

import json
from decimal import Decimal

from projects.catalogue.models import ControlType, FixtureType
from projects.catalogue.services import add_control, change_type
from projects.catalogue.tables import FOLDER, read_length
from projects.jobs import circuit_services
from projects.jobs.models import Job
from projects.jobs.queries import room_of
from reports.cables.gather import job_cables
from reports.wiring import services

NUMBERS = ("led_watts", "led_watts_one_off", "led_watts_both_off", "min_watts", "power_factor")


def told_of_wiring():
    return json.loads((FOLDER / "demo_wiring.json").read_text(encoding="utf-8"))


def enter_controls(shop):
    """What the labels of lights say, and the dimmers a shop puts in. Before anything is laid out."""
    told = told_of_wiring()
    for record in FixtureType.objects.of(shop).filter(key__in=told["labels"]):
        change_type(record, record.version, _numbers(told["labels"][record.key]))
    for entry in told["controls"]:
        add_control(shop, **_numbers(entry))


def enter_circuits(shop):
    """Circuits and zones of one job. After its rooms are laid out."""
    told = told_of_wiring()
    job = Job.objects.of(shop).get(number=told["job"])
    circuits = {entry["number"]: circuit_services.add_circuit(job, **entry) for entry in told["circuits"]}
    controls = {record.name: record for record in ControlType.objects.of(shop)}
    for entry in told["rooms"]:
        room = room_of(shop, job.rooms.get(name=entry["room"]).pk)
        zones = [
            {**zone, "circuit": circuits[zone["circuit"]], "control_type": controls[zone["control_type"]]}
            for zone in entry["zones"]
        ]
        circuit_services.change_switching(room, room.version, zones, [], None)


def enter_pulls(shop, by):
    """A run set by hand, and an opened reel with a few runs pulled off it by its marks."""
    told = told_of_wiring()
    job, reel = Job.objects.of(shop).get(number=told["job"]), told["reel"]
    room = job.rooms.get(name=reel["room"])
    cables = [cable for cable in job_cables(job).cables if cable.room.room_id == room.pk]
    mine = [cable for cable in cables if cable.run.cable == reel["cable"]]
    hand = told["by_hand"]
    services.set_run(room, mine[-1].run.key, length=read_length(hand["length"]), why=hand["why"], by=by)
    opened = services.open_reel(
        shop, cable=reel["cable"], name=reel["name"], full=read_length(reel["full"]), mark=reel["mark"],
        lies=reel["lies"],
    )  # fmt: skip
    mark = reel["mark"]
    for cable in mine[: reel["pulls"]]:
        end = mark - int(cable.piece.inches / 12)  # the jacket's numbers fall as the reel empties
        services.pull(
            opened, mark, end, room=room, key=cable.run.key, computed=cable.whole_length, sure=True, by=by,
        )  # fmt: skip
        mark = end


def _numbers(entry):
    return {name: Decimal(value) if name in NUMBERS else value for name, value in entry.items()}
