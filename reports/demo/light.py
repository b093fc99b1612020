"""The demo's light: a photometric file, what rooms are set to, where lights lean, and what a meter read in one."""

import json
from datetime import timedelta

from django.utils import timezone

from layout.light.adding import add_reading
from layout.light.queries import light_of
from layout.light.services import change_setup, setup_of, unit_of
from projects.catalogue.models import FixtureType
from projects.catalogue.photometric import keep_file
from projects.catalogue.services import change_type
from projects.catalogue.tables import FOLDER, read_length
from projects.jobs.models import Job
from projects.jobs.queries import room_of
from reports.demo.rows import row_of

LENGTHS = {"plane", "from_left", "from_door", "along", "height", "wide", "deep"}
NUMBERS = {
    "lld", "ldd", "rsdd", "lbo", "other_loss", "target", "uniformity", "wall_ratio", "tilt_deg", "toward_deg", "value",
    "dark",
}  # fmt: skip


def enter_light(shop, by):
    """by: who held the meter. After the rooms are laid out."""
    told = json.loads((FOLDER / "demo_light.json").read_text(encoding="utf-8"))
    for entry in told["files"]:
        file = keep_file(shop, "\n".join(entry["lines"]) + "\n", name=entry["name"], file_name=entry["file_name"])
        for record in FixtureType.objects.of(shop).filter(key__in=entry["types"]):
            change_type(record, record.version, {"photometric": file})
    jobs = {job.number: job for job in Job.objects.of(shop)}
    for entry in told["rooms"]:
        job = jobs[entry["job"]]
        room = room_of(shop, job.rooms.get(name=entry["room"]).pk)
        rows = {name: [_row(one) for one in entry[name]] for name in ("zones", "aims", "tasks")}
        change_setup(setup_of(room), 1, {"target_unit": unit_of(job.tape)} | _row(entry["setup"]), **rows)
        _read(room, entry["readings"], by)


def _read(room, readings, by):
    if not readings:
        return
    light = light_of(room)
    percents = {one.zone: round(100 * one.dim) for one in light.made.scene.lights}
    usual = {
        "unit": unit_of(room.job.tape), "taken_by": by.user.name, "taken_on": timezone.localdate() - timedelta(6),
        "note": "", "instrument": "pocket meter, cosine head", "dark": None, "height": read_length("0 in"),
    } | dict.fromkeys(("from_left", "from_door", "along"))  # fmt: skip
    for one in readings:
        add_reading(light, usual | _row(one), percents, by=by)


def _row(told):
    return row_of(told, LENGTHS, NUMBERS)
