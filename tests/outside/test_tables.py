"""The trade's tables against what is published or common practice outside them. Needs no database."""

import json
from fractions import Fraction

import pytest

from layout.engine.lengths import ZERO, feet, inches, mm
from projects.catalogue import tables


def _entries(node, path=""):
    """Every object in a table that has a key, a number or a purpose: what must say where it came from."""
    if isinstance(node, list):
        for at, child in enumerate(node):
            yield from _entries(child, f"{path}[{at}]")
    elif isinstance(node, dict):
        if {"key", "number", "purpose"} & node.keys():
            yield path, node
        for name, child in node.items():
            yield from _entries(child, f"{path}.{name}")


def _millimeters(length):
    return float(round(length.mm, 1))


# --- lengths as the tables write them


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("7/8 in", inches(Fraction(7, 8))),
        ("1 1/4 in", inches(Fraction(5, 4))),
        ("4 ft", inches(48)),
        ("12.5 mm", mm("12.5")),
        ("0 in", ZERO),
    ],
)
def test_a_table_length_is_read_exactly(text, length):
    assert tables.read_length(text) == length


@pytest.mark.parametrize(
    "text", ["7/8", "7/8in", '7/8"', "-1 in", "1/0 in", "1  1/4 in", "1e3 mm", "4 cm", "", "٤ in", "4 in\n"]
)
def test_a_length_written_any_other_way_is_refused(text):
    with pytest.raises(tables.TableError):
        tables.read_length(text)


def test_an_entry_with_a_key_too_many_is_refused():
    entry = json.loads((tables.FOLDER / "layers.json").read_text())["layers"][0] | {"color": "white"}
    with pytest.raises(tables.TableError, match=r"board_1_2.*color"):
        tables._read(tables.Layer, entry, "layers")


# --- every table


@pytest.mark.parametrize("path", sorted(tables.FOLDER.glob("*.json")), ids=lambda path: path.stem)
def test_every_entry_says_where_it_came_from(path):
    table = json.loads(path.read_text(encoding="utf-8"))
    if path.stem.startswith("demo"):
        assert table["source"].casefold().startswith("invented for the demo")
        return
    found = list(_entries(table))
    assert found
    assert [at for at, entry in found if not entry.get("source", "").strip()] == []


# --- build-ups


def test_layers_are_as_thick_as_handbooks_and_sheets_give_in_millimeters():
    """1/2 in and 5/8 in gypsum panels are sold as 12.7 and 15.9 mm (ASTM C1396, from memory); a 7/8 in hat channel as
    22.2 mm (steel framing sheets, from memory)."""
    layers = tables.layers()
    assert _millimeters(layers["board_1_2"].thickness) == 12.7
    assert _millimeters(layers["board_5_8"].thickness) == 15.9
    assert _millimeters(layers["hat_channel_7_8"].thickness) == 22.2
    assert _millimeters(layers["hat_channel_1_1_2"].thickness) == 38.1


def test_an_isolated_wall_takes_two_and_seven_eighths():
    """Common practice, no source: clip and channel 1 5/8 in, two boards of 5/8 in; a room loses 5 3/4 in an axis."""
    layers = tables.layers()
    parts = layers["clip_channel_1_5_8"].thickness + layers["board_5_8"].thickness * 2
    assert parts == layers["isolated_wall_2_7_8"].thickness == inches("2 7/8")


def test_the_eleven_kinds_of_ceiling_name_layers_that_exist_and_fit_their_surface():
    systems, layers = tables.ceiling_systems(), tables.layers()
    assert len(systems) == 11
    for system in systems.values():
        assert all("wall" in layers[key].surfaces for key in system.wall_layers), system.key
        assert all("ceiling" in layers[key].surfaces for key in system.ceiling_layers), system.key
        assert system.edge_min == inches(4)


def test_every_kind_of_ceiling_is_laid_out():
    for system in tables.ceiling_systems().values():
        assert system.layout_ready, system.key


def test_a_cloud_stands_a_foot_off_the_wall_and_nothing_else_does():
    gaps = {key: system.perimeter_gap for key, system in tables.ceiling_systems().items()}
    assert gaps.pop("cloud") == feet(1)
    assert set(gaps.values()) == {ZERO}


# --- fixture types

USUAL_CUTOUT = {  # common practice, no source: nominal inches to the range of hole sizes
    ("light", "2"): ("2 1/4", "2 3/4"),
    ("light", "3"): ("3 1/8", "3 1/2"),
    ("light", "4"): ("4 1/8", "4 1/2"),
    ("light", "5"): ("5 1/4", "5 5/8"),
    ("light", "6"): ("6 1/4", "6 7/8"),
    ("light", "8"): ("8 1/4", "8 3/4"),
    ("speaker", "5 1/4"): ("7", "8"),
    ("speaker", "6 1/2"): ("8 1/8", "9 1/4"),
    ("speaker", "8"): ("9 1/2", "11"),
}


@pytest.mark.parametrize(("kind", "nominal"), USUAL_CUTOUT)
def test_a_nominal_size_is_cut_within_the_usual_range(kind, nominal):
    low, high = (inches(bound) for bound in USUAL_CUTOUT[kind, nominal])
    sized = [t for t in tables.fixture_types().values() if t.kind == kind and t.aperture == inches(nominal)]
    assert len(sized) >= 2
    assert [t.key for t in sized if not low <= t.cutout <= high] == []


def test_no_cutout_in_the_table_is_taken_for_verified():
    assert not any(t.cutout_verified for t in tables.fixture_types().values())


def test_no_light_is_called_ic_before_its_label_is_read():
    lights = [t for t in tables.fixture_types().values() if t.kind == "light"]
    assert {t.ic_label for t in lights} == {"unknown until label is read"}


def test_a_trim_covers_its_hole():
    covered = [t for t in tables.fixture_types().values() if t.install != "tbar"]
    assert [t.key for t in covered if not t.trim_od > t.cutout + t.cutout_tolerance] == []


def test_new_work_has_a_frame_and_old_work_clips():
    for kind in tables.fixture_types().values():
        assert (kind.frame is not None) == (kind.install == "new_work"), kind.key
        assert (kind.clip_swing is not None) == (kind.install == "old_work"), kind.key


def test_a_frame_holds_its_opening():
    for kind in tables.fixture_types().values():
        if frame := kind.frame:
            ends = (frame.opening_from_end, frame.length - frame.opening_from_end)
            sides = (frame.opening_from_side, frame.width - frame.opening_from_side)
            assert min(*ends, *sides) >= kind.cutout / 2, kind.key


def test_new_work_frames_go_between_joists_on_sixteen_or_twenty_four_inch_centers():
    """Geometry: 16 in less a 1 1/2 in joist is 14 1/2 in; 24 in less 1 1/2 in is 22 1/2 in."""
    for kind in tables.fixture_types().values():
        if kind.frame:
            narrow = min(kind.frame.length, kind.frame.width)
            assert narrow <= (inches("22 1/2") if kind.aperture == inches(10) else inches("14 1/2")), kind.key


def test_a_cutout_is_whole_in_the_marks_a_layout_is_reckoned_in():
    """A hole is halved: 1/32 in or 1/2 mm is the finest a diameter can be given to."""
    for kind in tables.fixture_types().values():
        assert (kind.cutout.inches * 32).denominator == 1 or (kind.cutout.mm * 2).denominator == 1, kind.key


# --- spacing


def test_half_the_height_a_foot_for_an_inch_and_the_work_plane():
    """Trade articles: 8 ft ceilings 4 ft apart; 4 in lights 4 ft. Handbooks: a 30 in work plane, from memory."""
    rules = {rule.letter: rule for rule in tables.spacing_rules().rules}
    assert [rules[letter].key for letter in "ABC"] == ["half_height", "nominal_size", "criterion"]
    assert rules["C"].workplane == inches(30)


def test_walls_scallop_under_eighteen_inches_and_go_dark_past_three_and_a_half_feet():
    """Common practice, no source."""
    said = tables.spacing_rules().walls.text
    assert said["scallop"].startswith("Under 18 in off the wall")
    assert said["cave"].startswith("Over 3 ft 6 in off the wall")
    assert said["share"].startswith("Between a third and a half of the gap")


# --- checklist


def test_forty_six_lines_each_numbered_once_in_order():
    assert [item.number for item in tables.checklist().items] == list(range(1, 47))


def test_the_list_defers_to_code_and_the_licensed_trade():
    assert tables.checklist().closing == (
        "Local code and the licensed trade decide; this list is not legal advice."
    )


def test_lines_stand_in_their_groups_and_under_known_conditions():
    checklist = tables.checklist()
    table = json.loads((tables.FOLDER / "rough_in_checklist.json").read_text())
    order = [checklist.groups.index(item.group) for item in checklist.items]
    assert order == sorted(order)
    for item in checklist.items:
        assert item.applies and set(item.applies) <= table["conditions"].keys(), item.number
        assert item.once_per in {"job", "floor", "room"}, item.number


@pytest.mark.parametrize("number", [3, 4, 5, 6, 7, 9, 10, 11, 18, 21, 24, 34, 37, 38])
def test_what_can_hurt_someone_is_a_caution(number):
    assert tables.checklist().items[number - 1].caution


def test_no_line_and_no_ceiling_is_said_to_comply():
    text = " ".join(path.read_text(encoding="utf-8").casefold() for path in tables.FOLDER.glob("*.json"))
    assert "complies" not in text and "compliant" not in text and "code-approved" not in text


# --- takeoff


def test_a_tape_of_wire_rules():
    """Common practice, no source: 9 in at each box end, 3 ft in the panel and 1 ft over, switch at 48 in, 12 in at it,
    3 ft at a speaker, 8 ft at the rack. Staples: 12 in and 4 1/2 ft, rough-in lists quoting the 2008 NEC."""
    wire = {key: rule.length for key, rule in tables.takeoff_rules().wire.items()}
    assert (wire["box_end"], wire["panel_make_up"], wire["home_run_extra"]) == (feet("0.75"), feet(3), feet(1))
    assert (wire["switch_height"], wire["switch_make_up"]) == (feet(4), feet(1))
    assert (wire["speaker_loop"], wire["rack_loop"]) == (feet(3), feet(8))
    assert (wire["staple_near_box"], wire["staple_step"]) == (feet(1), feet("4.5"))


def test_a_switch_leg_by_hand():
    """A worked sum: 9 ft ceiling, switch at 4 ft: 5 down, 10 along, 1 at the switch, 3/4 at the light: 16 3/4 ft."""
    wire = {key: rule.length for key, rule in tables.takeoff_rules().wire.items()}
    leg = (feet(9) - wire["switch_height"]) + feet(10) + wire["switch_make_up"] + wire["box_end"]
    assert leg == feet("16.75")


def test_spares_and_cables_name_what_exists():
    rules = tables.takeoff_rules()
    assert all(key in rules.items for spare in rules.spares for key in spare.items)
    assert all(cable.waste in rules.waste for cable in rules.cables.values())
    assert all(list(cable.packs) == sorted(cable.packs) for cable in rules.cables.values())
    assert all(0 <= rule.percent <= 20 for rule in rules.waste.values())


@pytest.mark.parametrize(
    ("kind", "install", "key"),
    [("light", "new_work", "housing"), ("light", "old_work", "remodel_light"), ("light", "tbar", "grid_light")],
)
def test_each_light_is_bought_as_one_thing(kind, install, key):
    bought = [
        item.key
        for item in tables.takeoff_rules().items.values()
        if item.per == kind
        and item.category == "fixtures"
        and not item.optional
        and (not item.installs or install in item.installs)
        and item.key != "trim"
    ]
    assert bought == [key]


# --- stages


def test_stages_run_from_bid_to_close_out():
    stages = tables.stages()
    assert [stage.number for stage in stages] == list(range(13))
    assert [stages[n].name for n in (0, 5, 6, 12)] == ["Bid", "Rough-in", "Inspection", "Close-out"]
    assert [stage.hold_point for stage in stages if stage.hold_point] == ["H1", "H2", "H3", "H4"]
    assert {stage.fill for stage in stages} == {"not_started", "in_hand", "waiting", "done"}
