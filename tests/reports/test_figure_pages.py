"""The calculator pages: a crew member at the box with a phone, and an estimator with a list of pieces."""

import html
import math

import pytest
from django.test import Client
from django.urls import reverse

from layout.engine.lengths import Style
from projects.platform.permissions import Role
from reports.figures.registry import FIGURES
from tests.factories import ShopFactory
from tests.shops import people_of, sign_in


@pytest.fixture
def shop(db):
    return ShopFactory()


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def crew(client, people):
    return sign_in(client, people[Role.CREW])


@pytest.fixture
def estimator(people):
    return sign_in(Client(), people[Role.ESTIMATOR])


def page(crew, name, **typed):
    answer = crew.get(reverse("figure", args=[name]), {"asked": "1", **typed} if typed else {})
    assert answer.status_code == 200
    return " ".join(html.unescape(answer.content.decode()).split())


def test_every_figure_stands_on_the_list_and_answers_its_example(estimator):
    listed = estimator.get(reverse("figures")).content.decode()
    for name, figure in FIGURES.items():
        assert reverse("figure", args=[name]) in listed
        shown = page(estimator, name)
        assert "Answer to the example" in shown and "Not reckoned" not in shown, name
        assert figure.source in shown and figure.rule in shown


def test_the_same_in_a_shop_that_reads_millimeters(client, db):
    metric = sign_in(client, people_of(ShopFactory(style=Style.MM.value, fraction=1))[Role.OWNER])
    for name in FIGURES:
        assert "Answer to the example" in page(metric, name), name
    assert "1 600 mm" not in page(metric, "tile.border") and " mm" in page(metric, "tile.border")


def test_a_tile_border_is_typed_and_read_on_the_tape(crew):
    """15'-9" of ceiling with 24 in tiles: 6 whole ones and 22 1/2 at either wall (by hand: 189 = 6 x 24 + 2 x 22.5)."""
    shown = page(crew, "tile.border", net="15' 9\"", tile="24")
    assert '22 1/2"' in shown and "6 tiles" in shown
    assert "<svg" in shown


def test_box_fill_is_told_line_by_line(crew):
    shown = page(
        crew, "box.fill", conductors="4 of 14\n2 of 12", grounds="3 of 12", devices="1 of 12", internal_clamps="on"
    )
    assert "21.5 cubic inches" in shown
    assert "all clamps inside together" in shown
    assert "4 x 2 1/8 in round" not in shown  # it takes a device, so a device's box is offered


def test_a_run_is_a_length_not_a_bare_number_of_feet(crew):
    """100 ft of 12 AWG by the K method: 7.9 V (exam-prep worked example, seen)."""
    assert "7.9" in page(crew, "drop.by_constant", K="12.9", amps="20", one_way_ft="100 ft", cmil="6530")


def test_the_crew_reckons_nothing_of_money(crew):
    listed = crew.get(reverse("figures")).content.decode()
    for name in ("reels.plan", "bid.sum"):
        assert reverse("figure", args=[name]) not in listed
        assert crew.get(reverse("figure", args=[name])).status_code == 404


def test_reels_from_a_typed_list(estimator):
    shown = page(estimator, "reels.plan", pieces="70\n70\n30", packs="50 at 38.00\n100 at 66\n250 at 139.00")
    assert "132.00" in shown


def test_what_is_wrong_is_said_at_its_box_and_what_was_typed_stays(crew):
    shown = page(crew, "box.fill", conductors="four of twelve", edition="1820")
    assert "“four of twelve” isn't read" in shown and "give a whole number, 1999 to 2099" in shown
    assert "four of twelve</textarea>" in shown and "Answer" not in shown.split("Not reckoned")[0]


def test_what_the_engine_refuses_is_said_too(crew):
    shown = page(crew, "drop.constant_power", volts="12", watts="500", awg="18", one_way_ft="100 ft")
    assert "28.19 W at most" in shown


def test_a_length_that_can_be_read_two_ways_is_asked_about(client, db):
    feet = sign_in(client, people_of(ShopFactory(style=Style.FEET_INCHES.value))[Role.CREW])
    assert "Choose one" in page(feet, "tile.border", net="12.6", tile="24")


def test_a_figure_that_is_not_there(crew):
    assert crew.get(reverse("figure", args=["box.color"])).status_code == 404


def test_a_photometric_file_is_pasted_and_told(crew):
    """A lobe of 100 cd times the cosine, every 10 degrees: its flux is pi x 100 less the chords' 0.25 %."""
    candelas = " ".join(f"{100 * math.cos(math.radians(each)):.3f}" for each in range(0, 90, 10)) + " 0"
    text = f"IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 10 1 1 2 0 0 0\n1 1 12\n0 10 20 30 40 50 60 70 80 90\n0\n{candelas}\n"
    shown = page(crew, "light.file", text=text)
    assert "313.3" in shown and "LM-63-2002" in shown and "12 W" in shown
    wrong = page(crew, "light.file", text=text.replace("1 1 12", "1 1 twelve"))
    assert "Line 4" in wrong and "twelve" in wrong and "1 1 twelve" in wrong.split("</textarea>")[0]


def test_lights_are_typed_one_to_a_line(crew):
    """Textbook example 49.3: four of 200 cd, 10 m apart, 5 m up; 6.163 lx in the middle."""
    shown = page(crew, "light.points", sources="-15, 0, 200\n-5 0 200\n5; 0; 200\n15,0,200", height_m="5", at="0, 0")
    assert "6.16" in shown
    wrong = page(crew, "light.points", sources="-15, 0\n-5 0 200", height_m="5", at="0, 0")
    assert "“-15, 0” isn't read" in wrong and "cd" in wrong


def test_what_a_light_figure_lacks_is_said_at_its_box(crew):
    assert "give one of flux_lm" in page(crew, "light.point", height_m="8", offset_m="6")
    shown = page(crew, "light.lobe", power="1")
    assert "Field, to a tenth" in shown and "Intensity straight down" not in shown  # it takes lumens to tell that
