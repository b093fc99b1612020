"""Numbers typed from the zero corner: several in one box, read as any length is, and written back exactly."""

import pytest
from django.core.exceptions import ValidationError

from layout.engine.lengths import Style, Tape, inches, mm
from layout.forms import DraftForm, LengthsField
from layout.models import TypedPosition
from tests.factories import DraftFactory


def read(text, tape):
    box = LengthsField()
    box.tape = tape
    return box.clean(text)


def test_a_comma_parts_inches_with_or_without_a_space():
    assert read("12,75 1/4, 138 1/2", Tape(Style.INCHES, 16)) == (inches(12), inches("75 1/4"), inches("138 1/2"))


def test_a_metric_comma_is_a_decimal_unless_a_space_follows():
    metric = Tape(Style.MM, 1)
    assert read("3,81 m; 5 m", metric) == (mm(3810), mm(5000))
    assert read("600, 1800", metric) == (mm(600), mm(1800))
    for one_or_two in ("600,180", "600,1800", "600,18"):
        with pytest.raises(ValidationError, match="Put a space after the comma"):
            read(one_or_two, metric)


@pytest.mark.django_db
def test_a_position_finer_than_the_shop_prints_is_not_moved_by_saving_again():
    draft = DraftFactory()
    TypedPosition.objects.create(draft=draft, axis="along", position=inches("20 1/16"))
    assert DraftForm.start_from(draft, Tape(Style.INCHES, 8))["typed_along"] == '20 1/16"'
