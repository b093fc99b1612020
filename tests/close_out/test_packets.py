"""Packets of a job as long work: what stands in them, real progress, once each, and what happens when it ends early."""

import datetime as dt
import io

import pytest
from PIL import Image
from pypdf import PdfReader, PdfWriter

from layout.as_built.models import AsBuilt, Step
from layout.engine.lengths import inches
from projects.catalogue import labels
from projects.catalogue.models import FixtureType
from projects.files import pdfs, store
from projects.photos.services import keep_pixels
from projects.platform.permissions import Role
from projects.work import services as works
from projects.work.models import Work
from projects.work.running import Progress, do_work
from reports.close_out import made, services
from reports.close_out.days import last_day
from reports.close_out.gather import handed_over
from reports.close_out.models import Packet
from reports.queries import laid_rooms
from tests.conftest import own_copy, standing
from tests.factories import (
    JobFactory,
    JoinedFactory,
    MemberFactory,
    PassFactory,
    PunchItemFactory,
    ShopFactory,
    WarrantyFactory,
)
from tests.factories.base import NOON
from tests.shops import issue, people_of, practice_room, sign_in


class Site:
    """A job of two rooms laid out and issued."""

    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.job = JobFactory(shop=self.shop)
        self.rooms = [practice_room(self.shop, job=self.job, name=name) for name in ("Den", "Snug")]
        self.revisions = [issue(room, by=self.people[Role.OWNER]) for room in self.rooms]


site_standing = standing(Site)


@pytest.fixture
def site(site_standing, db, settings, tmp_path, monkeypatch):
    settings.VAR_DIR = tmp_path
    monkeypatch.setattr(Progress, "EVERY", 0)
    return own_copy(site_standing)


def asked(site, what="job"):
    return services.ask_for(site.job, what, "letter", site.people[Role.CREW])


def do(work):
    return do_work(work.pk, Work.objects.of(work.shop_id).get(pk=work.pk).task)


def pages_of(packet):
    book = PdfReader(io.BytesIO(store.path_of(packet.shop_id, packet.file).read_bytes()))
    return [page.extract_text() for page in book.pages]


def makers_sheet(pages=2):
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(300, 400)
    written = io.BytesIO()
    writer.write(written)
    return pdfs.Pdf(written.getvalue(), pages)


def unprinted(monkeypatch, *, steps=3, at=None):
    """A packet of empty pages; at(step) is called at each."""

    def packet(job, laid, *, on, paper, step):
        for done in range(steps + 1):
            if at:
                at(done)
            step(done, steps)
        return makers_sheet(4).content

    monkeypatch.setattr(made, "job_packet", packet)
    monkeypatch.setattr("reports.close_out.work.made.job_packet", packet)


# What stands in them


def test_a_job_packet_names_what_is_missing_and_binds_the_makers_sheet_behind(site):
    light = FixtureType.objects.of(site.shop).filter(kind="light").first()
    labels.add_sheet(light, makers_sheet(), None, title="Sheet, March 2026")
    labels.say_label(light, light.version, {"listing": "Luminaire, recessed", "rated_ic": "ic", "air_sealed": "yes"})
    done = do(asked(site))
    assert done.state == "done", done.error
    packet = Packet.objects.of(site.shop).get()
    told = pages_of(packet)
    words = "\n".join(told)
    assert len(told) == packet.pages and told[-2:] == ["", ""], "the maker's two pages come last"
    for said in ("Sheet, March 2026", "Type IC", "Places it may hang in: read it off the label", "hand it in as PDF"):
        assert said in " ".join(words.split()), said
    assert f"page {len(told) - 2} of {len(told) - 2}" in words, "our own pages are numbered through"
    for said in ("Fixture schedule", "Takeoff", "Rough-in checklist", "Den", "Snug"):
        assert said in words, said
    assert (done.done, done.total) == (8, 8), "two cards, schedule, takeoff, labels, two checklists, and writing them"


def test_a_close_out_packet_tells_what_was_built_and_what_is_open(site):
    den = site.rooms[0]
    mark = site.revisions[0].marks.order_by("pk").first()
    AsBuilt.objects.create(
        shop=site.shop, room=den, mark=mark, ident=mark.ident, step=Step.CUT, along=mark.along + inches("1 1/2"),
        across=mark.across, to_along=mark.along, to_across=mark.across, reason="joist", at=NOON,
    )  # fmt: skip
    shot = Image.new("RGB", (80, 60))
    keep_pixels(den, shot, by=site.people[Role.CREW], purpose="cover", bay=2, caption="Duct at A1")
    PassFactory(event__room=den, title="Inspection passed", missing="No tag is recorded.", why="Inspector comes Monday",
                by=site.people[Role.OWNER])  # fmt: skip
    PunchItemFactory(room=den, words="Trim does not sit flat")
    WarrantyFactory(job=site.job, what="Our work", starts_on=dt.date(2026, 5, 3), months=12)
    done = do(asked(site, "close_out"))
    assert done.state == "done", done.error
    words = " ".join("\n".join(pages_of(Packet.objects.of(site.shop).get())).split())
    for said in (
        "Open: passed by the owner, not done", "No tag is recorded.", "Inspector comes Monday",
        "Trim does not sit flat", "Our work", "May 2, 2027", "1 1/2", "cut: joist",
        "bay 2: Duct at A1", "by the card; nobody entered it",
        "Labels and makers' sheets",
    ):  # fmt: skip
        assert said in words, said
    assert "complies" not in words


@pytest.mark.parametrize(
    "starts, months, ends",
    [
        ((2026, 5, 3), 12, (2027, 5, 2)),
        ((2026, 1, 1), 1, (2026, 1, 31)),
        ((2026, 8, 31), 6, (2027, 2, 28)),
        ((2027, 8, 31), 6, (2028, 2, 29)),  # a leap year
        ((2026, 12, 31), 24, (2028, 12, 30)),
    ],
)
def test_a_warranty_ends_the_day_before_or_with_the_month(starts, months, ends):
    """Counted on a calendar by hand."""
    assert last_day(dt.date(*starts), months) == dt.date(*ends)


# As long work


def test_it_tells_how_far_it_is_and_is_cancelled_between_two_documents(site, monkeypatch):
    work, seen = asked(site), []

    def at(done):
        seen.append(Work.objects.of(site.shop).get(pk=work.pk).done)
        if done == 2:
            works.cancel(work)

    unprinted(monkeypatch, at=at)
    assert do(work).state == "cancelled"
    assert seen == [0, 0, 1] and not Packet.objects.of(site.shop).exists()
    unprinted(monkeypatch)
    works.resume(work)
    assert do(work).state == "done" and Packet.objects.of(site.shop).count() == 1


def test_pressed_twice_it_is_made_once_and_asked_again_the_newer_takes_its_place(
    site, monkeypatch, tmp_path, django_capture_on_commit_callbacks
):
    unprinted(monkeypatch)
    assert asked(site).pk == asked(site).pk
    with django_capture_on_commit_callbacks(execute=True):
        first, second = (do(asked(site)).outcome["packet"] for _ in range(2))
    assert first != second
    packet = Packet.objects.of(site.shop).get()
    assert (packet.pk, [path.name for path in tmp_path.rglob("*.pdf")]) == (second, [packet.file])
    assert store.used_by(site.shop.pk) == packet.bytes


def test_a_worker_that_ended_after_keeping_it_does_not_make_another(site, monkeypatch):
    unprinted(monkeypatch)
    work = asked(site)
    kept = do(work).outcome["packet"]
    Work.objects.of(site.shop).filter(pk=work.pk).update(state="failed")  # as if it had never said that it was done
    monkeypatch.setattr("reports.close_out.work.made.job_packet", lambda *args, **kwargs: pytest.fail("made twice"))
    works.resume(work)
    assert do(work).outcome["packet"] == kept
    again = services.keep(site.job, "job", "letter", makers_sheet().content, stands_on="", work=work)
    assert again.pk == kept and Packet.objects.of(site.shop).count() == 1


def test_what_stops_it_is_said_and_nothing_is_kept(site, monkeypatch, settings, tmp_path):
    unprinted(monkeypatch)
    settings.MOST_KEPT_BYTES = 10
    done = do(asked(site))
    assert done.state == "failed" and "MB it may" in done.error
    assert not Packet.objects.of(site.shop).exists() and not list(tmp_path.rglob("*.pdf"))
    empty = JobFactory(shop=site.shop)
    failed = do(services.ask_for(empty, "close_out", "letter", None))
    assert "Issue one, then print" in failed.error


# Pages


def test_crew_asks_for_a_packet_watches_it_and_gets_it(client, site, monkeypatch):
    unprinted(monkeypatch)
    sign_in(client, site.people[Role.CREW])
    page = client.post(f"/jobs/{site.job.pk}/packets/", {"what": "job", "paper": "letter"}, follow=True)
    work = Work.objects.of(site.shop).get()
    assert page.redirect_chain[-1][0] == f"/work/{work.pk}/" and "Job packet" in page.content.decode()
    do(work)
    words = client.get(f"/jobs/{site.job.pk}/packets/").content.decode()
    assert "by the newest revisions" in words and "hand it in as PDF" in words
    packet = Packet.objects.of(site.shop).get()
    got = client.get(f"/jobs/{site.job.pk}/packets/{packet.pk}/")
    assert got["Content-Type"] == "application/pdf" and b"".join(got).startswith(b"%PDF-")
    issue(site.rooms[0])
    assert "out of date" in client.get(f"/jobs/{site.job.pk}/packets/").content.decode()


def test_a_phone_that_joined_the_job_asks_for_its_packet_and_is_led_where_it_will_be(client, site):
    """The shop's long work is not for it."""
    phone = JoinedFactory(job=site.job)
    sign_in(client, phone.member)
    page = client.post(f"/jobs/{site.job.pk}/packets/", {"what": "job", "paper": "letter"}, follow=True)
    assert page.status_code == 200 and page.redirect_chain[-1][0] == f"/jobs/{site.job.pk}/packets/"
    assert "being made" in page.content.decode()


def test_a_larger_jobs_packet_is_not_waited_for(client, site, monkeypatch):
    monkeypatch.setattr("reports.web.AT_ONCE", 1)
    sign_in(client, site.people[Role.VIEWER])
    assert client.get(f"/jobs/{site.job.pk}/packet/").url == f"/jobs/{site.job.pk}/packets/"


def test_a_warranty_is_entered_by_the_office_and_taken_back(client, site):
    sign_in(client, site.people[Role.ESTIMATOR])
    address = f"/jobs/{site.job.pk}/warranties/"
    assert client.post(address, {"what": "", "starts_on": "2026-05-03", "months": "0"}).status_code == 422
    page = client.post(address, {"what": "Our work", "starts_on": "2026-05-03", "months": "12"}, follow=True)
    assert "12 months from May 3, 2026, until May 2, 2027" in page.content.decode()
    warranty = site.job.warranties.get()
    client.post(f"/warranties/{warranty.pk}/take-back/")
    assert not site.job.warranties.exists()
    sign_in(client, site.people[Role.CREW])
    assert client.post(address, {}).status_code == 403


def test_another_shops_packet_is_not_here(client, site, monkeypatch):
    unprinted(monkeypatch)
    do(asked(site))
    packet = Packet.objects.of(site.shop).get()
    sign_in(client, MemberFactory(role=Role.OWNER.value))
    for address in (f"/jobs/{site.job.pk}/packets/", f"/jobs/{site.job.pk}/packets/{packet.pk}/"):
        assert client.get(address).status_code == 404
    other = JobFactory(shop=site.shop)
    sign_in(client, site.people[Role.OWNER])
    assert client.get(f"/jobs/{other.pk}/packets/{packet.pk}/").status_code == 404


def test_what_a_close_out_is_gathered_from_costs_as_many_queries_for_six_rooms_as_for_two(
    site, django_assert_max_num_queries
):
    def asked_for():
        laid = laid_rooms(site.job)
        with django_assert_max_num_queries(40) as made_queries:
            handed_over(site.job, laid)
        return len(made_queries)

    before = asked_for()
    for name in ("Hall", "Attic", "Bath", "Porch"):
        issue(practice_room(site.shop, job=site.job, name=name))
    assert asked_for() == before
