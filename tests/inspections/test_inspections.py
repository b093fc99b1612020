"""One visit covers many rooms; what did not pass stays open until an inspector passes it; the first look is counted."""

import datetime as dt
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from PIL import Image

from projects.platform.one_job import keep_to, undo
from projects.platform.tenancy import StaleVersion
from reports.inspections import queries, services
from reports.inspections.guards import final_inspection_passed, rough_in_inspection_passed
from reports.inspections.models import Correction, Visit
from tests.conftest import own_copy, standing
from tests.factories import FixtureCountFactory, FixtureTypeFactory, JobFactory, MemberFactory, RoomFactory, ShopFactory
from tests.shops import forms_of, sign_in

MAY, JUNE = dt.date(2026, 5, 4), dt.date(2026, 6, 1)


def upload(content=None):
    if content is None:
        picture = io.BytesIO()
        Image.new("RGB", (40, 30), "gray").save(picture, "JPEG")
        content = picture.getvalue()
    return SimpleUploadedFile("box.jpg", content, "image/jpeg")


class Site:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = {role: MemberFactory(shop=self.shop, role=role) for role in ("estimator", "crew_lead", "crew")}
        self.job = JobFactory(shop=self.shop)
        self.den, self.bath, self.hall = (RoomFactory(job=self.job, name=name) for name in ("Den", "Bath", "Hall"))
        light, speaker = FixtureTypeFactory(shop=self.shop), FixtureTypeFactory(shop=self.shop, kind="speaker")
        for room in (self.den, self.bath):
            FixtureCountFactory(room=room, fixture_type=light, count=4)
        FixtureCountFactory(room=self.hall, fixture_type=speaker, count=2)

    def visit(self, kind="power", on=MAY, tag="T-4471", **outcomes):
        """den="pass", bath="fail" …"""
        results = [
            (getattr(self, name), outcome, [] if outcome == "pass" else ["Staple within 12 in of the box"])
            for name, outcome in outcomes.items()
        ]
        by = self.people["crew_lead"]
        return services.record_visit(self.job, by=by, results=results, kind=kind, on=on, inspector="P. Orrin", tag=tag)


made = standing(Site)


@pytest.fixture
def site(made, db, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return own_copy(made)


# A visit


def test_one_visit_covers_many_rooms_each_with_its_own_result(site):
    visit = site.visit(den="pass", bath="partial", hall="fail")
    told = {result.room.name: result.outcome for result in queries.visit_of(site.shop, visit.pk).results.all()}
    assert told == {"Den": "pass", "Bath": "partial", "Hall": "fail"}


def test_a_room_that_did_not_pass_says_what_has_to_be_put_right(site):
    with pytest.raises(services.CannotBeDone, match="Den did not pass"):
        services.record_visit(
            site.job, by=None, results=[(site.den, "fail", [])], kind="power", on=MAY, inspector="P. Orrin"
        )
    assert not Visit.objects.of(site.shop).exists()


def test_a_visit_without_a_room_and_a_room_of_another_job_are_refused(site):
    other = RoomFactory(job=JobFactory(shop=site.shop))
    for results in ([], [(other, "pass", [])]):
        with pytest.raises(services.CannotBeDone):
            services.record_visit(site.job, by=None, results=results, kind="power", on=MAY, inspector="P. Orrin")
    assert not Visit.objects.of(site.shop).exists()


# What is still open


def test_a_failed_room_stays_open_until_a_later_visit_of_its_kind_passes_it(site):
    site.visit(den="pass", bath="fail")
    assert [(one.room, one.outcome, one.open) for one in queries.failed_open(site.shop)] == [("Bath", "fail", 1)]
    site.visit("final", on=JUNE, bath="pass")
    assert [one.room for one in queries.failed_open(site.job)] == ["Bath"]
    site.visit(on=JUNE, bath="pass")
    assert queries.failed_open(site.shop) == []


def test_two_visits_on_one_day_count_in_the_order_they_were_written(site):
    site.visit(bath="fail")
    site.visit(bath="pass")
    assert queries.failed_open(site.shop) == []


def test_cancelled_rooms_rooms_in_the_trash_and_closed_jobs_are_not_told(site):
    site.visit(den="fail", bath="fail", hall="fail")
    site.den.cancelled = True
    site.den.save()
    site.bath.trashed_at = timezone.now()
    site.bath.save()
    assert [one.room for one in queries.failed_open(site.shop)] == ["Hall"]
    site.job.closed_on = JUNE
    site.job.save()
    assert queries.failed_open(site.shop) == []


def test_another_shops_failures_are_never_told(site):
    site.visit(den="fail")
    assert queries.failed_open(ShopFactory()) == []
    assert queries.first_time_pass_rate(ShopFactory()).looked_at == 0


def test_a_correction_is_answered_once_with_words_and_its_photo_and_the_room_stays_failed(site):
    visit = site.visit(bath="fail")
    correction = Correction.objects.of(site.shop).get()
    with pytest.raises(services.CannotBeDone):
        services.answer_correction(correction, by=site.people["crew"], words="  ")
    services.answer_correction(correction, by=site.people["crew"], words="Stapled at 8 in", upload=upload())
    [kept] = queries.visit_of(site.shop, visit.pk).results.get().corrections.all()
    assert (kept.answer, kept.answered_by, kept.photo.room) == ("Stapled at 8 in", site.people["crew"], site.bath)
    with pytest.raises(services.CannotBeDone, match="already"):
        services.answer_correction(correction, by=site.people["crew_lead"], words="Done")
    assert [(one.room, one.open) for one in queries.failed_open(site.shop)] == [("Bath", 0)]


def test_a_stale_change_of_a_visit_is_refused(site):
    visit = site.visit(den="pass")
    services.change_visit(visit, visit.version, {"tag": "T-9"})
    with pytest.raises(StaleVersion):
        services.change_visit(visit, 1, {"tag": "T-8"})


# How often a room passes the first time


def test_a_room_counts_once_for_each_kind_by_its_first_visit(site):
    """By hand: power: den passed at once, bath failed first; low voltage: hall passed. 2 of 3."""
    site.visit(on=MAY, den="pass", bath="fail")
    site.visit(on=JUNE, den="fail", bath="pass")
    site.visit("low_voltage", on=JUNE, hall="pass")
    rate = queries.first_time_pass_rate(site.shop)
    assert (rate.passed, rate.looked_at, rate.share) == (2, 3, pytest.approx(2 / 3))
    rate = queries.first_time_pass_rate(site.job, since=JUNE)
    assert (rate.passed, rate.looked_at) == (1, 1)


def test_no_visit_is_no_rate_and_passed_in_part_is_not_passed(site):
    assert queries.first_time_pass_rate(site.shop).share is None
    site.visit(den="partial")
    assert queries.first_time_pass_rate(site.shop).share == 0


# What may go on


def test_a_room_leaves_inspection_when_the_latest_rough_in_visit_passed_it_and_left_a_tag(site):
    assert rough_in_inspection_passed([site.den])[site.den.pk].startswith("No rough-in inspection is recorded")
    site.visit(den="fail")
    assert "did not pass the room" in rough_in_inspection_passed([site.den])[site.den.pk]
    site.visit(on=JUNE, tag="", den="pass")
    assert "no tag number" in rough_in_inspection_passed([site.den])[site.den.pk]
    visit = Visit.objects.of(site.shop).get(on=JUNE)
    services.change_visit(visit, visit.version, {"tag": "T-4502"})
    assert rough_in_inspection_passed([site.den]) == {}


def test_low_voltage_alone_is_enough_for_speakers_and_never_for_lights(site):
    site.visit("low_voltage", den="pass", hall="pass")
    assert rough_in_inspection_passed([site.den, site.hall]).keys() == {site.den.pk}


def test_power_that_passed_does_not_cover_for_low_voltage_that_failed(site):
    site.visit("power", den="pass")
    site.visit("low_voltage", den="fail")
    assert "low voltage" in rough_in_inspection_passed([site.den])[site.den.pk]


def test_only_a_final_inspection_lets_a_room_be_handed_over(site):
    site.visit(den="pass")
    assert final_inspection_passed([site.den]) != {}
    site.visit("final", den="pass")
    assert final_inspection_passed([site.den]) == {}


@pytest.mark.parametrize("asked", [rough_in_inspection_passed, final_inspection_passed])
def test_many_rooms_cost_as_many_queries_as_one(site, asked):
    def cost(rooms):
        with CaptureQueriesContext(connection) as told:
            asked(rooms)
        return len(told)

    site.visit(den="pass", bath="fail")
    assert cost([site.den, site.bath, site.hall]) == cost([site.den]) <= 7


# On the page


def recorded(client, site, **more):
    address = f"/jobs/{site.job.pk}/inspections/new/"
    [form] = [given for _action, given in forms_of(client.get(address)) if "inspector" in given]
    return client.post(address, form | {"inspector": "P. Orrin", "on": "2026-05-04"} | more)


def test_a_lead_records_a_visit_and_the_page_tells_it(site, client):
    sign_in(client, site.people["crew_lead"])
    bath = f"room{site.bath.pk}-"
    answer = recorded(
        client, site, **{f"room{site.den.pk}-outcome": "pass", bath + "outcome": "fail",
                         bath + "corrections": "Plate at header\n\nStaple at box 2"},
    )  # fmt: skip
    page = client.get(answer.url).content.decode()
    assert page.count("Answer it") == 2 and "Plate at header" in page
    assert "Hall" not in page
    assert "Fee" not in page


def test_what_is_missing_is_named_and_what_was_typed_is_still_there(site, client):
    sign_in(client, site.people["crew_lead"])
    answer = recorded(client, site, **{f"room{site.bath.pk}-outcome": "fail", "tag": "T-77"})
    page = answer.content.decode()
    assert answer.status_code == 422 and "It did not pass: write what has to be put right" in page
    assert 'value="T-77"' in page
    assert not Visit.objects.of(site.shop).exists()


def test_a_visit_that_is_still_to_come_is_not_recorded(site, client):
    sign_in(client, site.people["crew_lead"])
    tomorrow = (timezone.localdate() + dt.timedelta(1)).isoformat()
    answer = recorded(client, site, on=tomorrow, **{f"room{site.den.pk}-outcome": "pass"})
    assert answer.status_code == 422 and "still to come" in answer.content.decode()


@pytest.mark.parametrize(("role", "sees"), [("estimator", True), ("crew_lead", False)])
def test_the_fee_is_for_who_sees_prices_and_is_not_lost_by_another_hand(site, client, role, sees):
    visit = site.visit(den="pass")
    services.change_visit(visit, 1, {"fee": "85.00"})
    sign_in(client, site.people[role])
    address = f"/inspections/{visit.pk}/"
    page = client.get(address)
    assert ("Fee" in page.content.decode()) == sees
    [form] = [given for _action, given in forms_of(page) if "inspector" in given]
    client.post(address, form | {"tag": "T-12"})
    kept = Visit.objects.of(site.shop).get()
    assert (kept.tag, str(kept.fee)) == ("T-12", "85.00")


def test_the_crew_answers_a_correction_on_its_page(site, client):
    visit = site.visit(bath="fail")
    correction = Correction.objects.of(site.shop).get()
    sign_in(client, site.people["crew"])
    address = f"/corrections/{correction.pk}/"
    assert client.post(address, {"words": ""}).status_code == 422
    assert client.post(address, {"words": "Stapled", "photo": upload(b"no picture")}).status_code == 422
    assert client.post(address, {"words": "Stapled", "photo": upload()}).url == f"/inspections/{visit.pk}/"
    assert "Stapled" in client.get(f"/rooms/{site.bath.pk}/inspections/").content.decode()


def test_a_phone_that_joined_one_job_is_told_of_no_other_jobs_failures(site):
    site.visit(den="fail")
    other = RoomFactory(job=JobFactory(shop=site.shop))
    token = keep_to(other.job_id)
    try:
        assert queries.failed_open(site.shop) == []
        assert queries.first_time_pass_rate(site.shop).looked_at == 0
    finally:
        undo(token)
