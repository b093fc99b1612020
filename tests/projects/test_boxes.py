"""Boxes said in Python are Django's own to the character, whatever is in them."""

import datetime as dt
from decimal import Decimal

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy, override

from projects.platform.boxes import SAID, Boxes

HOSTILE = "<b>\"5' & 6'</b>"
CHOICES = [
    ("", "---"), (1, "one"), ("<2>", HOSTILE), (3, 4000), (Decimal("1.5"), 2.5), ("lazy", gettext_lazy("Rooms")),
    ("Group & co", [("a", "A"), ("b", SafeString("<i>B</i>"))]),
]  # fmt: skip
WIDGETS = (
    forms.TextInput, forms.NumberInput, forms.EmailInput, forms.PasswordInput, forms.HiddenInput, forms.DateInput,
    forms.CheckboxInput, forms.Textarea, forms.Select, forms.SelectMultiple, forms.RadioSelect, forms.NullBooleanSelect,
    forms.CheckboxSelectMultiple, forms.DateTimeInput, forms.MultipleHiddenInput,
)  # fmt: skip
VALUES = (None, "", "plain", HOSTILE, SafeString("<i>safe</i>"), 0, 12345, Decimal("1234.5"), True, False, "1", "a")
ATTRS = (
    {}, {"required": True, "disabled": False, "id": "x"}, {"data-say": HOSTILE, "size": 3, "class": SafeString("a&b")},
    {"placeholder": gettext_lazy("Rooms"), "maxlength": "80", "none": None},
)  # fmt: skip


@pytest.mark.parametrize("kind", WIDGETS, ids=lambda kind: kind.__name__)
def test_a_box_is_djangos_own(kind):
    offers = {"choices": CHOICES} if hasattr(kind, "choices") and kind is not forms.NullBooleanSelect else {}
    values = (["1", "a"], None) if "Multiple" in kind.__name__ else (*VALUES, dt.date(2026, 3, 1))
    box = kind(**offers)
    with override("es-mx"):
        for value in values:
            for attrs in ATTRS:
                told = [box.render(HOSTILE, value, dict(attrs), renderer=each) for each in (DjangoTemplates(), Boxes())]
                assert told[0] == told[1]


class Small(forms.Form):
    width = forms.IntegerField(max_value=9, help_text="in <feet>")


@pytest.mark.parametrize("data", [None, {"width": "12"}, {"width": "<b>"}, {}])
def test_a_form_with_and_without_errors_is_djangos_own(data):
    both = [Small(data, renderer=renderer()) for renderer in (DjangoTemplates, Boxes)]
    assert str(both[0]) == str(both[1])
    assert str(both[0]["width"].errors) == str(both[1]["width"].errors)


def test_every_page_uses_them_and_every_template_said_here_is_djangos():
    assert isinstance(Small().renderer, Boxes)
    for name in SAID:
        assert DjangoTemplates().get_template(name)
