"""What people type about takeoffs: a label, what is asked for, feet per device, and the rules themselves."""

from fractions import Fraction

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO
from projects.catalogue.tables import read_length, takeoff_table
from projects.platform.forms import LengthFormField, NameFormField, NoteFormField, TapeForm, VersionedForm
from reports.takeoffs.models import FEET, DeviceChoice

ROUNDING = (
    ("job", _("once, for the whole job")),
    ("room", _("in each room")),
    ("order", _("when it is ordered")),
)
MOST_EACH = 1000
OWN = "the shop's own"
PER = (
    ("light", _("for each light")),
    ("speaker", _("for each speaker")),
    ("subwoofer", _("for each subwoofer")),
    ("zone", _("for each switch")),
    ("gang_box", _("for each switch box")),
    ("home_run", _("for each homerun")),
    ("separate_box", _("for each box beside a light")),
    ("room", _("for each room")),
    ("job", _("once for the job")),
)
INSTALLS = (
    ("", _("any way it goes in")),
    ("new_work", _("new work")),
    ("old_work", _("old work")),
    ("tbar", _("grid")),
)


class KeepForm(forms.Form):
    label = NameFormField(label=_("What it is for"), max_length=120, required=False)


class FractionField(forms.Field):
    """A number of pieces, or a percentage: '4', '1/2', '2.5'."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "maxlength": "12"})

    def __init__(self, *, most, whole=False, **kwargs):
        super().__init__(**kwargs)
        self.most, self.whole = most, whole

    def to_python(self, value):
        text = str(value or "").strip()
        if not text:
            return None
        try:
            number = Fraction(text) if text.isascii() and len(text) <= 12 and "e" not in text.lower() else None
        except (ValueError, ZeroDivisionError):
            number = None
        if number is None:
            raise forms.ValidationError(_("“%(text)s” is no number. Write 4, 1/2 or 2.5."), params={"text": text[:20]})
        if not 0 <= number <= self.most:
            raise forms.ValidationError(_("Give a number from 0 to %(most)s."), params={"most": self.most})
        if self.whole and number.denominator != 1:
            raise forms.ValidationError(_("Give a whole number."))
        return number

    def has_changed(self, initial, data):
        try:
            return self.to_python(initial) != self.to_python(data)
        except forms.ValidationError:
            return True


class AskedForm(forms.Form):
    """Optional items, ticked where they are taken. seen: those that were ticked when the page was opened."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=4000)

    def __init__(self, *args, rules, job_wide, **kwargs):
        super().__init__(*args, **kwargs)
        for item in rules.items.values():
            if item.optional and (job_wide or item.per != "job"):
                self.fields[item.key] = forms.BooleanField(label=item.name, help_text=item.note, required=False)

    @staticmethod
    def start_from(standing):
        return {"seen": " ".join(standing), **dict.fromkeys(standing, True)}

    @property
    def was_ticked(self):
        return set(self.cleaned_data["seen"].split())

    @property
    def items(self):
        return [name for name, field in self.fields.items() if _ticked(field, self.cleaned_data.get(name))]


def _ticked(field, value):
    return isinstance(field, forms.BooleanField) and bool(value)


class RoomCountingForm(TapeForm, AskedForm):
    """A room's own feet per device, and what it takes besides."""

    def __init__(self, *args, rules, **kwargs):
        super().__init__(*args, rules=rules, job_wide=False, **kwargs)
        for device, words in DeviceChoice.choices:
            usual = rules.per_device[device]
            self.fields[f"feet_{device}"] = LengthFormField(
                label=_("Cable for each %(device)s") % {"device": words},
                help_text=usual.name,
                required=False,
                allow_zero=True,
                low=FEET[0],
                high=FEET[1],
            )
        self.settle_boxes(kwargs.get("tape"))

    @property
    def feet(self):
        return {device: self.cleaned_data[f"feet_{device}"] for device in DeviceChoice.values}


class RulesForm(VersionedForm):
    """Every number of the takeoff rules, and one new item. The rules' own text stays; whose number it is, is kept."""

    why = NoteFormField(
        label=_("Why"), max_length=400, help_text=_("Kept with the version, with your name and the date.")
    )
    rounding = forms.ChoiceField(label=_("Quantities are rounded up"), choices=ROUNDING)
    new_name = NameFormField(label=_("A new item"), max_length=80, required=False)
    new_unit = NameFormField(label=_("Its unit"), max_length=12, required=False, initial="each")
    new_per = forms.ChoiceField(label=_("Counted"), choices=PER, required=False)
    new_install = forms.ChoiceField(label=_("Where it goes in"), choices=INSTALLS, required=False)
    new_quantity = FractionField(label=_("How many"), most=MOST_EACH, required=False)
    new_category = forms.ChoiceField(label=_("Listed under"), choices=(), required=False)
    new_optional = forms.BooleanField(label=_("Only where it is asked for"), required=False)

    def __init__(self, *args, table, categories, tape=None, **kwargs):
        super().__init__(*args, tape=tape, **kwargs)
        self.table = table
        self.fields["new_category"].choices = categories
        for item in table["items"]:
            self.fields[f"item_{item['key']}"] = FractionField(label=item["name"], most=MOST_EACH)
            self.fields[f"asked_{item['key']}"] = forms.BooleanField(
                label=_("%(item)s: only where it is asked for") % {"item": item["name"]}, required=False
            )
        for spare in table["spares"]:
            named = {"kind": spare["key"]}
            self.fields[f"percent_{spare['key']}"] = FractionField(label=_("Spare %(kind)s, percent") % named, most=100)
            self.fields[f"minimum_{spare['key']}"] = FractionField(
                label=_("Spare %(kind)s, at least") % named, most=1000, whole=True
            )
            self.fields[f"above_{spare['key']}"] = FractionField(
                label=_("Spare %(kind)s, only with more than") % named, most=100_000, whole=True
            )
        for waste in table["waste"]:
            self.fields[f"waste_{waste['key']}"] = FractionField(label=waste["name"], most=100)
        for wire in table["wire"]:
            self.fields[f"wire_{wire['key']}"] = _length_box(wire["name"])
        for each in table["per_device"]:
            self.fields[f"feet_{each['key']}"] = _length_box(each["name"])
        self.settle_boxes(tape)

    def clean(self):
        data = super().clean()
        if data.get("new_name") and data.get("new_quantity") is None and "new_quantity" not in self.errors:
            self.add_error("new_quantity", _("How many of it? Give a number, or empty its name."))
        if data.get("new_quantity") is not None and not data.get("new_name") and "new_name" not in self.errors:
            self.add_error("new_name", _("What is it called? Give a name, or empty the number."))
        return data

    def groups(self):
        """[(heading, rows of boxes)] as the page shows them."""
        table = self.table
        return [
            (_("What each takes"), [[self[f"item_{i['key']}"], self[f"asked_{i['key']}"]] for i in table["items"]]),
            (
                _("Spares"),
                [[self[f"{part}_{s['key']}"] for part in ("percent", "minimum", "above")] for s in table["spares"]],
            ),
            (_("Waste of cable, percent, once on the sum"), [[self[f"waste_{w['key']}"]] for w in table["waste"]]),
            (_("Lengths added to a run"), [[self[f"wire_{w['key']}"]] for w in table["wire"]]),
            (
                _("Cable for each device before anyone measures"),
                [[self[f"feet_{f['key']}"]] for f in table["per_device"]],
            ),
        ]

    @staticmethod
    def start_from(table, number):
        start = {"version": number, "rounding": table["rounding"], "new_unit": "each"}
        for item in table["items"]:
            start |= {f"item_{item['key']}": item["quantity"], f"asked_{item['key']}": item["optional"]}
        for spare in table["spares"]:
            start |= {f"{part}_{spare['key']}": spare[part] for part in ("percent", "minimum", "above")}
        start |= {f"waste_{waste['key']}": waste["percent"] for waste in table["waste"]}
        start |= {f"wire_{wire['key']}": read_length(wire["length"]) for wire in table["wire"]}
        return start | {f"feet_{each['key']}": read_length(each["length"]) for each in table["per_device"]}

    def changed_table(self):
        """The rules' table with what was typed; what differs from the program's own says that it is the shop's."""
        data, table = self.cleaned_data, self.table
        first = _entries(takeoff_table())
        items = [
            _changed(item, first, quantity=str(data[f"item_{item['key']}"]), optional=data[f"asked_{item['key']}"])
            for item in table["items"]
        ]
        spares = [
            _changed(
                spare,
                first,
                percent=str(data[f"percent_{spare['key']}"]),
                minimum=int(data[f"minimum_{spare['key']}"]),
                above=int(data[f"above_{spare['key']}"]),
            )
            for spare in table["spares"]
        ]
        if data["new_name"]:
            items.append(self._new_item())
        return {
            **table,
            "rounding": data["rounding"],
            "items": items,
            "spares": spares,
            "waste": [_changed(w, first, percent=str(data[f"waste_{w['key']}"])) for w in table["waste"]],
            "wire": [_changed(w, first, length=_length(data[f"wire_{w['key']}"])) for w in table["wire"]],
            "per_device": [_changed(f, first, length=_length(data[f"feet_{f['key']}"])) for f in table["per_device"]],
        }

    def _new_item(self):
        data = self.cleaned_data
        known = {item["key"] for item in self.table["items"]}
        number = next(n for n in range(1, len(known) + 2) if f"own_{n}" not in known)
        per = data["new_per"] or "light"
        return {
            "key": f"own_{number}",
            "name": data["new_name"],
            "unit": data["new_unit"] or "each",
            "category": data["new_category"] or "sundries",
            "per": per,
            "quantity": str(data["new_quantity"]),
            "kinds": [per] if per in DeviceChoice.values else [],
            "installs": [data["new_install"]] if data["new_install"] and per in DeviceChoice.values else [],
            "optional": data["new_optional"],
            "packs": [],
            "note": "",
            "source": OWN,
        }


def _length_box(label):
    return LengthFormField(label=label, allow_zero=True, low=ZERO, high=FEET[1])


def _entries(table):
    """Every entry of the program's table, by its section's and its own key."""
    parts = ("items", "spares", "waste", "wire", "per_device")
    return {(part, entry["key"]): entry for part in parts for entry in table[part]}


def _changed(entry, first, **values):
    """The entry with these values; its source is the program's where it says what the program's says, else the shop."""
    part = "length" if "length" in values else None
    was = next((e for (_part, key), e in first.items() if key == entry["key"] and values.keys() <= e.keys()), None)
    same = was is not None and all(_same(was[name], value, part) for name, value in values.items())
    source = was["source"] if same else OWN
    return {**entry, **(({name: was[name] for name in values}) if same else values), "source": source}


def _same(one, other, part):
    if part == "length":
        return read_length(one) == read_length(other)
    return Fraction(one) == Fraction(other)


def _length(length):
    """As the table writes it: exact, in inches."""
    whole, part = divmod(length.inches, 1)
    return f"{whole} {part} in" if part and whole else f"{part or whole} in"
