"""The sections of a shop's lists that are its rules and its catalog.

What somebody here checked on a real piece stays: that a cutout was tried, and what was read off a label. Whoever takes
the list in checks it on their own.
"""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.accounts.forms import ShopRulesForm
from projects.accounts.models import RULES
from projects.accounts.services import CurrencyStands, change_shop_rules
from projects.catalogue.forms import ControlTypeForm, FixtureTypeForm
from projects.catalogue.light_forms import LightTargetForm
from projects.catalogue.models import ControlType, FixtureType, LightTarget, PhotometricFile
from projects.catalogue.services import change_control, change_type
from projects.keeping.lists import Change, register
from projects.keeping.lists_rows import Records, one, plain
from projects.platform.api.bodies import Body


class RulesInList(ShopRulesForm):
    """A shop's name is its own."""

    name = None


class ShopRules:
    name, money = "shop_rules", False
    fields = ("style", "fraction", *RULES, "zero_note", "currency")
    body = Body("ListShopRules", RulesInList)

    def told(self, shop):
        return {name: plain(getattr(shop, name)) for name in self.fields}

    def take(self, shop, by, given, report):
        one(self, given, "/shop_rules", report, lambda: self._write(shop, given, report))

    def _write(self, shop, given, report):
        start = {name: getattr(shop, name) for name in self.fields}
        form = self.body.fill(given, start=start, version=shop.version, tape=shop.tape)
        changes = {name: form.cleaned_data[name] for name in self.fields}
        changes = {name: value for name, value in changes.items() if value != start[name]}
        if not changes:
            report.same += 1
            return
        before = self.told(shop)
        try:
            stored = change_shop_rules(shop, shop.version, changes)
        except CurrencyStands as refused:
            raise ValidationError(str(refused)) from refused
        # The rest of the file is read by the new tape.
        for name in ("version", *self.fields):
            setattr(shop, name, getattr(stored, name))
        after = self.told(shop)
        fields = tuple((name, before[name], after[name]) for name in after if before[name] != after[name])
        report.changes.append(Change(self.name, "", _("Shop rules"), False, fields))


class TypeInList(FixtureTypeForm):
    """light_file: SHA-256 of the photometric file's text; the file itself is brought in on its own page."""

    photometric = None
    light_file = forms.CharField(label=gettext_lazy("Photometric file"), max_length=64, required=False)
    source = forms.CharField(label=gettext_lazy("From which sheet"), max_length=200, required=False)

    def clean(self):
        data = super().clean()
        if data.get("light_file") and data.get("kind") != "light":
            self.add_error("light_file", _("Only a light has a photometric file. Choose none."))
        return data


class FixtureTypes(Records):
    def stored(self, shop):
        rows = self.model.objects.of(shop).select_related("photometric").defer("photometric__text").order_by("key")
        return {each.key: each for each in rows}

    def row(self, record):
        return super().row(record) | {"light_file": record.photometric.digest if record.photometric else ""}

    def start(self, record):
        start = super().start(record)
        return start | ({"light_file": record.photometric.digest if record.photometric else ""} if record else {})

    def values(self, shop, cleaned, report, key):
        values, digest = super().values(shop, cleaned, report, key), cleaned["light_file"]
        found = PhotometricFile.objects.of(shop).filter(digest=digest).defer("text").first() if digest else None
        if digest and found is None:
            report.notes.append(
                _("%(key)s: its photometric file is not in this shop. Its light stays as it is, or is taken from beam "
                  "and lumens. Bring the file in on the catalog's own page.") % {"key": key}
            )  # fmt: skip
            return values
        return values | {"photometric": found}


_NAMED = tuple(name for name in TypeInList.base_fields if name != "light_file")

register(
    ShopRules(),
    FixtureTypes("fixture_types", FixtureType, TypeInList, _NAMED, change=change_type),
    Records(
        "control_types", ControlType, ControlTypeForm, tuple(ControlTypeForm.base_fields), options=lambda shop: {},
        change=change_control,
    ),
    Records("light_levels", LightTarget, LightTargetForm, tuple(LightTargetForm.base_fields)),
)  # fmt: skip
