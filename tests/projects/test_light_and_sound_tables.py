"""The tables of light and sound against what was read of them: published rows typed again here, by hand."""

import pytest

from projects.catalogue.table_values import OCTAVES_HZ
from projects.catalogue.tables import (
    absorption,
    fixture_types,
    light_targets,
    power_density,
    surface_reflectances,
)

ALL = [light_targets, surface_reflectances, power_density, absorption]


@pytest.mark.parametrize("table", ALL, ids=lambda table: table.__name__)
def test_every_row_says_where_it_is_from(table):
    assert len(table()) > 5
    assert [key for key, row in table().items() if not row.source.strip()] == []


@pytest.mark.parametrize("table", ALL, ids=lambda table: table.__name__)
def test_no_row_says_that_a_design_complies(table):
    said = [" ".join(str(getattr(row, name)) for name in row.__slots__) for row in table().values()]
    assert [text for text in said if "compl" in text.lower()] == []


# Targets


def test_the_rows_of_the_european_standard_as_an_excerpt_prints_them():
    """EN 12464-1:2021, filing and copying: 300 lx (modified 500), Uo 0.40, Ra 80 (seen)."""
    filing = light_targets()["office_filing"]
    assert (filing.lux, filing.high_lux, filing.uniformity, filing.color_ra) == (300, 500, 0.40, 80)
    assert (filing.document, filing.edition, filing.kind, filing.known) == ("EN 12464-1", "2021", "standard", "seen")
    assert light_targets()["office_writing"].lux == 500  # screen work, seen


def test_an_office_keeps_light_on_its_walls_and_ceiling():
    """EN 12464-1:2011-type values on a page: walls 75 lx and ceiling 50 lx at least (seen)."""
    offices = [light_targets()[key] for key in ("office_writing", "office_meeting")]
    assert {(row.wall_lux, row.ceiling_lux) for row in offices} == {(75, 50)}


FROM_MEMORY = {  # EN 12464-1:2011, from memory: lux, Uo, UGR
    "office_reception": (300, 0.60, 22), "corridor": (100, 0.40, 28), "stairs": (100, 0.40, 25),
    "washroom": (200, 0.40, 25), "canteen": (200, 0.40, 22), "kitchen_commercial": (500, 0.60, 22),
    "sales": (300, 0.40, 22), "till": (500, 0.60, 19), "hairdressing": (500, 0.60, 19),
}  # fmt: skip


@pytest.mark.parametrize("key", FROM_MEMORY)
def test_a_row_from_memory_says_so(key):
    row = light_targets()[key]
    assert (row.lux, row.uniformity, row.glare_ugr) == FROM_MEMORY[key]
    assert row.known == "memory" and "from memory" in row.source


def test_the_six_categories_as_reprinted():
    """IES Lighting Handbook, 6th to 8th edition: A 20-30-50 ... F 1000-1500-2000 lx (seen in a reprint)."""
    letters = [light_targets()[f"ies_{letter}"] for letter in "abcdef"]
    assert [(row.low_lux, row.lux, row.high_lux) for row in letters] == [
        (20, 30, 50), (50, 75, 100), (100, 150, 200), (200, 300, 500), (500, 750, 1000), (1000, 1500, 2000),
    ]  # fmt: skip


def test_levels_at_home_are_practice():
    """A page's table of home levels (seen)."""
    printed = {"living": 30, "bedroom": 50, "hall": 30, "dining_formal": 200, "dining": 100, "kitchen": 100,
               "cooktop": 300, "prep": 500, "bath": 300, "laundry": 200, "workbench": 1000}  # fmt: skip
    assert {key: light_targets()[f"home_{key}"].lux for key in printed} == printed
    assert {light_targets()[f"home_{key}"].kind for key in printed} == {"practice"}


def test_footcandles_of_a_magazine_stand_in_lux():
    """Home desk 40 fc, dining table 20 fc, living room 3 fc (trade magazine 2017, seen); 1 fc is 10.764 lx."""
    printed = {"home_desk": 40, "home_table": 20, "home_living_fc": 3}
    for key, footcandles in printed.items():
        assert light_targets()[key].lux == pytest.approx(footcandles * 10.764, abs=0.05)


def test_every_target_has_a_level_within_its_own_range():
    for row in light_targets().values():
        assert (row.low_lux or row.lux) <= row.lux <= (row.high_lux or row.lux), row.key
        assert row.kind in ("standard", "practice") and row.known in ("seen", "partly", "memory"), row.key
        assert row.document and row.edition, row.key


# Finishes


def test_good_practice_of_reflectances_is_the_old_handbooks():
    """IES Lighting Handbook, an old edition (scan seen): ceiling 65-80, walls 35-55, floor 10-20 %."""
    usual = surface_reflectances()
    ranges = [(usual[key].low, usual[key].high) for key in ("ceiling_usual", "wall_usual", "floor_usual")]
    assert ranges == [(0.65, 0.80), (0.35, 0.55), (0.10, 0.20)]
    assert [usual[key].usual for key in ("ceiling_usual", "wall_usual", "floor_usual")] == [0.8, 0.5, 0.2]


def test_no_finish_gives_back_more_than_it_gets():
    for row in surface_reflectances().values():
        assert 0 < row.low <= row.usual <= row.high < 1, row.key
        assert row.surface in ("ceiling", "wall", "floor") and row.key.startswith(row.surface), row.key


# Power

PRINTED_W_PER_FT2 = {  # ASHRAE 90.1-2019, space rows of open data that codes it (seen)
    "office_enclosed": 0.74, "conference": 0.97, "classroom": 0.71, "corridor": 0.41, "lobby": 0.84, "lounge": 0.59,
    "restroom": 0.63, "storage": 0.38, "stair": 0.49, "copy": 0.31, "dining": 0.43, "food_preparation": 1.09,
    "retail": 1.05, "guest_room": 0.41, "laundry": 0.53, "exam": 1.40, "patient": 0.68, "banking": 0.61,
    "locker": 0.52, "electrical": 0.43,
}  # fmt: skip


def test_power_by_space_is_what_open_data_prints():
    seen = {key: row.w_per_ft2 for key, row in power_density().items() if row.known == "seen"}
    assert seen == PRINTED_W_PER_FT2
    assert sum(seen.values()) == pytest.approx(13.22)  # added up by hand
    assert {(row.document, row.edition) for row in power_density().values()} == {("ASHRAE 90.1", "2019")}


def test_the_open_office_is_from_memory_and_says_so():
    rest = {key: row for key, row in power_density().items() if row.known == "memory"}
    assert {key: row.w_per_ft2 for key, row in rest.items()} == {"office_open": 0.61}
    assert "from memory" in rest["office_open"].source


def test_rows_that_could_not_be_told_from_whole_building_values_are_left_out():
    spaces = " ".join(row.space.lower() for row in power_density().values())
    assert [word for word in ("multifamily", "library", "workshop", "transport", "worship") if word in spaces] == []


def test_the_cavity_ratios_over_which_more_is_allowed():
    """The same open data (seen); what they allow is from memory."""
    printed = {"office_enclosed": 8, "conference": 6, "classroom": 4, "restroom": 8, "stair": 10, "storage": 6}
    assert {key: row.more_over_rcr for key, row in power_density().items() if row.more_over_rcr} == printed


# Sound

PRINTED_ALPHA = {  # public copies of the usual absorption table, octaves 125 to 4000 Hz (seen)
    "gypsum_studs": (0.29, 0.10, 0.05, 0.04, 0.07, 0.09),
    "gypsum_other": (0.10, 0.08, 0.05, 0.03, 0.03, 0.03),
    "carpet_on_concrete": (0.02, 0.06, 0.14, 0.37, 0.60, 0.65),
    "carpet_on_pad": (0.08, 0.24, 0.57, 0.69, 0.71, 0.73),
    "wood_on_joists": (0.15, 0.11, 0.10, 0.07, 0.06, 0.07),
    "concrete": (0.01, 0.01, 0.02, 0.02, 0.02, 0.02),
    "window_glass": (0.35, 0.25, 0.18, 0.12, 0.07, 0.04),
    "plate_glass": (0.18, 0.06, 0.04, 0.03, 0.02, 0.02),
    "velour_half": (0.14, 0.35, 0.55, 0.72, 0.70, 0.65),
    "plaster_lath": (0.14, 0.10, 0.06, 0.04, 0.04, 0.03),
}


def test_absorption_is_what_public_copies_print():
    assert {key: row.alpha for key, row in absorption().items() if "seen" in row.source} == PRINTED_ALPHA


def test_every_material_has_a_number_for_each_octave_and_a_surface_it_covers():
    assert OCTAVES_HZ == (125, 250, 500, 1000, 2000, 4000)
    for row in absorption().values():
        assert len(row.alpha) == 6 and all(0 < alpha < 1 for alpha in row.alpha), row.key
        assert row.surfaces and set(row.surfaces) <= {"ceiling", "wall", "floor"}, row.key
        assert ("from memory" in row.source) == ("seen" not in row.source), row.key


# Types in the catalog


def test_every_generic_light_has_what_its_lobe_stands_on():
    for row in fixture_types().values():
        if row.kind == "light":
            assert row.lumens and row.beam_deg, row.key
            assert "no source" in row.source


def test_every_generic_speaker_has_what_its_level_stands_on():
    for row in fixture_types().values():
        if row.kind != "light":
            assert row.sensitivity_db and row.watts, row.key
            assert "no source" in row.source
