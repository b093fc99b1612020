"""Photometric files and levels of light over the API: what the pages do, by JSON."""

import hashlib

import pytest
from django.urls import reverse

from projects.catalogue.models import LightTarget, PhotometricFile
from projects.platform.permissions import Role
from tests.api.houses import problem_of, wrong_at
from tests.api.test_lists import MORE, queries_of
from tests.factories import LightTargetFactory, PhotometricFileFactory, lm63_text

TEXT = lm63_text()


@pytest.fixture
def asker(house):
    return house.ask(Role.ESTIMATOR)


def files():
    return reverse("api:photometric_files")


def levels(key=None):
    return reverse("api:light_target", args=[key]) if key else reverse("api:light_targets")


# Photometric files


def test_a_file_is_put_in_as_text_and_read_back_as_it_was_given(asker):
    answer = asker.post(files(), {"text": TEXT, "file_name": "../lights/Downlight.ies"})
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["name"], told["file_name"], told["format"]) == ("Downlight", "Downlight.ies", "LM-63-2002")
    assert told["digest"] == hashlib.sha256(TEXT.strip().encode()).hexdigest()
    assert asker.get(answer["Location"]).json() == told
    assert "text" not in told
    text = asker.get(reverse("api:photometric_text", args=[told["id"]])).json()
    assert text == {"file_name": "Downlight.ies", "format": "LM-63-2002", "text": TEXT}


def test_the_same_file_again_is_the_one_kept(house, asker):
    first = asker.post(files(), {"text": TEXT})
    again = asker.post(files(), {"text": TEXT.replace("\n", "\r\n"), "name": "Another"})
    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json() == first.json()


HOSTILE = {
    "too few candelas": TEXT.replace(" 0\n", "\n"),
    "not a number": TEXT.replace("1000 ", "NaN "),
    "a billion angles": TEXT.replace(" 4 1 1 2 ", " 1000000000 1 1 2 "),
    "type B": TEXT.replace(" 4 1 1 2 ", " 4 1 2 2 "),
    "tilt elsewhere": TEXT.replace("TILT=NONE", "TILT=../../etc/passwd"),
    "units of 3": TEXT.replace(" 4 1 1 2 ", " 4 1 1 3 "),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_a_broken_file_is_refused_by_line_and_token(house, asker, case):
    before = PhotometricFile.objects.of(house.shop).count()
    [error] = problem_of(asker.post(files(), {"text": HOSTILE[case]}), 400)["errors"]
    assert error["pointer"] == "/text"
    assert error["line"] >= 1 and error["expected"] and "token" in error
    assert PhotometricFile.objects.of(house.shop).count() == before


def test_what_is_no_text_is_refused_as_a_whole(house, asker):
    before = PhotometricFile.objects.of(house.shop).count()
    problem_of(asker.post(files(), {"text": TEXT.replace("Invented", "In\0vented")}), 400)
    assert PhotometricFile.objects.of(house.shop).count() == before


@pytest.mark.parametrize("body", [{}, {"text": ""}, {"text": 5}, {"text": TEXT, "shop": 1}])
def test_a_body_of_another_shape_is_refused_by_field(asker, body):
    assert wrong_at(asker.post(files(), body))


def test_a_body_too_large_is_refused_before_it_is_read(asker):
    problem_of(asker.post(files(), {"text": "1 " * 1_000_001}), 413)


def test_a_files_name_is_changed_from_what_was_seen(house, asker):
    where = house.address("photometric_file")
    assert asker.edit("PATCH", where, {"name": "Bench light", "retired": True}).json()["retired"] is True
    stale = asker.send("PATCH", where, {"name": "Other"}, If_Match='"0-0"')
    assert problem_of(stale, 412)["theirs"] == {"name": "Bench light"}
    assert wrong_at(asker.edit("PATCH", where, {"flux_lm": 5})) == {
        "/flux_lm": "There is no such field here. Leave it out, or check its name."
    }


def test_a_light_type_takes_the_shops_own_file_alone(house, asker):
    mine, theirs = PhotometricFileFactory(shop=house.shop), PhotometricFileFactory()
    where = house.address("fixture_type")
    assert asker.edit("PATCH", where, {"photometric": mine.pk}).json()["photometric"] == mine.pk
    assert "/photometric" in wrong_at(asker.edit("PATCH", where, {"photometric": theirs.pk}))
    assert asker.edit("PATCH", where, {"name": "Renamed"}).json()["photometric"] == mine.pk
    assert asker.edit("PATCH", where, {"photometric": None}).json()["photometric"] is None


# Levels


def test_the_levels_are_the_tables_and_the_shops(house, asker):
    told = asker.get(levels() + "?page_size=200").json()["results"]
    by_key = {row["key"]: row for row in told}
    desk = by_key["office_writing"]
    assert (desk["lux"], desk["uniformity"], desk["kind"], desk["own"]) == (500, 0.6, "standard", False)
    assert desk["footcandles"] == pytest.approx(46.45, abs=0.01)  # 500 / 10.764
    assert by_key[house.ids["target_key"]]["own"] is True


def test_a_level_of_the_table_is_changed_and_put_back(house, asker):
    where = levels("office_writing")
    before = asker.get(where)
    changed = asker.edit("PATCH", where, {"lux": 400}).json()
    assert (changed["lux"], changed["changed"], changed["document"]) == (400, True, "EN 12464-1")
    stale = asker.send("PATCH", where, {"lux": 450}, If_Match=before["ETag"])
    assert problem_of(stale, 412)["theirs"] == {"lux": 400}
    back = asker.post(reverse("api:put_back_target", args=["office_writing"]))
    assert back.json() == before.json()
    assert not LightTarget.objects.of(house.shop).filter(key="office_writing").exists()


def test_a_level_is_added_once(asker):
    body = {"space": "Sewing table", "lux": 750, "source": "our own practice"}
    answer = asker.post(levels(), body)
    assert answer.status_code == 201 and answer["Location"] == levels("sewing-table")
    assert "/space" in wrong_at(asker.post(levels(), body))
    assert set(wrong_at(asker.post(levels(), {"lux": "NaN"}))) == {"/space", "/lux"}


# How much it asks of the database


@pytest.mark.parametrize("name", ["photometric_files", "light_targets"])
def test_a_list_costs_the_same_however_long(house, name):
    asker, where = house.ask(Role.VIEWER), house.address(name)
    asker.get(where)
    few = queries_of(lambda: asker.get(where))
    {"photometric_files": PhotometricFileFactory, "light_targets": LightTargetFactory}[name].create_batch(
        MORE, shop=house.shop
    )
    assert queries_of(lambda: asker.get(where)) == few
