"""What a room is to have and where its wires go, as boxes on a page."""

from django import forms
from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet
from projects.catalogue.models import FixtureType
from projects.jobs.forms import line
from projects.jobs.models import ROOM_POINTS, STORIES, WirePoint
from projects.platform.forms import LengthFormField, TapeForm, VersionedForm

MOST_COUNTS = 8
MOST_IN_ZONE = 2


POINT_PARTS = ("from_left", "from_door", "height", "beyond", "below", "above")
FAR_OFF = (WirePoint.What.PANEL, WirePoint.What.RACK)  # may be on another floor


def parts_of(point):
    """A wire point as its boxes have it; on this room's own floor, neither below nor above."""
    return {name: getattr(point, name) for name in POINT_PARTS[:4]} | {
        "below": (ZERO - point.story).exact() if point.story < ZERO else None,
        "above": point.story if point.story > ZERO else None,
    }


class CountsForm(TapeForm):
    """What the room is to have, and where its switch, panel and rack are."""

    def __init__(self, *args, shop, **kwargs):
        super().__init__(*args, **kwargs)
        # A type retired since stays in the room it was counted for: left out here, saving would drop it.
        counted = [key for name, key in self.initial.items() if name.startswith("type_")]
        types = FixtureType.objects.of(shop).filter(models.Q(retired=False) | models.Q(pk__in=counted))
        self._types = {str(record.pk): record for record in types}
        choices = [("", "—"), *((pk, record.name) for pk, record in self._types.items())]
        for n in range(1, MOST_COUNTS + 1):
            self.fields[f"type_{n}"] = forms.ChoiceField(label=_("Fixture"), required=False, choices=choices)
            self.fields[f"zone_{n}"] = line(_("Zone"), MOST_IN_ZONE)
            self.fields[f"count_{n}"] = forms.IntegerField(
                label=_("How many"), required=False, min_value=0, max_value=400
            )
        for what in ROOM_POINTS:
            for name, label, bounds in (
                ("from_left", _("from the left wall"), (ZERO, feet(300))),
                ("from_door", _("from the door wall"), (ZERO, feet(300))),
                ("height", _("above the floor"), (ZERO, feet(60))),
                ("beyond", _("run beyond it"), (ZERO, feet(1000))),
                ("below", _("its floor lies lower than this one by"), (ZERO, STORIES)),
                ("above", _("its floor lies higher by"), (ZERO, STORIES)),
            ):
                self.fields[f"{what.value}_{name}"] = LengthFormField(
                    label=label, required=False, allow_zero=True, low=bounds[0], high=bounds[1]
                )
        self.settle_boxes(kwargs.get("tape"))

    def count_rows(self):
        return [(self[f"type_{n}"], self[f"zone_{n}"], self[f"count_{n}"]) for n in range(1, MOST_COUNTS + 1)]

    def point_rows(self):
        return [
            (what.label, [self[f"{what.value}_{name}"] for name in POINT_PARTS[: None if what in FAR_OFF else 4]])
            for what in ROOM_POINTS
        ]

    def clean(self):
        data = super().clean()
        seen = set()
        for n in range(1, MOST_COUNTS + 1):
            zone = (data.get(f"zone_{n}") or "").upper()
            if len(zone) > MOST_IN_ZONE:  # some letters become two in capitals
                self.add_error(f"zone_{n}", _("A zone is one or two letters or digits."))
            said = zone or data.get(f"count_{n}") is not None
            if said and not data.get(f"type_{n}") and f"type_{n}" not in self.errors:
                self.add_error(f"type_{n}", _("Which fixture? Choose one, or empty the line."))
            key = (data.get(f"type_{n}"), zone)
            if key[0] and key in seen:
                self.add_error(f"type_{n}", _("This fixture and zone stand twice. Add the counts up in one line."))
            seen.add(key)
        for what in ROOM_POINTS:
            boxes = [f"{what.value}_{name}" for name in ("from_left", "from_door", "height")]
            missing = [box for box in boxes if data.get(box) is None and box not in self.errors]
            past = [data.get(f"{what.value}_{part}") for part in ("beyond", "below", "above")]
            if past[1] and past[2]:
                self.add_error(
                    f"{what.value}_above", _("Its floor lies lower or higher, not both. Empty one of the two.")
                )
            if missing and (len(missing) < len(boxes) or any(past)):
                for box in missing:
                    self.add_error(box, _("Give all three, or none."))
        return data

    @property
    def counts(self):
        data = self.cleaned_data
        return [
            (self._types[data[f"type_{n}"]], (data[f"zone_{n}"] or "").upper(), data[f"count_{n}"])
            for n in range(1, MOST_COUNTS + 1)
            if data.get(f"type_{n}")
        ]

    @property
    def points(self):
        data = self.cleaned_data
        return [
            {
                "what": what.value,
                "beyond": data.get(f"{what.value}_beyond") or ZERO,
                "story": (
                    (data.get(f"{what.value}_above") or ZERO) - (data.get(f"{what.value}_below") or ZERO)
                ).exact(),
                **{name: data[f"{what.value}_{name}"] for name in ("from_left", "from_door", "height")},
            }
            for what in ROOM_POINTS
            if data.get(f"{what.value}_height") is not None
        ]

    @staticmethod
    def start_from(room):
        initial = {}
        for n, count in enumerate(room.counts.all()[:MOST_COUNTS], 1):
            initial |= {f"type_{n}": str(count.fixture_type_id), f"zone_{n}": count.zone, f"count_{n}": count.count}
        for point in room.wire_points.all():
            if point.zone or point.what not in ROOM_POINTS:
                continue
            for name, value in parts_of(point).items():
                initial[f"{point.what}_{name}"] = value
        return initial


class ChangeCountsForm(CountsForm, VersionedForm):
    @staticmethod
    def start_from(room):
        return CountsForm.start_from(room) | {"version": room.version}
