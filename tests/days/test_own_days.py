"""A person's calendar address and morning letter: theirs alone, ended at once, as far as they may see."""

import datetime as dt

import icalendar
import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.urls import reverse
from django.utils import timezone

from projects.accounts.models import Membership
from projects.jobs.models import Job
from projects.joining.services import end_phone
from projects.platform.permissions import Role
from reports.days import services
from reports.days.management.commands import digest
from reports.days.models import CalendarFeed, MorningLetter
from tests.factories import CrewDayFactory, JobFactory, JoinedFactory, MemberFactory, RoomFactory

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()


@pytest.fixture
def member():
    return MemberFactory(role=Role.CREW.value)


def due_in(shop, days, name="Saltgrass", **more):
    return JobFactory(shop=shop, name=name, rough_in_on=TODAY + dt.timedelta(days), **more)


def events(client, secret, **headers):
    answer = client.get(reverse("calendar_feed", args=[secret]), headers=headers)
    assert answer.status_code == 200
    return [str(one["SUMMARY"]) for one in icalendar.Calendar.from_ical(answer.content).walk("VEVENT")]


# The calendar


def test_the_calendar_tells_the_jobs_days_and_the_persons_own_rooms(client, member):
    job = due_in(member.shop, 3, number="26-014")
    CrewDayFactory(member=member, job=job, shop=job.shop, room=RoomFactory(job=job, name="Den"), on=TODAY)
    CrewDayFactory(member=MemberFactory(shop=job.shop), job=job, shop=job.shop, room=None, on=TODAY)
    JobFactory(rough_in_on=TODAY)  # another shop's
    _feed, secret = services.make_feed(member)
    assert events(client, secret) == ["You: 26-014 Saltgrass", "Rough-in: 26-014 Saltgrass"]


def test_the_window_is_sixty_days_back_and_a_year_ahead(client, member):
    for days in (-61, -60, 365, 366):
        due_in(member.shop, days, name=f"due {days}", number=str(days))
    _feed, secret = services.make_feed(member)
    assert events(client, secret) == ["Rough-in: -60 due -60", "Rough-in: 365 due 365"]


def test_a_closed_job_and_one_in_the_trash_are_due_no_more(client, member):
    due_in(member.shop, 1, closed_on=TODAY)
    lost = due_in(member.shop, 1)
    Job.objects.of(member.shop).filter(pk=lost.pk).update(trashed_at=timezone.now())
    _feed, secret = services.make_feed(member)
    assert events(client, secret) == []


def test_the_address_has_128_bits_and_only_its_digest_is_kept(member):
    feed, secret = services.make_feed(member)
    assert len(secret) == 22, "16 octets in base64url, RFC 4648"
    assert secret not in " ".join(str(value) for value in vars(feed).values())


def test_a_new_address_ends_the_old_one_and_an_ended_one_is_nobodys(client, member):
    _feed, old = services.make_feed(member)
    _feed, new = services.make_feed(member)
    assert client.get(reverse("calendar_feed", args=[old])).status_code == 404
    assert events(client, new) == []
    assert services.end_feed(member) and not services.end_feed(member)
    assert client.get(reverse("calendar_feed", args=[new])).status_code == 404


def test_who_works_here_no_more_has_no_calendar(client, member):
    _feed, secret = services.make_feed(member)
    Membership.objects.filter(pk=member.pk).update(active=False)
    assert client.get(reverse("calendar_feed", args=[secret])).status_code == 404


def test_a_phone_that_joined_one_job_reads_that_jobs_days_until_it_is_ended(client):
    mine = due_in(MemberFactory().shop, 2, name="Mine", number="1")
    due_in(mine.shop, 2, name="Another", number="2")
    joined = JoinedFactory(job=mine)
    _feed, secret = services.make_feed(joined.member)
    assert events(client, secret) == ["Rough-in: 1 Mine"]
    end_phone(joined, by=joined.let_in_by)
    assert client.get(reverse("calendar_feed", args=[secret])).status_code == 404


def test_an_unchanged_calendar_is_not_sent_again(client, member):
    job = due_in(member.shop, 3)
    _feed, secret = services.make_feed(member)
    address = reverse("calendar_feed", args=[secret])
    tag = client.get(address)["ETag"]
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 304
    Job.objects.of(job.shop).filter(pk=job.pk).update(name="Renamed", version=2)
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 200


def test_a_calendar_has_a_most_and_is_read_in_so_many_queries(client, member, monkeypatch, django_assert_num_queries):
    monkeypatch.setattr("reports.days.feed.MOST_EVENTS", 5)
    for n in range(9):
        due_in(member.shop, n, number=str(n))
    _feed, secret = services.make_feed(member)
    assert len(events(client, secret)) == 5
    with django_assert_num_queries(7):
        client.get(reverse("calendar_feed", args=[secret]))


def test_the_address_is_shown_once_and_opens_without_signing_in(client, member):
    client.force_login(member.user)
    shown = client.post(reverse("own_days"), {"make": "1"})
    address = shown.context["address"]
    assert address in shown.content.decode() and shown["Cache-Control"] == "private, no-store"
    assert address not in client.get(reverse("own_days")).content.decode()
    client.logout()
    assert client.get(address)["Content-Type"] == "text/calendar; charset=utf-8"
    client.force_login(member.user)
    client.post(reverse("own_days"), {"end": "1"})
    assert client.get(address).status_code == 404
    assert CalendarFeed.objects.of(member.shop).get().last_read_at


# The letter


def test_who_asked_for_it_gets_one_letter_a_day(member):
    due_in(member.shop, 2, number="26-014")
    services.want_letter(member, True)
    call_command("digest")
    call_command("digest")
    (letter,) = mail.outbox
    assert letter.to == [member.user.email]
    assert "Rough-in, 26-014 Saltgrass" in letter.body
    call_command("digest", "--on", (TODAY + dt.timedelta(1)).isoformat())
    assert len(mail.outbox) == 2


def test_the_letter_names_the_rooms_of_the_day(member):
    job = JobFactory(shop=member.shop, number="26-014")
    room = RoomFactory(job=job, name="Den & bath", level="2")
    CrewDayFactory(member=member, room=room, on=TODAY)
    services.want_letter(member, True)
    call_command("digest")
    assert "26-014 · 2 · Den & bath" in mail.outbox[0].body


def test_the_letter_says_what_the_first_screen_says(client):
    """A room under way with its drywall a day off and rough-in not done: who must move, and by when."""
    owner = MemberFactory(role=Role.OWNER.value)
    job = JobFactory(shop=owner.shop, drywall_on=TODAY + dt.timedelta(1))
    RoomFactory(job=job, stage=4, name="Den")
    client.force_login(owner.user)
    first_screen = [line.text for line in client.get(reverse("home")).context["lines"]]
    assert first_screen
    services.want_letter(owner, True)
    call_command("digest")
    for words in first_screen:
        assert words in mail.outbox[0].body


def test_nobody_else_gets_one(member):
    services.want_letter(member, True)
    services.want_letter(member, False)
    gone = MemberFactory(active=False)
    services.want_letter(gone, True)
    phone = JoinedFactory()
    services.want_letter(phone.member, True)
    call_command("digest")
    assert mail.outbox == []


def test_a_letter_that_can_not_be_sent_is_tried_again_and_keeps_nobody_elses(member, monkeypatch):
    services.want_letter(member, True)
    other = MemberFactory()
    services.want_letter(other, True)
    write = digest.letter_for

    def breaks(who, *args):
        if who == member:
            raise OSError("mailbox on fire")
        return write(who, *args)

    monkeypatch.setattr(digest, "letter_for", breaks)
    with pytest.raises(CommandError, match="1 letters were not sent"):
        call_command("digest")
    assert [letter.to for letter in mail.outbox] == [[other.user.email]]
    monkeypatch.setattr(digest, "letter_for", write)
    call_command("digest")
    assert len(mail.outbox) == 2


def test_a_letter_claimed_by_another_run_is_not_sent_twice(member):
    services.want_letter(member, True)
    letter = MorningLetter.objects.of(member.shop).get()
    assert services.take_letter(letter, TODAY) and not services.take_letter(letter, TODAY)


def test_a_crew_members_letter_has_no_word_of_money(member):
    services.want_letter(member, True)
    due_in(member.shop, 2)
    call_command("digest")
    assert not any(word in mail.outbox[0].body.lower() for word in ("price", "cost", "$", "markup"))


def test_the_letter_is_asked_for_and_stopped_on_ones_own_page(client, member):
    client.force_login(member.user)
    page = reverse("own_days")
    assert client.post(page, {"letter": "yes"}).status_code == 302
    assert member.user.email in client.get(page).content.decode()
    assert MorningLetter.objects.of(member.shop).get().wanted
    client.post(page, {"letter": "no"})
    assert not MorningLetter.objects.of(member.shop).get().wanted
