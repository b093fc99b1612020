"""The estimator's way: from a new job and the crew's tape readings to an issued layout and a packet of papers."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def line(someone, key):
    return someone.page.locator(f'#sum-results [data-line="{key}"]')


@pytest.fixture
def estimator(shop, person, width):
    return person(width=width).signs_in("estimator@shop.example")


def test_an_estimator_leads_readings_off_the_tape_to_a_job_packet(estimator):
    estimator.presses("Jobs").presses("New job")
    estimator.types("Job number", "26-114").types("Name", "House by the weir").types("Client", "The Weirs")
    estimator.presses("Save job").presses("New room")
    estimator.types("Left to right", "12' 6 1/2\"").types("Door to far wall", "10-3-1/4")
    estimator.types("Room's name", "Den").types("Height, floor to framing", "8' 0 3/4")
    estimator.presses("Lay out").sees("House by the weir")

    # 12' 6 1/2" framing to framing, as a tape has it. The outer lights start at the shop's 24 in off the wall.
    expect(line(estimator, "along-framing").locator(".number")).to_have_text('12\'-6 1/2"')
    estimator.presses("Issue revision").sees("Revision 1 is issued").presses("Fixture schedule").sees("Types")
    estimator.page.go_back()
    estimator.presses("Materials takeoff")
    figure = estimator.page.locator("details.why").first
    figure.locator("summary").click()
    expect(figure.locator("dl").first).to_be_visible()
    estimator.looks_over()
    estimator.page.go_back()
    estimator.presses("Rough-in checklist").sees("What was looked at")
    assert estimator.gets("Print (Letter)").startswith(b"%PDF")
    estimator.presses("Den").presses("26-114 House by the weir")
    for papers in ("Fixture schedule", "Materials takeoff", "Rough-in checklist"):
        estimator.presses(papers)
        estimator.presses("26-114 House by the weir")
    assert estimator.gets("Job packet (PDF)").startswith(b"%PDF")


def test_a_changed_setback_is_summed_and_drawn_again_where_it_stands_and_taken_back(estimator, den):
    estimator.goes_to(f"/rooms/{den.pk}/")
    page = estimator.page
    page.evaluate("window.sameDocument = true")
    setback, between = estimator.box("off the wall, first (setback)"), line(estimator, "along-outer").locator(".number")
    drawn, summed = page.locator("#plan svg").inner_html(), between.inner_text()
    setback.fill("2' 6\"")
    expect(page.locator("#sum-said")).to_contain_text("not kept yet")
    # Six inches more at both ends: twelve less between the outer lights. The old number stands struck through.
    expect(between.locator(".was")).to_have_text(summed)
    assert page.locator("#plan svg").inner_html() != drawn
    setback.blur()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#sum-said")).to_have_text("Same numbers as kept.")
    expect(between).to_have_text(summed)
    assert page.locator("#plan svg").inner_html() == drawn
    assert page.evaluate("window.sameDocument")

    setback.fill("2' 6\"")
    expect(between.locator(".was")).to_have_text(summed)
    estimator.looks_over()
    estimator.presses("Keep these numbers").sees("Kept.")
    expect(estimator.box("off the wall, first (setback)")).to_have_value('2\'-6"')
