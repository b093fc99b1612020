"""What people type about a room's sound: what it is for, seats, screen, what each speaker plays, subs, materials."""

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.sound.models import (
    DECAY,
    EAR,
    MOST_LEEWAY_DEG,
    MOST_ROLES,
    MOST_SEATS,
    MOST_SUBS,
    PLACE,
    SCREEN,
    SUB_HEIGHT,
    TARGET,
    TEMPERATURE,
    Band,
    Hears,
    SubPlace,
    Use,
)
from layout.sound.services import Entered, Kept, one_main
from layout.sound.words import CHANNELS, SYSTEMS
from projects.catalogue.tables import absorption
from projects.jobs.models import SideChoice
from projects.platform.forms import LengthFormField, TapeForm, VersionedForm

SPARE_SEATS, SPARE_SUBS = 3, 4  # empty rows offered below those that are filled
WALLS = (Hears.DOOR, Hears.LEFT, Hears.FAR, Hears.RIGHT)


def _place(label, **more):
    return LengthFormField(label=label, required=False, allow_zero=True, high=PLACE[1], **more)


class SetupForm(VersionedForm):
    """The room as a whole."""

    use = forms.ChoiceField(label=_("The room is for"), choices=Use.choices)
    system = forms.ChoiceField(
        label=_("Loudspeaker layout"), required=False, choices=[("", _("not chosen")), *SYSTEMS],
        help_text=_("Ear-level, then height, then low speakers, as ITU-R BS.2051 counts them."),
    )  # fmt: skip
    leeway_deg = forms.IntegerField(
        label=_("Leeway past a range, degrees"), min_value=0, max_value=MOST_LEEWAY_DEG,
        help_text=_("Some ranges are a single angle. 5 is common practice, no source."),
    )  # fmt: skip
    ear_height = LengthFormField(
        label=_("Ear height"), low=EAR[0], high=EAR[1],
        help_text=_("Seated 1.1 to 1.2 m (43 to 47 in), standing 1.5 to 1.65 m; from memory."),
    )  # fmt: skip
    temperature_c = forms.DecimalField(
        label=_("Temperature, °C"), min_value=TEMPERATURE[0], max_value=TEMPERATURE[1], decimal_places=1
    )
    band_hz = forms.TypedChoiceField(
        label=_("The catalog's coverage angle holds at"), coerce=int, choices=Band.choices,
        help_text=_("The angle narrows as the pitch rises. Speech is laid out at 2 kHz."),
    )  # fmt: skip
    target_db = forms.DecimalField(
        label=_("Level wanted at the ears, dB"), required=False, min_value=TARGET[0], max_value=TARGET[1],
        decimal_places=1,
    )  # fmt: skip
    low_decay_s = forms.DecimalField(
        label=_("Reverberation time below 200 Hz, s"), required=False, min_value=DECAY[0], max_value=DECAY[1],
        decimal_places=2, help_text=_("If it was measured. Empty: from the materials at 125 Hz."),
    )  # fmt: skip


class _Row(TapeForm):
    """A row that may stay empty; filled at all, it needs its `needs`."""

    needs: tuple[str, ...] = ("x", "y")

    @property
    def filled(self):
        return any(self.cleaned_data.get(name) is not None for name in self.needs)

    def clean(self):
        data = super().clean()
        missing = [name for name in self.needs if data.get(name) is None and name not in self.errors]
        if missing and (len(missing) < len(self.needs) or self._more(data)):
            for name in missing:
                self.add_error(name, _("This is needed too. Fill it in, or empty the row."))
        return data

    def _more(self, data):
        return False


class SeatForm(_Row):
    x = _place(_("from the left wall"))
    y = _place(_("from the door wall"))
    ear_height = LengthFormField(label=_("ear height"), required=False, low=EAR[0], high=EAR[1])
    main = forms.BooleanField(label=_("main seat"), required=False)

    def _more(self, data):
        return bool(data.get("ear_height") or data.get("main"))


class ScreenForm(_Row):
    needs = ("center", "width")
    wall = forms.ChoiceField(label=_("Screen on"), required=False, choices=[("", _("no screen")), *SideChoice.choices])
    center = _place(_("Center, from the left or the door wall"))
    width = LengthFormField(label=_("Width of the picture"), required=False, low=SCREEN[0], high=SCREEN[1])
    height = LengthFormField(label=_("Height of the picture"), required=False, low=SCREEN[0], high=SCREEN[1])

    def __init__(self, *args, walls=(), **kwargs):
        super().__init__(*args, **kwargs)
        if walls:
            self.fields["wall"].choices = [("", _("no screen")), *walls]

    def clean(self):
        data = super().clean()
        if not data.get("wall") and self.filled and "wall" not in self.errors:
            self.add_error("wall", _("Which wall is it on? Choose one, or empty the row."))
        return data

    def _more(self, data):
        return bool(data.get("wall"))

    @property
    def value(self):
        return {name: self.cleaned_data[name] for name in self.fields} if self.filled else None


class RoleForm(forms.Form):
    channel = forms.ChoiceField(label=_("plays"), required=False, choices=[("", _("nothing said")), *CHANNELS])


class SubForm(_Row):
    x = _place(_("from the left wall"))
    y = _place(_("from the door wall"))
    height = LengthFormField(
        label=_("driver's center above the floor"), required=False, allow_zero=True, high=SUB_HEIGHT[1]
    )
    placed = forms.BooleanField(label=_("stands there"), required=False)

    def _more(self, data):
        return bool(data.get("height") is not None or data.get("placed"))

    @property
    def value(self):
        """A height that wasn't given is the usual one."""
        data = dict(self.cleaned_data)
        if data["height"] is None:
            data["height"] = SubPlace._meta.get_field("height").to_python(SubPlace._meta.get_field("height").default)
        return data


def materials_for(surface):
    """The absorption table's entries for a surface, as choices."""
    kind = "wall" if surface in WALLS else str(surface)
    return [(one.key, one.name) for one in absorption().values() if kind in one.surfaces]


class SurfaceForm(forms.Form):
    """What a surface is of, and what covers part of it."""

    material = forms.ChoiceField(label=_("of"), required=False)
    other = forms.ChoiceField(label=_("part of it of"), required=False)
    percent = forms.IntegerField(label=_("how much of it, %"), required=False, min_value=1, max_value=99)

    def __init__(self, *args, surface, **kwargs):
        super().__init__(*args, **kwargs)
        self.surface = surface
        for name in ("material", "other"):
            self.fields[name].choices = [("", _("not said")), *materials_for(surface)]

    def clean(self):
        data = super().clean()
        if data.get("other") and not data.get("percent") and "percent" not in self.errors:
            self.add_error("percent", _("How much of the surface? Give a share in percent."))
        if data.get("percent") and not data.get("other"):
            self.add_error("other", _("What covers that part? Choose it, or empty the share."))
        if data.get("other") and not data.get("material"):
            self.add_error("material", _("What is the rest of it? Choose that too."))
        elif data.get("other") and data["other"] == data.get("material"):
            self.add_error("other", _("That is what the rest is of. Choose another, or empty this."))
        return data

    @property
    def rows(self):
        data = self.cleaned_data
        if not data.get("material"):
            return
        part = data["percent"] if data.get("other") else 0
        yield {"surface": self.surface.value, "material": data["material"], "percent": 100 - part}
        if part:
            yield {"surface": self.surface.value, "material": data["other"], "percent": part}


class SeatRow(SeatForm):
    """A seat over the API, where a row is there to say something."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in self.needs:
            self.fields[name].required = True

    @property
    def value(self):
        return dict(self.cleaned_data)


class SubRow(SubForm):
    """A sub's place over the API."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in self.needs:
            self.fields[name].required = True


class RoleRow(TapeForm):
    """What a mark plays, over the API."""

    mark = forms.RegexField(
        r"^[A-Z]{1,3}[0-9]{1,4}$", label=_("Mark"), error_messages={"invalid": _("A mark is like SP1.")}
    )
    channel = forms.ChoiceField(label=_("Channel"), choices=CHANNELS)

    @property
    def value(self):
        return {**self.cleaned_data, "x": None, "y": None}


class MaterialRow(TapeForm):
    """What part of a surface is of, over the API."""

    surface = forms.ChoiceField(label=_("Surface"), choices=Hears.choices)
    material = forms.ChoiceField(label=_("Key of the absorption table"))
    percent = forms.IntegerField(label=_("Share of the surface, %"), min_value=1, max_value=100, initial=100)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["material"].choices = [(one.key, one.name) for one in absorption().values()]

    def clean(self):
        data = super().clean()
        surface, material = data.get("surface"), data.get("material")
        if surface and material and material not in dict(materials_for(surface)):
            self.add_error("material", _("The table doesn't have it for this surface. Choose another."))
        return data

    @property
    def value(self):
        return dict(self.cleaned_data)


class SoundForm:
    """The whole page: every part a form of its own, all saved together."""

    def __init__(self, room, kept: Kept, marks, *, data=None):
        """marks: IDs of what gives sound on the ceiling now."""
        tape = room.job.tape
        self.kept, self.places = kept, {role.mark: (role.x, role.y) for role in kept.roles}
        self.setup = SetupForm(data, tape=tape, initial=vars(kept.setup) | {"version": kept.setup.version})
        walls = [(side.value, room.wall_name(side)) for side in SideChoice]
        self.screen = ScreenForm(
            data, prefix="screen", tape=tape, walls=walls, initial=vars(kept.screen) if kept.screen else {}
        )
        self.seats = list(self._rows(SeatForm, "seat", kept.seats, SPARE_SEATS, MOST_SEATS, data, tape))
        self.subs = list(self._rows(SubForm, "sub", kept.subs, SPARE_SUBS, MOST_SUBS, data, tape))
        channels = {role.mark: role.channel for role in kept.roles}
        # Of more than are shown, those that something is said of come first: what isn't shown is not kept
        shown = set(list(dict.fromkeys([*channels, *marks]))[:MOST_ROLES])
        named = [mark for mark in dict.fromkeys([*marks, *channels]) if mark in shown]
        self.roles = [
            (mark, mark in marks, RoleForm(data, prefix=f"role-{mark}", initial={"channel": channels.get(mark, "")}))
            for mark in named
        ]
        self.surfaces = [self._surface(surface, room, data) for surface in Hears]

    def _rows(self, form, name, records, spare, most, data, tape):
        count = min(len(records) + spare, most)
        if data is not None:  # rows typed into a longer page are not lost
            count = max([count, *(int(key.split("-")[1]) for key in data if self._is_row(key, name))])
        for n in range(1, min(count, most) + 1):
            initial = vars(records[n - 1]) if n <= len(records) else {}
            yield form(data, prefix=f"{name}-{n}", tape=tape, initial=initial)

    @staticmethod
    def _is_row(key, name):
        parts = key.split("-")
        return len(parts) == 3 and parts[0] == name and parts[1].isascii() and parts[1].isdigit() and len(parts[1]) < 4

    def _surface(self, surface, room, data):
        rows = [row for row in self.kept.materials if row.surface == surface]
        initial = {"material": rows[0].material} if rows else {}
        if len(rows) > 1:
            initial |= {"other": rows[1].material, "percent": rows[1].percent}
        form = SurfaceForm(data, prefix=f"of-{surface.value}", surface=surface, initial=initial)
        label = room.wall_name(SideChoice(surface.value)) if surface in WALLS else surface.label
        return label, form

    @property
    def parts(self):
        yield self.setup
        yield from self.seats
        yield self.screen
        yield from (form for _mark, _there, form in self.roles)
        yield from self.subs
        yield from (form for _label, form in self.surfaces)

    def is_valid(self):
        wrong = [part for part in self.parts if not part.is_valid()]  # every part tells its own
        return not wrong

    @property
    def wrong(self):
        """(where its box is, its label, what is wrong) for all parts together."""
        for part in self.parts:
            for field in part.visible_fields():
                for error in field.errors:
                    yield field.auto_id, field.label, error
            for error in part.non_field_errors():
                yield "", "", error

    @property
    def entered(self) -> Entered:
        seats = [dict(form.cleaned_data) for form in self.seats if form.filled]
        return Entered(
            dict(self.setup.changes),
            seats=tuple(one_main(seats)),
            screen=self.screen.value,
            roles=tuple(self._role(mark, form) for mark, _there, form in self.roles if form.cleaned_data["channel"]),
            subs=tuple(form.value for form in self.subs if form.filled),
            materials=tuple(row for _label, form in self.surfaces for row in form.rows),
        )

    def _role(self, mark, form):
        x, y = self.places.get(mark, (None, None))
        return {"mark": mark, "channel": form.cleaned_data["channel"], "x": x, "y": y}


class TakeChoiceForm(VersionedForm):
    """A choice pressed: for which mark, from the version of the draft it was shown for."""

    speaker = forms.CharField(max_length=8)
    choice = forms.CharField(max_length=20)
