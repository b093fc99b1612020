"""What a card says of framing, frames, tiles, slopes, zones and what a person holds. Hand sums beside each number."""

from dataclasses import replace
from datetime import timedelta
from functools import cache

import pytest
from django.utils import timezone

from layout.engine.lengths import inches
from layout.engine.marks import Kind
from layout.engine.pins import Line
from layout.models import DraftPin, MovedMark, WayTaken
from projects.catalogue.tables import takeoff_rules
from projects.ceilings.models import JoistRun, OddMember, OutlineCorner, Region, Thing
from projects.ceilings.services import ceiling_of, change_ceiling
from projects.ceilings.values import Entered, entered
from projects.jobs.services import set_build_up
from reports.contents import room_contents, room_ref
from reports.documents.card import card_pdf
from reports.documents.sheet import CheckLine, Note
from reports.estimating.takeoff import room_takeoff
from reports.queries import revision_with_marks
from reports.sheets import card_sheet
from tests.factories import FixtureTypeFactory, JobFactory, MemberFactory, RoomFactory, ShopFactory
from tests.reports.cards import card, den
from tests.reports.test_card import pages, words
from tests.shops import draft_room, fresh, issue, tape_room

# On paper


@cache
def told():
    """One card with all there is to say."""
    sheet = card(
        not_cut="A2 A6",
        wont_fit=("Won't fit: A2's frame is 1\" too near joist 3.",),
        notes=(Note("Turn the frames", ("A1–A8: long side along the joists, box toward the hall wall",)),),
        may_move='without asking: up to 3"',
    )
    framing = (CheckLine('joists 16" on center, 1 1/2" wide: joist 1, center from the hall wall framing', '10"'),)
    check = replace(sheet.check, framing=framing, if_framing_differs='Off by more than 1/4": stop.')
    slope = tuple(replace(one, also=(("on the slope", "24 1/16"),)) for one in sheet.along.columns)
    along = replace(sheet.along, columns=slope, said="big: on the plan")
    return card_pdf(replace(sheet, check=check, along=along))


@pytest.mark.parametrize(
    "said",
    [
        "WON'T FIT, DO NOT CUT: A2 A6",
        "A2's frame is 1\" too near joist 3.",
        "joist 1, center from the hall wall framing 10",
        'Off by more than 1/4": stop.',
        "box toward the hall wall",
        'without asking: up to 3"',
        "on the slope",
        "24 1/16",
        "big: on the plan",
    ],
)
def test_the_card_says_it_on_its_one_page(said):
    assert len(pages(told())) == 1
    assert said in words(told())


def test_a_card_has_no_solvers_words_and_never_says_a_design_complies():
    said = words(told()).lower()
    wrong = ("infeasible", "unevenness", "repair", "objective", "violation", "complies")
    assert [word for word in wrong if word in said] == []


@cache
def lobby():
    """24 marks on a small plan: no room beside each mark for its name."""
    return card_pdf(card(den(6, 4, 0), room="Lobby", notes=(Note("Heights", ('tray: 4" up',)),)))


def test_every_marks_id_is_on_the_paper_of_a_crowded_room():
    overleaf = pages(lobby())[1].extract_text().split()
    assert [one for one in (f"A{n}" for n in range(1, 25)) if one not in overleaf] == []


def test_notes_of_a_crowded_card_stand_overleaf_and_are_not_lost():
    assert len(pages(lobby())) == 2
    assert 'tray: 4" up' in pages(lobby())[1].extract_text()


# From a room's records: 240 x 120 in between framing, drywall of 1/2 in at each wall, lights 24 in off the finish


@pytest.fixture
def room(db):
    room = RoomFactory(job=JobFactory(shop=ShopFactory()), name="Den", door_wall="hall wall", left_wall="low wall")
    set_build_up(room, [(wall, "drywall", inches("1/2")) for wall in ("door", "left", "far", "right")])
    tape_room(room, "framing", "240", "120")
    light = FixtureTypeFactory(
        shop=room.shop, cutout=inches(4), install="new_work", frame_length=inches(12), frame_width=inches(8),
        opening_from_end=inches(4), opening_from_side=inches(4), frame_may_turn=True,
    )  # fmt: skip
    draft_room(
        room, lights_per_row=4, end_setback=inches(24), row_setback=inches(24), spacing_limit=inches(90),
        speaker_gaps="", speaker_type=None, light_type=light,
    )  # fmt: skip
    return room


def joists(first="10", spacing="24", **more):
    spaced = {"spacing": inches(spacing), "width": inches("1 1/2"), "first": inches(first)}
    return JoistRun(runs="left_right", first_from="door", **spaced, **more)


def enter(room, *, framing="found", columns=None, **rows):
    ceiling = ceiling_of(fresh(room))
    told = {"framing": framing, "looked_by": "R."} | (columns or {})
    change_ceiling(ceiling, ceiling.version, Entered(entered(None).columns | told, **rows))


def sheet_of(room, **more):
    revision = issue(room, **more)
    return card_sheet(revision_with_marks(room, revision.number), fresh(room))


def note(sheet, title):
    return next((one.lines for one in sheet.notes if one.title == title), ())


def test_joists_that_were_entered_are_to_be_proved_before_a_cut(room):
    enter(room, joists=(joists(),))
    sheet = sheet_of(room)
    assert sheet.framing_checked
    (line,) = sheet.check.framing
    assert line.what.startswith('joists 24" on center, 1 1/2" wide')
    assert line.what.endswith("joist 1, center from the hall wall framing") and line.expect == '10"'
    assert 'more than 1/4"' in sheet.check.if_framing_differs and "Found on site" in sheet.check.if_framing_differs


def test_a_doubled_joist_is_found_by_its_own_number(room):
    double = OddMember(name="double", runs="left_right", at=inches(58), at_from="door", width=inches(3))
    enter(room, joists=(joists(),), members=(double,))
    assert [line.expect for line in sheet_of(room).check.framing] == ['10"', '58"']


def test_framing_that_is_hung_as_wanted_was_looked_at_and_asks_for_nothing(room):
    enter(room, framing="none")
    sheet = sheet_of(room)
    assert sheet.framing_checked and sheet.check.framing == () and not note(sheet, "Turn the frames")


def test_frames_lie_along_the_joists_with_the_box_toward_a_wall(room):
    """Rows at 24 1/2 and 95 1/2 from framing, joists at 10, 34, 58, 82, 106: a frame 8 in wide clears along them."""
    enter(room, joists=(joists(),))
    (line,) = note(sheet_of(room), "Turn the frames")
    assert line.startswith("A1–A8: long side along the joists, box toward the ")


def test_once_the_drywall_is_up_nobody_is_told_to_turn_a_frame(room):
    enter(room, joists=(joists(),))
    room.stage = 8
    room.save()
    assert not note(sheet_of(room), "Turn the frames")


def test_marks_on_a_joist_are_named_in_capitals_and_in_words(room):
    """A joist at 24 1/2 from framing is on row 1's own line; the next at 48 1/2, 72 1/2, 96 1/2: on row 2's too."""
    enter(room, joists=(joists(first="24 1/2"),))
    sheet = sheet_of(room)
    assert sheet.not_cut == "A1–A8"
    assert sheet.wont_fit and all(line.startswith("Won't fit: ") for line in sheet.wont_fit)
    assert not set(sheet.wont_fit) & set(sheet.findings)


def test_a_clearance_by_note_follows_on_to_the_card_with_its_source(room):
    register = Thing(
        what="register", name="Register", x=inches(120), y=inches(60), wide=inches(12), deep=inches(6),
        clear=inches(5), note="Deflector fitted",
    )  # fmt: skip
    enter(room, things=(register,))
    (line,) = note(sheet_of(room), "Kept clear by note")
    assert line.startswith('Register: 5" kept. Deflector fitted [')


def test_a_pinned_column_and_a_moved_mark_say_so_with_where_they_were(room):
    """Finished 239: columns 24, 87 11/16, 151 5/16, 215; from framing 1/2 more."""
    DraftPin.objects.create(draft=room.draft, line=Line.COLUMN.value, number=2, at=inches(90))
    MovedMark.objects.create(
        draft=room.draft, kind=Kind.LIGHT.value, row=2, number=1, along=inches(27), across=inches(95)
    )
    sheet = sheet_of(room)
    assert note(sheet, "Pinned: leave") == ('column 2 (A2 A6) at 90 1/2"',)
    assert note(sheet, "Moved by hand") == ('A5 stands alone; its line was 24 1/2" along, 95 1/2" across',)


def test_a_way_out_is_on_the_card_with_its_reason_until_it_is_put_back(room):
    member, now = MemberFactory(shop=room.shop), timezone.now()

    def take(kind, words):
        WayTaken.objects.create(
            room=room, draft_version=1, kind=kind, words=words, reason="joist found", by=member, at=now
        )

    take("slide", 'Slide the rows 2".')
    (line,) = note(sheet_of(room, at=now + timedelta(1)), "Way out taken")
    assert line.startswith('Slide the rows 2". Why: joist found (') and member.user.name in line
    assert not note(sheet_of(room, at=now - timedelta(1)), "Way out taken")  # issued before it was taken
    take("put_back", "Put back.")
    assert not note(sheet_of(room, at=now + timedelta(2)), "Way out taken")


def test_how_far_a_crew_may_move_lines_is_the_drafts(room):
    room.draft.columns_may_move, room.draft.rows_may_move = inches(2), inches(3)
    room.draft.save()
    assert sheet_of(room).may_move == 'without asking: columns up to 2", rows 3"'


def test_a_slope_prints_both_distances(room):
    """5 in 12: a plan distance grows by 13/12. From framing 24 1/2 on the plan, 26 13/24 on the slope: 26 9/16."""
    enter(room, framing="none", columns={"slope_along": "left_right", "slope_rise": inches(5), "slope_run": inches(12)})
    sheet = sheet_of(room)
    first = sheet.along.columns[0]
    assert (first.big, first.also) == ("24 1/2", (("on the slope", "26 9/16"),))
    assert "plumb laser" in sheet.along.said
    assert sheet.across.columns[0].also == () and sheet.across.said == ""


def test_tiles_are_counted_from_the_wall_beside_the_numbers(room):
    """A ceiling of 239 with a tee at 13 1/2: border 13 1/2, nine whole tiles of 24, and 9 1/2 at the far end."""
    grid = {"pitch_x": inches(24), "pitch_y": inches(24), "line_x": inches("13 1/2"), "line_y": inches(12)}
    enter(room, framing="none", columns={f"grid_{name}": at for name, at in grid.items()})
    sheet = sheet_of(room)
    borders = {line.what: line.expect for line in sheet.check.lines if line.what.startswith("border tile")}
    assert borders["border tile at the low wall"] == '13 1/2"' and borders["border tile at the right wall"] == '9 1/2"'
    for column in sheet.along.columns:
        ((name, number),) = column.also
        # The middle of tile n is 13 1/2 + 24 (n - 2) + 12 from the edge, and 1/2 in more from framing.
        assert name == "tile" and column.big.split(" ")[0] == str(26 + 24 * (int(number) - 2))


def test_zones_of_an_l_are_each_proved_from_the_one_zero_corner(room):
    """239 x 119 less its far right quarter: the wing's far edge is at 119 + 1/2 from the framing's zero corner."""
    corners = [("0", "0"), ("239", "0"), ("239", "60"), ("139", "60"), ("139", "119"), ("0", "119")]
    enter(room, framing="none", corners=tuple(OutlineCorner(x=inches(x), y=inches(y)) for x, y in corners))
    sheet = sheet_of(room)
    lines = note(sheet, "Zones, from the one zero corner")
    assert len(lines) == 2 and [line[0] for line in lines] == ["A", "B"]
    assert sum('across to 119 1/2"' in line for line in lines) == 1
    assert {zone.letter for zone in sheet.zones} == {"A", "B"}


def test_a_tray_says_how_high_it_is(room):
    corners = tuple((inches(x), inches(y)) for x, y in ((50, 40), (190, 40), (190, 80), (50, 80)))
    enter(room, framing="none", regions=((Region(name="tray", rise=inches(4), laid_out=False), corners),))
    assert sheet_of(room).height == 'not taped; tray: 4" up'


def test_an_isolated_lids_holes_are_counted_and_each_gets_its_box(room):
    """Eight lights: eight holes, and a cover over each."""
    room.ceiling_system = "isolated"
    room.save()
    issue(room)
    revision = revision_with_marks(room, 1)
    assert room_ref(fresh(room), revision).lid_holes == 8
    lines = room_takeoff(room_contents(fresh(room), revision), takeoff_rules()).lines
    assert {line.key: line.quantity for line in lines}["light_cover"] == 8
