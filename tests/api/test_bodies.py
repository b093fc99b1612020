"""Bodies are held to the pages' own rules, each refusal names its field, and no value breaks the server."""

import pytest

from projects.jobs.models import FixtureCount
from projects.platform.permissions import Role
from tests.api.houses import problem_of, wrong_at
from tests.factories import FixtureTypeFactory, lm63_text

VISIT = {"kind": "framing", "taken_on": "2026-05-03", "taken_by": "R.", "instrument": "tape"}
BODIES = {
    "jobs": ("POST", {"number": "J-1", "name": "House", "survey_on": "2026-05-03", "style": "mm",
                      "runs_as": "retrofit", "year_built": 1961, "crew_may_move": "2 in"}),
    "job": ("PATCH", {"number": "J-1", "note": "a", "trim_on": "2026-05-03"}),
    "job_rooms": ("POST", {"name": "Den", "ceiling_system": "board", "zero_x": "left", "level": "1"}),
    "room": ("PATCH", {"name": "Den", "north": "far", "rows_run": "left_right", "note": "a"}),
    "copy_room": ("POST", {"times": 1}),
    "stages": ("POST", {"stage": 0, "note": "a", "waits_for": "GC: board",
                        "says": [{"question": "framing_done", "words": "a"}],
                        "passes": [{"guard": "rough_size", "why": "a"}]}),
    "room_hold": ("POST", {"kind": "blocked", "who": "Plumber", "why": "a"}),
    "answer_pass": ("POST", {"words": "a"}),
    "measurements": ("POST", {**VISIT, "readings": {"door": [{"value": "166 in", "taken_at_height": "48 in"}]}}),
    "counts": ("PUT", {"counts": [{"fixture_type": 1, "zone": "A", "count": 4}],
                       "wire_points": {"switch": {"from_left": "6 in", "from_door": "0 in", "height": "48 in"}}}),
    "fixture_types": ("POST", {"name": "5 in light", "kind": "light", "install": "new_work", "cutout": "5 1/4 in",
                               "watts": 9.5, "lumens": 700, "depth": "4 in", "frame_may_turn": False}),
    "fixture_type": ("PATCH", {"name": "5 in", "beam_deg": 90, "aperture": "5 in", "retired": True}),
    "light_targets": ("POST", {"space": "Bench", "lux": 750, "uniformity": 0.6, "glare_ugr": 19, "kind": "practice"}),
    "light_target": ("PATCH", {"lux": 700, "high_lux": 900, "document": "Ours", "retired": True}),
    "photometric_files": ("POST", {"text": lm63_text(), "name": "Downlight", "file_name": "d.ies"}),
    "photometric_file": ("PATCH", {"name": "Old downlight", "retired": True}),
    "verify_cutout": ("POST", {"verified_by": "R.", "verified_on": "2026-05-03"}),
    "draft": ("PATCH", {"rows": 3, "mode_along": "even", "end_setback": "24 in", "light_type": 1,
                        "typed_along": ["24 in"], "speaker_gaps": [1]}),
    "preview": ("POST", {"rows": 3, "spacing_limit": "72 in", "typed_across": ["24 in"], "speaker_columns": [1]}),
    "revisions": ("POST", {"note": "first"}),
    "cards": ("POST", {"held_by": "M.", "datum": "finished", "paper": "a4", "how": "printed"}),
}  # fmt: skip
ODD = [
    None, True, False, 0, -1, 1, 2**31, 10**18, 10**30, 0.5, -0.0, 1e300, 1e-300, "", " ", "x" * 5000, "ß" * 2,
    "\u202e", "\u200b", "e" + "\u0301" * 9, "<svg onload=alert(1)>", "{{7*7}}", "'; drop table", "1e1000000", "1000 ft",
    "119 ft", "0 in", "1/64 in", "9999-12-31", "0001-01-01", "2026-02-30", "2026-13-01", [], [[]], {}, {"nm": 0},
    {"nm": 1}, {"nm": 10**18}, {"nm": -1}, [1, 1], [0], [1000], ["1 in"] * 41, ["299 ft"], ["0 in", "0 in"],
]  # fmt: skip


def every_place(body, path=()):
    """The path of each value, groups and lists as well."""
    inside = body.items() if isinstance(body, dict) else enumerate(body) if isinstance(body, list) else ()
    for step, value in inside:
        yield (*path, step)
        yield from every_place(value, (*path, step))


def put(body, path, value):
    if not path:
        return value
    step, *rest = path
    copy = dict(body) if isinstance(body, dict) else list(body)
    copy[step] = put(copy[step], rest, value)
    return copy


def never_broken_or_unnamed(house, name, step):
    method, body = BODIES[name]
    asker, address = house.ask(), house.address(name)
    for number, path in enumerate(every_place(body)):
        for odd in ODD[number % step :: step]:
            response = asker.send(method, address, put(body, path, odd), If_Match="*")
            assert response.status_code in (200, 201, 400, 422), (path, odd, response.content[:300])
            if response.status_code == 400:
                assert all(error["detail"] for error in problem_of(response)["errors"]), (path, odd)


@pytest.mark.parametrize("name", BODIES)
def test_no_odd_value_breaks_the_server_or_goes_unnamed(house, name):
    """Each place takes an eighth of the odd values, another eighth than the place before it."""
    never_broken_or_unnamed(house, name, 8)


@pytest.mark.long
@pytest.mark.parametrize("name", BODIES)
def test_no_odd_value_in_any_place_breaks_the_server(house, name):
    never_broken_or_unnamed(house, name, 1)


@pytest.mark.parametrize("name", [name for name in BODIES if name not in ("counts", "draft", "preview")])
def test_what_the_walk_starts_from_is_taken(house, name):
    method, body = BODIES[name]
    asker = house.ask()
    response = asker.send(method, house.address(name), body, If_Match="*")
    assert response.status_code in (200, 201), response.content[:300]


def test_what_is_read_can_be_sent_back(house):
    """PUT takes what GET gives."""
    asker = house.ask()
    for name in ("build_up", "counts"):
        read = asker.get(house.address(name)).json()
        assert asker.edit("PUT", house.address(name), read).json() == read


def test_what_is_missing_is_named(house):
    asker = house.ask()
    assert set(wrong_at(asker.post(house.address("jobs")))) == {"/number", "/name"}
    assert set(wrong_at(asker.post(house.address("fixture_types")))) == {"/name", "/kind", "/install", "/cutout"}
    assert set(wrong_at(asker.post(house.address("measurements"), VISIT | {"readings": {}}))) == {""}


def test_a_value_that_says_nothing_without_another_is_not_passed_over(house):
    """A page's boxes may be left alone; a program that sends a count meant it."""
    asker = house.ask()
    body = {"counts": [{"zone": "A", "count": 4}], "wire_points": {"rack": {"beyond": "10 ft"}}}
    wrong = wrong_at(asker.edit("PUT", house.address("counts"), body))
    rack = {f"/wire_points/rack/{box}" for box in ("from_left", "from_door", "height")}
    assert set(wrong) == {"/counts/0/fixture_type"} | rack
    readings = {"door": [{"value": "166 in"}, {"taken_at_height": "48 in"}]}
    assert set(wrong_at(asker.post(house.address("measurements"), {**VISIT, "readings": readings}))) == {
        "/readings/door/1/value"
    }


def test_one_too_many_is_said_with_how_many_are_taken(house):
    readings = {"door": [{"value": "166 in"}] * 4}
    wrong = wrong_at(house.ask().post(house.address("measurements"), {**VISIT, "readings": readings}))
    assert wrong == {"/readings/door/3/value": "At most 3 here."}


@pytest.mark.parametrize(
    ("field", "value"),
    [("number", 7), ("name", True), ("survey_on", "5/3/2026"), ("survey_on", 20260503), ("survey_on", "20260503")],
)
def test_a_value_of_another_type_is_not_turned_into_one_that_fits(house, field, value):
    body = {"number": "J-1", "name": "House", field: value}
    assert list(wrong_at(house.ask().post(house.address("jobs"), body))) == [f"/{field}"]


@pytest.mark.parametrize("value", ["3", 3.0, True, None, 41, 0])
def test_a_count_is_a_whole_number(house, value):
    assert list(wrong_at(house.ask().edit("PATCH", house.address("draft"), {"rows": value}))) == ["/rows"]


def test_a_zone_that_grows_in_capitals_still_has_two_letters(house):
    """Two letters of German sharp s are four in capitals (Unicode, SpecialCasing)."""
    body = {"counts": [{"fixture_type": house.light.pk, "zone": "ßß", "count": 2}]}
    assert list(wrong_at(house.ask().edit("PUT", house.address("counts"), body))) == ["/counts/0/zone"]


def test_a_name_used_already_is_named(house):
    asker = house.ask()
    house.build("Den")
    assert "/number" in wrong_at(asker.post(house.address("jobs"), {"number": house.job.number, "name": "a"}))
    assert "/name" in wrong_at(asker.post(house.address("job_rooms"), {"name": "Den"}))
    assert "/name" in wrong_at(asker.edit("PATCH", house.address("room"), {"name": "Den"}))
    light = {"name": "5 in", "kind": "light", "install": "new_work", "cutout": "5 1/4 in"}
    assert asker.post(house.address("fixture_types"), light).status_code == 201
    assert "/name" in wrong_at(asker.post(house.address("fixture_types"), light))


# Another shop's records, in bodies and questions


def test_another_shops_fixture_type_is_no_choice(house, neighbor):
    asker, theirs = house.ask(), neighbor.light.pk
    absent = 987_654
    for name, body in (
        ("draft", lambda pk: {"light_type": pk}),
        ("draft", lambda pk: {"speaker_type": pk, "speaker_gaps": [1, 2]}),
        ("counts", lambda pk: {"counts": [{"fixture_type": pk, "count": 2}]}),
    ):
        method = "PUT" if name == "counts" else "PATCH"
        told = [wrong_at(asker.edit(method, house.address(name), body(pk))) for pk in (theirs, absent)]
        assert told[0].keys() == told[1].keys()
        assert [said.replace(str(theirs), "N") for said in told[0].values()] == [
            said.replace(str(absent), "N") for said in told[1].values()
        ]
    assert not FixtureCount.objects.filter(fixture_type=neighbor.light).exists()


def test_another_shops_job_has_no_rooms_here(house, neighbor):
    asker, rooms = house.ask(Role.VIEWER), house.address("rooms")
    theirs = asker.get(f"{rooms}?job={neighbor.job.pk}")
    assert theirs.json() == asker.get(f"{rooms}?job=987654").json()
    assert theirs.json()["count"] == 0


def test_a_speaker_is_no_light(house):
    speaker = FixtureTypeFactory(shop=house.shop, kind="speaker")
    body = {"light_type": speaker.pk}
    assert list(wrong_at(house.ask().edit("PATCH", house.address("draft"), body))) == ["/light_type"]
