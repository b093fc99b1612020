"""A room's meter log, a page at a time, each reading beside what was predicted for it."""

from __future__ import annotations

import json
from dataclasses import dataclass

from django.core.paginator import Paginator
from django.utils.translation import gettext as _

from layout.light.corrections import ratio_of, read_lux
from layout.light.models import MeterReading
from layout.light.pictures.values import Told

PAGE = 50


@dataclass(frozen=True, slots=True)
class ReadingRow:
    record: MeterReading
    read: str
    predicted: str
    ratio: str
    place: str
    dims: str


def page_of_readings(room, number):
    rows = MeterReading.objects.of(room.shop_id).filter(room=room).select_related("entered_by__user").order_by("-pk")
    page = Paginator(rows, PAGE).get_page(number)
    page.rows = [row_of(record, room) for record in page.object_list]
    return page


def row_of(record: MeterReading, room) -> ReadingRow:
    told, tape = Told(room.job.tape), room.job.tape
    ratio = ratio_of(record)
    dims = json.loads(record.dims)
    where = [record.get_on_display()]
    pulled = (
        (record.along, _("%s from its left end")),
        (record.from_left, _("%s from the left wall")),
        (record.from_door, _("%s from the door wall")),
        (record.height or None, _("%s up")),
    )
    where += [said % tape.show(length) for length, said in pulled if length is not None]
    return ReadingRow(
        record=record,
        read=told.both(read_lux(record)),
        predicted="" if record.predicted_lx is None else told.both(float(record.predicted_lx)),
        ratio="" if ratio is None else f"{ratio:.2f}",
        place=", ".join(str(part) for part in where),
        dims=", ".join(f"{letter} {percent} %" for letter, percent in sorted(dims.items())),
    )
