"""The cable schedule: each run numbered once, its piece cut to the whole foot, its reel, what is lost on the way."""

from decimal import Decimal

import pytest

from layout.engine.lengths import Unit, feet, inches, mm
from layout.engine.wiring.values import Part, Run, RunKind
from projects.catalogue.tables import label_sheets, takeoff_rules
from reports.cables.labels import EndLabel, pages
from reports.estimating.cable_schedule import Opened, RoomCables, cable_plans, cable_schedule, fitting, piece
from reports.estimating.run_losses import SpeakerLoad, power_losses, speaker_losses

OPEN = takeoff_rules().waste["open"].percent
WASTE = {"14/2": OPEN, "speaker_16/2": OPEN}


def run(kind, from_id, to_id, length, *, cable="14/2", zone="A", circuit="1"):
    return Run(kind, cable, from_id, to_id, ((Part.PATH, feet(length)),), zone, circuit)


def house_room(number=2, name="Den", speaker_feet=40):
    runs = (
        run(RunKind.SWITCH_LEG, "switch", "A1", 10),
        run(RunKind.HOP, "A1", "A2", 10),
        run(RunKind.HOP, "A2", "A3", 10),
        run(RunKind.HOMERUN, "switch", "panel", 50),
        run(RunKind.SPEAKER, "SP1", "rack", speaker_feet, cable="speaker_16/2", zone="", circuit=""),
    )
    return RoomCables(number, name, runs, WASTE, room_id=number)


def test_a_cable_bears_its_rooms_number_and_what_it_feeds_and_the_homerun_is_pulled_first():
    cables = cable_schedule([house_room()])
    assert [cable.id for cable in cables] == ["2-H1", "2-A1", "2-A2", "2-A3", "2-SP1"]


def test_no_two_cables_of_a_job_bear_the_same_number():
    twice = RoomCables(3, "Hall", (run(RunKind.HOP, "A1", "A2", 5), run(RunKind.HOP, "A3", "A2", 5)), WASTE)
    numbers = [cable.id for cable in cable_schedule([house_room(), house_room(4, "Loft"), twice])]
    assert len(numbers) == len(set(numbers)) == 12


def test_a_piece_has_its_share_of_waste_and_is_cut_to_the_next_whole_foot():
    # 40 ft with 10 percent are 44 ft exactly; a sixteenth of an inch more takes the 45th.
    assert piece(feet(40), OPEN) == feet(44)
    assert piece(feet(40) + inches("1/16"), OPEN) == feet(45)
    assert piece(mm(10_000), OPEN, Unit.MM) == mm(11_000)
    assert piece(mm(10_001), OPEN, Unit.MM) == mm(11_500)


def test_kinds_of_cable_are_planned_apart_and_opened_reels_come_first():
    # Pieces of 14/2: 55, 11, 11, 11. An opened reel of 60 ft takes the 55; a 50 ft coil the 33 left.
    cables = cable_schedule([house_room()])
    packs = {
        "14/2": [(feet(50), Decimal("38.00")), (feet(250), Decimal("139.00"))],
        "speaker_16/2": [(feet(100), Decimal("41.00"))],
    }
    power, speaker = cable_plans(cables, packs, {"14/2": [Opened("half a coil", feet(60), 7)]})
    assert (power.cable, power.cost, power.to_buy) == ("14/2", Decimal("38.00"), ((feet(50), 1),))
    assert [(reel.name, [cable.id for cable in reel.cables], reel.left) for reel in power.reels] == [
        ("half a coil", ["2-H1"], feet(5)),
        ("", ["2-A1", "2-A2", "2-A3"], feet(17)),
    ]
    assert (speaker.cost, speaker.leftover) == (Decimal("41.00"), feet(56))


def test_a_cable_longer_than_every_reel_is_named_and_the_rest_is_planned():
    cables = cable_schedule([house_room(speaker_feet=300), house_room(3, "Loft")])
    plans = {each.cable: each for each in cable_plans(cables, {"speaker_16/2": [(feet(100), None)]}, {})}
    speaker = plans["speaker_16/2"]
    assert [cable.id for cable in speaker.too_long] == ["2-SP1"]
    assert [[cable.id for cable in reel.cables] for reel in speaker.reels] == [["3-SP1"]]
    # Nobody sells 14/2 here: every cable of it is named, and no reel is made up.
    assert len(plans["14/2"].too_long) == 8
    assert plans["14/2"].reels == ()


def test_what_still_comes_off_a_reel_is_offered_the_longest_first():
    cables = cable_schedule([house_room()])
    assert [cable.id for cable in fitting(cables, feet(44))] == ["2-SP1", "2-A1", "2-A2", "2-A3"]


# By hand, 14 AWG solid copper at 75 C: 3.07 ohm per 1000 ft (NEC chapter 9, Table 8, from memory). Three lights of 1 A.
# Homerun 50 ft and leg 10 ft carry 3 A, then 2 A and 1 A over 10 ft each, there and back:
# 2 x 3.07 / 1000 x (50 x 3 + 10 x 3 + 10 x 2 + 10 x 1) = 1.289 V, 1.07 % of 120 V.
def test_volts_lost_add_up_along_the_chain():
    lost = power_losses(house_room().runs, {"A1": 1.0, "A2": 1.0, "A3": 1.0}, {})
    last = lost[run(RunKind.HOP, "A2", "A3", 10).key]
    assert last.volts == pytest.approx(1.289, rel=0.005)
    assert last.percent == pytest.approx(1.07, rel=0.01)
    assert last.from_panel
    homerun = lost[run(RunKind.HOMERUN, "switch", "panel", 50).key]
    assert homerun.volts == pytest.approx(2 * 3.07 / 1000 * 50 * 3, rel=0.005)


def test_a_light_whose_load_nobody_knows_leaves_its_circuit_unsaid():
    assert power_losses(house_room().runs, {"A1": 1.0, "A2": 1.0}, {}) == {}


def test_without_a_panel_the_loss_is_from_the_switch_on():
    runs = [each for each in house_room().runs if each.kind is not RunKind.HOMERUN]
    lost = power_losses(runs, {"A1": 1.0, "A2": 1.0, "A3": 1.0}, {})
    last = lost[run(RunKind.HOP, "A2", "A3", 10).key]
    assert not last.from_panel
    assert last.volts == pytest.approx(2 * 3.07 / 1000 * 60, rel=0.005)


# 16 AWG at 20 C is 4.016 ohm per 1000 ft (wire tables, from memory): 40 ft there and back 0.3213 ohm; into 8 ohm
# 20 log10(8.3213 / 8) = 0.342 dB.
def test_level_lost_to_a_speaker():
    lost = speaker_losses(house_room().runs, SpeakerLoad({"SP1": 8.0}))
    assert next(iter(lost.values())).db == pytest.approx(0.342, abs=0.003)


PAPERS = {"letter": (inches("8 1/2"), inches(11)), "A4": (mm(210), mm(297))}  # ANSI Y14.1, ISO 216


@pytest.mark.parametrize("sheet", label_sheets().values(), ids=lambda sheet: sheet.key)
def test_the_labels_of_a_sheet_lie_on_its_paper_side_by_side(sheet):
    wide, high = PAPERS[sheet.paper]
    assert sheet.across >= sheet.width
    assert sheet.down >= sheet.height
    assert sheet.left + sheet.across * (sheet.columns - 1) + sheet.width <= wide
    assert sheet.top + sheet.down * (sheet.rows - 1) + sheet.height <= high
    # What is left at the right edge is what was left at the left one, within what a printer may be off.
    assert abs(wide - sheet.left * 2 - sheet.across * (sheet.columns - 1) - sheet.width) < mm(3)


def test_a_sheet_that_was_begun_is_filled_from_its_first_free_label():
    sheet = label_sheets()["letter_30"]
    ends = [EndLabel(str(number), "A1", "A2", "14/2", "Den") for number in range(31)]
    first, second = pages(ends, sheet, first=30)
    assert [(each.label.number, each.row, each.column) for each in first] == [("0", 9, 2)]
    assert [(each.row, each.column) for each in (second[0], second[-1])] == [(0, 0), (9, 2)]
