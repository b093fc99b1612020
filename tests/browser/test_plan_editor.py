"""The plan editor as a crew lead uses it: by hand on the drawing, by keys, on a phone, in the table, without scripts.

The den is 12' 6 1/2" by 10' 3 1/4": two rows of three lights, 2' off the ends; the far column mirrors the first.
"""

import io
import re

import pytest
from PIL import Image
from playwright.sync_api import expect

from layout.engine.lengths import inches
from layout.engine.pins import Line
from layout.services import draft_of
from projects.ceilings.services import ceiling_of
from projects.jobs.services import add_room
from tests.browser.conftest import FIELD_TARGET, SMALL
from tests.shops import fresh

pytestmark = pytest.mark.browser
SAID = "#plan-said"


@pytest.fixture
def editor(shop, den, person):
    """editor(width=320): the den's plan opened by the crew lead, its first live answer there."""

    def open_it(**options):
        lead = person(member=shop.people["crew_lead"], **options).goes_to(f"/rooms/{den.pk}/plan/")
        if options.get("scripts", True):
            answered(lead)
        return lead

    return open_it


def answered(lead):
    expect(lead.page.locator("#plan-sheet .grip").first).to_be_attached()


def mark(lead, ident):
    return lead.page.locator(f"#plan-sheet [data-line=mark-{ident}]")


def stands(lead, line):
    return lead.page.locator(f"[data-number={line}]")


def drags(lead, ident, right, down=0):
    """Screen pixels, in a few steps as a hand does."""
    at = mark(lead, ident).locator(".symbol").first.bounding_box()
    x, y = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
    lead.page.mouse.move(x, y)
    lead.page.mouse.down()
    lead.page.mouse.move(x + right / 2, y + down / 2)
    lead.page.mouse.move(x + right, y + down, steps=4)
    lead.page.mouse.up()


def kept(lead):
    expect(lead.page.locator(SAID)).to_have_text("Draft kept.")


def pins(room):
    return {(pin.line, pin.number): pin.at for pin in draft_of(fresh(room)).held()[0]}


def test_a_dragged_column_is_pinned_and_its_numbers_change(den, editor, width):
    lead = editor(width=width)
    before = stands(lead, "column-1").inner_text()
    middle = stands(lead, "column-2").inner_text()
    drags(lead, "A1", 30)
    expect(lead.page.locator("#plan-sheet .pin")).to_have_count(4)  # both marks of two columns
    expect(stands(lead, "column-1")).not_to_have_text(before)
    expect(stands(lead, "column-2")).to_have_text(middle)
    expect(stands(lead, "column-1")).to_have_text(lead.box("Column 1, held at").input_value())
    kept(lead)
    held = pins(den)
    assert held[Line.COLUMN, 1] + held[Line.COLUMN, 3] == inches("150 1/2") - 2 * inches("1/2"), "walls less drywall"
    assert held[Line.COLUMN, 1] > inches(24)


def test_undo_goes_back_and_redo_forward_by_button_and_by_keys(den, editor):
    lead = editor()
    first = stands(lead, "column-1")
    before = first.inner_text()
    undo, redo = (lead.page.get_by_role("button", name=name, exact=True) for name in ("Undo", "Redo"))
    expect(undo).to_be_disabled()
    drags(lead, "A1", 40)
    expect(first).not_to_have_text(before)
    after = lead.box("Column 1, held at").input_value()
    undo.click()
    expect(first).to_have_text(before)
    expect(lead.page.locator("#plan-sheet .pin")).to_have_count(0)
    redo.click()
    expect(first).to_have_text(after)
    lead.page.locator("#plan-sheet").focus()
    lead.page.keyboard.press("Control+z")
    expect(first).to_have_text(before)
    expect(undo).to_be_disabled()
    lead.page.keyboard.press("Control+Shift+Z")
    expect(first).to_have_text(after)
    expect(redo).to_be_disabled()


def test_without_a_pointer_a_press_is_half_an_inch_and_with_shift_six(den, editor, width):
    """24 in and 1/2, and 6 more: 30 1/2."""
    lead = editor(width=width)
    for _tab in range(60):
        lead.page.keyboard.press("Tab")
        if lead.page.evaluate("document.activeElement.dataset.line === 'mark-A1'"):
            break
    lead.page.keyboard.press("ArrowRight")
    lead.page.keyboard.press("Shift+ArrowRight")
    expect(lead.page.locator(SAID)).to_contain_text("Column 1 2'-6 1/2\"")
    expect(stands(lead, "column-1")).to_have_text("2'-6 1/2\"")
    expect(mark(lead, "A1")).to_be_focused()
    lead.page.keyboard.press("ArrowUp")
    expect(stands(lead, "row-1")).to_have_text("2'-0 1/2\"")
    lead.page.keyboard.press("Delete")
    expect(lead.page.locator("#plan-sheet .pin")).to_have_count(0)


def test_no_press_is_lost_however_fast(den, editor):
    """Twenty presses are ten inches, whatever the answers take."""
    lead = editor()
    mark(lead, "A1").focus()
    for _press in range(20):
        lead.page.keyboard.press("ArrowRight")
    expect(stands(lead, "column-1")).to_have_text("2'-10\"")


def test_where_it_may_stand_is_dotted_while_a_mark_has_the_focus(den, editor):
    lead = editor()
    mark(lead, "A1").focus()
    expect(lead.page.locator("#plan-sheet .stand").first).to_be_attached()


def test_one_mark_alone_leaves_its_line(den, editor):
    lead = editor()
    lead.page.get_by_label("One mark").check()
    drags(lead, "A1", 30, -20)
    expect(lead.page.locator("#plan-sheet .was-here")).to_have_count(1)
    expect(lead.page.locator("#plan-sheet .pin")).to_have_count(0)
    kept(lead)
    assert len(draft_of(fresh(den)).held()[1]) == 1


def test_the_last_revision_stays_as_a_ghost(den, issued, editor):
    issued(den)
    lead = editor()
    expect(lead.page.locator("#plan-sheet .ghost")).to_have_count(0)
    drags(lead, "A1", 40)
    expect(lead.page.locator("#plan-sheet .ghost")).to_have_count(4)


def test_a_thing_is_placed_and_dragged(den, editor):
    lead = editor()
    lead.page.get_by_text("Things in the way", exact=True).click()
    lead.page.get_by_role("button", name="Add a thing").click()
    thing = lead.page.locator("#plan-sheet .in-the-way")
    expect(thing).to_have_count(1)
    before = lead.box("Its center from the left wall").input_value()
    thing.scroll_into_view_if_needed()
    at = thing.bounding_box()
    lead.page.mouse.move(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
    lead.page.mouse.down()
    lead.page.mouse.move(at["x"] + at["width"] / 2 + 40, at["y"] + at["height"] / 2, steps=4)
    lead.page.mouse.up()
    assert lead.box("Its center from the left wall").input_value() != before
    kept(lead)
    assert ceiling_of(fresh(den)).things.count() == 1
    lead.page.get_by_label("Size of a thing").check()
    thing.focus()
    lead.page.keyboard.press("ArrowRight")
    expect(lead.page.locator(SAID)).to_contain_text("1'-0 1/2\" × 1'-0\"")
    lead.page.keyboard.press("Delete")
    expect(thing).to_have_count(0)


def test_walls_entered_in_order_say_at_once_whether_they_close(den, editor):
    """150 1/2 by 122 1/4 taped, the last wall 2 in short."""
    lead = editor()
    lead.page.get_by_text("Outline", exact=True).click()
    closing = lead.page.locator("#plan-closing")
    for number, length in enumerate(("122 1/4", "149 1/2", "122 1/4", "147 1/2")):
        lead.page.get_by_role("button", name="Add a wall").click()
        lead.page.locator(f"[name=wall-{number}-length]").fill(length)
    expect(closing).to_contain_text("do not close")
    expect(closing).to_contain_text("2\"")
    lead.page.locator("[name=wall-3-length]").fill("149 1/2")
    expect(closing).to_have_text("The walls close.")


def test_the_plan_is_made_larger_and_moved_by_keys_and_buttons(den, editor):
    lead = editor()
    svg, sheet = lead.page.locator("#plan-sheet > svg"), lead.page.locator("#plan-sheet")
    whole = svg.get_attribute("viewBox")
    lead.page.get_by_role("button", name="Larger").click()
    larger = svg.get_attribute("viewBox")
    assert larger != whole
    sheet.focus()
    lead.page.keyboard.press("ArrowRight")
    assert svg.get_attribute("viewBox") != larger
    lead.page.keyboard.press("-")
    assert svg.get_attribute("viewBox") == whole or float(svg.get_attribute("viewBox").split()[2]) > float(
        larger.split()[2]
    )
    lead.page.get_by_role("button", name="Whole room").click()
    sheet.hover()
    lead.page.keyboard.down("Control")
    lead.page.mouse.wheel(0, -100)
    lead.page.keyboard.up("Control")
    expect(svg).not_to_have_attribute("viewBox", whole)
    sheet.focus()
    lead.page.keyboard.press("0")
    assert [float(one) for one in svg.get_attribute("viewBox").split()] == [float(one) for one in whole.split()]


def test_everything_to_press_is_as_large_as_a_thumb(den, editor, width):
    lead = editor(width=width)
    lead.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    assert lead.page.evaluate(SMALL, FIELD_TARGET) == []
    over = lead.page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert over <= 0


def test_a_save_over_someone_else_s_is_refused_and_shown(shop, den, editor, person):
    lead = editor()
    other = person(member=shop.people["estimator"]).goes_to(f"/rooms/{den.pk}/plan/")
    answered(other)
    drags(other, "A1", 40)
    kept(other)
    lead._expected = "status of 409"
    drags(lead, "A1", 20)
    expect(lead.page.get_by_role("alert")).to_contain_text("changed by someone else")
    held = pins(den)
    lead.page.wait_for_timeout(1500)
    assert pins(den) == held


def test_a_picture_is_set_to_scale_by_pressing_two_points(shop, den, editor, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    lead = editor()
    file = io.BytesIO()
    Image.new("RGB", (600, 400), "white").save(file, "PNG")
    chosen = {"name": "plan.png", "mimeType": "image/png", "buffer": file.getvalue()}
    lead.page.set_input_files("input[type=file]", chosen)
    lead.presses("Upload").sees("Set it to scale: two points and the length between them.")
    box = lead.page.locator("#picture-to-scale img").bounding_box()
    for part in (0.25, 0.75):
        lead.page.locator("#picture-to-scale").click(position={"x": box["width"] * part, "y": box["height"] / 2})
    assert abs(int(lead.box("Second point, pixels from the left").input_value()) - 450) <= 2
    lead.types("Length between them", "10'").presses("Set to scale").sees("The picture lies under the plan, to scale.")
    expect(lead.page.locator("#plan-sheet image")).to_have_count(1)


def test_the_table_does_it_all_without_scripts(den, editor, width):
    lead = editor(width=width, scripts=False)
    lead.types("Column 1, held at", "30").presses("Try without keeping")
    assert pins(den) == {}
    assert stands(lead, "column-1").inner_text() == "2'-6\""
    lead.presses("Keep this plan").sees("Kept.")
    assert pins(den)[Line.COLUMN, 1] == inches(30)
    lead.page.get_by_text("Joists", exact=True).click()
    lead.presses("Add joists")
    expect(lead.page.locator("[name=joist-0-spacing]")).to_be_visible()


def test_a_viewer_may_try_and_is_offered_no_save(shop, den, person):
    viewer = person(member=shop.people["viewer"]).goes_to(f"/rooms/{den.pk}/plan/")
    answered(viewer)
    drags(viewer, "A1", 40)
    expect(viewer.page.locator("#plan-sheet .pin")).to_have_count(4)
    viewer.sees_no(re.compile("Keep this plan"))
    viewer.page.wait_for_timeout(1500)
    assert pins(den) == {}


def presses_at(lead, *parts):
    """Points of the ceiling, in parts of its width and height from its far left corner."""
    wall = lead.page.locator("#plan-sheet :is(rect, polygon).wall").first.bounding_box()
    for right, down in parts:
        lead.page.mouse.click(wall["x"] + wall["width"] * right, wall["y"] + wall["height"] * down)


def test_the_outline_is_drawn_by_pressing_its_corners_and_a_corner_moves_by_keys(den, editor):
    """An L: six corners, around the ceiling in order. Until there are three it stays the rectangle."""
    lead = editor()
    lead.page.get_by_label("Corners of the outline").check()
    presses_at(lead, (0.001, 0.999))
    expect(lead.page.locator("#plan-findings")).to_contain_text("A ceiling has at least 3")
    presses_at(lead, (0.001, 0.001), (0.6, 0.001), (0.6, 0.5), (0.999, 0.5), (0.999, 0.999))
    expect(lead.page.locator("#plan-sheet .corner-held")).to_have_count(6)
    expect(lead.page.locator("#plan-sheet polygon.wall")).to_have_count(1)
    third = lead.page.locator("[name=corner-2-x]")
    before = third.input_value()
    lead.page.locator("#plan-sheet [data-line=corner-2]").focus()
    lead.page.keyboard.press("Shift+ArrowLeft")
    expect(lead.page.locator(SAID)).to_contain_text("Corner")
    assert third.input_value() != before
    lead.page.keyboard.press("Control+z")
    assert third.input_value() == before
    kept(lead)
    assert ceiling_of(fresh(den)).corners.count() == 6


def test_walls_that_stay_open_are_drawn_as_far_as_they_go(den, editor):
    lead = editor()
    lead.page.get_by_text("Outline", exact=True).click()
    for number, length in enumerate(("100", "80", "60")):
        lead.page.get_by_role("button", name="Add a wall").click()
        lead.page.locator(f"[name=wall-{number}-length]").fill(length)
    expect(lead.page.locator("#plan-sheet .walked")).to_have_count(1)


def test_a_room_nobody_taped_says_what_is_missing_and_breaks_nothing(shop, job, person):
    room = add_room(job, name="Attic", stage=1)
    lead = person(member=shop.people["crew_lead"]).goes_to(f"/rooms/{room.pk}/plan/")
    lead.sees("The room was not taped left to right. Enter that reading first.")
    lead.page.locator("#plan-sheet").focus()
    for key in ("ArrowLeft", "+", "Delete", "Control+z"):
        lead.page.keyboard.press(key)
    lead.page.get_by_text("Things in the way", exact=True).click()
    lead.page.get_by_role("button", name="Add a thing").click()
    expect(lead.page.locator("[name=thing-0-x]")).to_be_visible()
