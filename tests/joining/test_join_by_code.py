"""A crew member's phone joins a job by a code: who is let in, who is not, and that no guess is free."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from projects.accounts.models import User
from projects.doors.pace import Pace
from projects.joining import services
from projects.joining.models import JoinCode, Joined
from projects.platform.permissions import Role
from tests.factories import JobFactory, MemberFactory, UserFactory

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()
UNTIL = TODAY + dt.timedelta(days=10)


@pytest.fixture
def lead():
    return MemberFactory(role=Role.CREW_LEAD.value)


@pytest.fixture
def job(lead):
    return JobFactory(shop=lead.shop)


def code_for(job, lead, **more):
    return services.show_code(job, until=UNTIL, by=lead, **more)


def type_in(client, code, name="Tomás"):
    return client.post(reverse("join"), {"code": code, "name": name})


def not_it(digits):
    """Another secret behind the same four digits."""
    return digits[:-1] + str((int(digits[-1]) + 1) % 10)


def test_a_phone_is_in_with_a_code_and_a_name_and_no_e_mail(client, job, lead):
    _code, digits = code_for(job, lead)
    assert type_in(client, f"{digits[:4]} {digits[4:7]} {digits[7:]}").url == reverse("field")
    joined = Joined.objects.of(job.shop).get()
    assert (joined.job, joined.until, joined.let_in_by) == (job, UNTIL, lead)
    user = joined.member.user
    assert (user.name, user.email, user.has_usable_password(), joined.member.role) == ("Tomás", None, False, "crew")
    assert client.get(reverse("job", args=[job.pk])).status_code == 200


def test_only_a_digest_of_the_code_is_kept(job, lead):
    code, digits = code_for(job, lead)
    assert len(digits) == 10 and digits.isdecimal()
    stored = " ".join(str(value) for value in vars(JoinCode.objects.of(job.shop).get(pk=code.pk)).values())
    assert digits not in stored and digits[4:] not in stored


def test_a_code_is_read_whatever_its_spacing_and_in_no_other_scripts_digits(client, job, lead):
    _code, digits = code_for(job, lead)
    arabic = digits.translate(str.maketrans("0123456789", "٠١٢٣٤٥٦٧٨٩"))
    assert type_in(client, arabic).status_code == 422
    assert type_in(client, "12345").status_code == 422
    assert type_in(client, f" {digits[:5]}-{digits[5:]} ").status_code == 302


def test_five_wrong_tries_shut_a_code_even_for_who_then_reads_it_right(client, job, lead):
    _code, digits = code_for(job, lead)
    for _ in range(5):
        assert type_in(client, not_it(digits)).status_code == 422
    assert type_in(client, digits).status_code == 422
    assert not Joined.objects.of(job.shop).exists()


def test_a_right_try_uses_up_none_of_the_five(client, job, lead):
    code, digits = code_for(job, lead)
    for number in range(7):
        services.join(digits, f"Helper {number}", source="here")
    assert JoinCode.objects.of(job.shop).get(pk=code.pk).wrong == 0


def test_a_wrong_place_and_a_wrong_secret_are_answered_alike(client, job, lead):
    _code, digits = code_for(job, lead)
    nowhere = f"{(int(digits[:4]) + 1) % 10_000:04}{digits[4:]}"
    answers = []
    for typed in (nowhere, not_it(digits)):
        with pytest.raises(services.NotJoined) as refused:
            services.join(typed, "Tomás", source="here")
        answers.append(str(refused.value))
    assert answers[0] == answers[1]


def test_an_hour_takes_so_many_tries_from_one_place_and_no_more(client, job, lead, monkeypatch):
    monkeypatch.setattr(services, "FROM_ONE_PLACE", Pace("join from", burst=3, every=600))
    _code, digits = code_for(job, lead)
    for _ in range(3):
        assert type_in(client, "0" * 10).status_code == 422
    refused = type_in(client, digits)
    assert (refused.status_code, 0 < int(refused["Retry-After"]) <= 600) == (429, True)
    assert services.join(digits, "Tomás", source="another place").job == job
    later = timezone.now() + dt.timedelta(hours=1)
    assert services.join(digits, "Ana", source="127.0.0.1", now=later).job == job


def test_an_hour_takes_so_many_tries_from_everywhere_and_no_more(job, lead, monkeypatch):
    monkeypatch.setattr(services, "FROM_EVERYWHERE", Pace("join", burst=3, every=600))
    for place in ("a", "b", "c"):
        with pytest.raises(services.NotJoined):
            services.join("0" * 10, "Tomás", source=place)
    with pytest.raises(services.TooManyTries):
        services.join("0" * 10, "Tomás", source="d")


def test_a_code_ends_by_itself_and_when_it_is_ended(job, lead):
    _code, digits = code_for(job, lead)
    with pytest.raises(services.NotJoined):
        services.join(digits, "Tomás", source="here", now=timezone.now() + services.STANDS)
    code, digits = code_for(job, lead)
    assert services.end_code(job, code.pk) and not services.end_code(job, code.pk)
    with pytest.raises(services.NotJoined):
        services.join(digits, "Tomás", source="here")


def test_no_second_of_a_name_is_on_a_job_but_an_ended_one_leaves_it(job, lead):
    _code, digits = code_for(job, lead)
    joined = services.join(digits, "Tomás", source="here")
    with pytest.raises(services.NameTaken):
        services.join(digits, "Tomás", source="here")
    services.end_phone(joined, by=lead)
    assert services.join(digits, "Tomás", source="here").member != joined.member


def test_codes_of_a_job_are_so_many_at_once(job, lead, monkeypatch):
    monkeypatch.setattr(services, "MOST_CODES", 2)
    code_for(job, lead)
    code_for(job, lead)
    with pytest.raises(services.TooManyCodes):
        code_for(job, lead)


# A lost phone


def test_an_ended_phone_is_refused_at_its_next_request(client, job, lead):
    _code, digits = code_for(job, lead)
    type_in(client, digits)
    page = reverse("job", args=[job.pk])
    assert client.get(page).status_code == 200
    services.end_phone(Joined.objects.of(job.shop).get(), by=lead)
    assert client.get(page).url.startswith("/sign-in/")
    assert client.get("/api/v1/rooms/").status_code == 401


def test_a_phone_is_out_after_its_last_day_and_in_again_when_the_lead_moves_it(client, job, lead):
    _code, digits = code_for(job, lead)
    type_in(client, digits)
    joined = Joined.objects.of(job.shop).get()
    page = reverse("job", args=[job.pk])
    Joined.objects.of(job.shop).update(until=TODAY - dt.timedelta(days=1))
    assert client.get(page).url == reverse("choose_shop")
    assert "last day" in client.get(reverse("choose_shop")).content.decode()
    assert client.post(reverse("choose_shop"), {"shop": job.shop_id}).status_code == 404
    assert client.get("/api/v1/rooms/").status_code == 403
    services.stay_until(joined, joined.version, TODAY)
    assert client.get(page).status_code == 200


def test_the_next_phone_of_a_person_takes_over_and_the_old_one_is_out(client, job, lead, django_user_model):
    from django.test import Client

    _code, digits = code_for(job, lead)
    type_in(client, digits)
    joined = Joined.objects.of(job.shop).get()
    _again, digits = code_for(job, lead, again=joined)
    other = Client()
    assert type_in(other, digits, "whatever is typed").status_code == 302
    assert Joined.objects.of(job.shop).count() == 1 and User.objects.filter(email=None).count() == 1
    page = reverse("job", args=[job.pk])
    assert other.get(page).status_code == 200
    assert client.get(page).status_code == 302
    with pytest.raises(services.NotJoined):  # it was for one phone
        services.join(digits, "Tomás", source="here")


def test_somebody_without_an_e_mail_and_without_a_record_of_joining_opens_nothing(client, lead):
    loose = MemberFactory(shop=lead.shop, user=UserFactory(email=None))
    client.force_login(loose.user)
    assert client.get(reverse("rooms")).url == reverse("choose_shop")


# The lead's page


def test_the_lead_shows_a_code_once_and_it_lets_in(client, job, lead):
    client.force_login(lead.user)
    page = reverse("job_phones", args=[job.pk])
    shown = client.post(page, {"until": UNTIL.isoformat()})
    assert "no-store" in shown["Cache-Control"]
    digits = shown.context["code"]["digits"]
    assert digits in shown.content.decode()
    assert digits not in client.get(page).content.decode()
    assert services.join(digits.replace(" ", ""), "Tomás", source="here").until == UNTIL


def test_a_day_behind_or_years_ahead_is_no_last_day(client, job, lead):
    client.force_login(lead.user)
    for day in (TODAY - dt.timedelta(days=1), TODAY + dt.timedelta(days=400)):
        assert client.post(reverse("job_phones", args=[job.pk]), {"until": day.isoformat()}).status_code == 422
    assert not JoinCode.objects.of(job.shop).exists()


def test_ending_says_what_the_phone_may_still_hold_first(client, job, lead, monkeypatch):
    monkeypatch.setattr(services, "LEFT_BEHIND", [lambda member: "3 entries were not sent.", lambda member: ""])
    _code, digits = code_for(job, lead)
    joined = services.join(digits, "Tomás", source="here")
    client.force_login(lead.user)
    page = reverse("end_phone", args=[job.pk, joined.pk])
    assert "3 entries were not sent." in client.get(page).content.decode()
    assert client.post(page).status_code == 302
    ended = Joined.objects.of(job.shop).get()
    assert ended.ended_by == lead
    assert "ended" in client.get(reverse("job_phones", args=[job.pk])).content.decode()


def test_a_last_day_changed_meanwhile_is_shown_beside_what_was_typed(client, job, lead):
    _code, digits = code_for(job, lead)
    joined = services.join(digits, "Tomás", source="here")
    client.force_login(lead.user)
    page = reverse("phone_until", args=[job.pk, joined.pk])
    services.stay_until(joined, 1, TODAY)
    late = client.post(page, {"version": 1, "until": UNTIL.isoformat()})
    assert late.status_code == 409
    assert client.post(page, {"version": 2, "until": UNTIL.isoformat()}).status_code == 302
    assert Joined.objects.of(job.shop).get().until == UNTIL


def test_a_code_or_phone_of_another_job_is_not_here(client, job, lead):
    other = JobFactory(shop=lead.shop)
    code, digits = code_for(other, lead)
    joined = services.join(digits, "Tomás", source="here")
    client.force_login(lead.user)
    for name, ident in (("end_join_code", code.pk), ("phone_again", joined.pk), ("end_phone", joined.pk)):
        assert client.post(reverse(name, args=[job.pk, ident])).status_code == 404, name
