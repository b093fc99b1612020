"""Two people change one room at the same time: the second sees both versions and chooses; nothing typed is lost."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

SETBACK, LIMIT = "off the wall, first (setback)", "limit, center to center"


def test_the_second_to_save_sees_both_and_takes_from_each(shop, den, person, width):
    one = person(width=width, member=shop.people["estimator"]).goes_to(f"/rooms/{den.pk}/")
    other = person(width=width, member=shop.people["crew_lead"]).goes_to(f"/rooms/{den.pk}/")
    one.types(SETBACK, "2' 6\"").presses("Keep these numbers").sees("Kept.")
    other.types(LIMIT, "5' 6\"").presses("Keep these numbers", status=409)
    other.sees("Someone else saved the layout of Den while you were typing")
    setback = other.page.get_by_role("group", name="Off the wall, ends of a row")
    expect(setback.get_by_role("radio").first).to_be_checked()
    expect(setback).to_contain_text("2'-0\"")
    setback.get_by_label("Theirs").check()
    expect(other.page.get_by_role("group", name="Spacing limit")).to_contain_text("5' 6\"")
    other.presses("Save mine over theirs").sees("Kept.")
    expect(other.box(SETBACK)).to_have_value("2'-6\"")
    expect(other.box(LIMIT)).to_have_value("5'-6\"")


def test_the_second_may_leave_what_the_first_saved(shop, job, person, width):
    one = person(width=width, member=shop.people["owner"]).goes_to(f"/jobs/{job.pk}/edit/")
    other = person(width=width, member=shop.people["estimator"]).goes_to(f"/jobs/{job.pk}/edit/")
    one.types("Site", "Weir Road 2").presses("Save job")
    other.types("Site", "Mill Road 9").presses("Save job", status=409).sees("Mill Road 9").sees("Weir Road 2")
    other.presses("Keep theirs")
    other.goes_to(f"/jobs/{job.pk}/").sees("Weir Road 2")
