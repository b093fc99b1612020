"""Opening a form and saving it again changes nothing, whatever fraction the shop prints."""

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import Style, Tape, as_typed, inches, mm, nanometers
from layout.engine.reading import read_length
from projects.catalogue.models import FixtureType
from projects.catalogue.services import stock_catalog
from tests.factories import DAY, MemberFactory
from tests.shops import on_page

TAPES = [Tape(style, fraction) for style in (Style.INCHES, Style.FEET_INCHES) for fraction in (8, 16, 32, 64)]


@pytest.mark.django_db
def test_a_metric_cutout_stays_verified_when_an_inch_shop_saves_its_watts(client):
    """A 92 mm hole printed to 1/16 in is 3 5/8 in, which is 92.075 mm: another hole, and not the verified one."""
    owner = MemberFactory()
    client.force_login(owner.user)
    stock_catalog(owner.shop)
    FixtureType.objects.of(owner.shop).filter(key="light_90_mm").update(
        cutout=mm(92), cutout_verified_by="R.", cutout_verified_on=DAY
    )
    light = FixtureType.objects.of(owner.shop).get(key="light_90_mm")
    page = reverse("fixture_type", args=[light.pk])
    sent = on_page(client.get(page), "watts")
    assert sent["cutout"] == "92 mm"
    assert client.post(page, sent | {"watts": "9"}).status_code == 302
    light.refresh_from_db()
    assert (light.cutout, light.cutout_verified_by) == (mm(92), "R.")


def test_a_box_is_written_as_the_tape_prints_where_that_is_the_whole_truth():
    assert as_typed(inches("24"), Tape(Style.INCHES, 16)) == '24"'
    assert as_typed(inches("24 1/16"), Tape(Style.INCHES, 8)) == '24 1/16"'
    assert as_typed(inches("75 1/4"), Tape(Style.FEET_INCHES, 16)) == "6'-3 1/4\""
    assert as_typed(mm(90), Tape(Style.FEET_INCHES, 16)) == "90 mm"
    assert as_typed(inches("1/4"), Tape(Style.MM, 1)) == "6.35 mm"


@given(
    length=st.one_of(
        st.integers(1, 300 * 12 * 64).map(lambda n: nanometers(n * 396_875)),  # 1/64 in
        st.integers(1, 90_000_000).map(lambda n: nanometers(n * 1000)),  # 0.001 mm
    ),
    tape=st.sampled_from([*TAPES, Tape(Style.MM, 1)]),
)
def test_what_stands_in_a_box_is_read_back_as_the_same_length(length, tape):
    assert read_length(as_typed(length, tape), unit=tape.unit, style=tape.style) == length
    assert read_length(as_typed(length, Tape()), unit=tape.unit, style=tape.style) == length
