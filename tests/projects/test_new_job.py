"""A job is opened, and changed later, by the office."""

import datetime as dt
import html

import pytest
from django.urls import reverse

from projects.jobs.models import Job
from projects.platform.permissions import Role
from tests.factories import JobFactory
from tests.shops import on_page

NEW = {"number": "26-014", "name": "Larkspur Lane"}


def start(page, **changes):
    return page.post(reverse("new_job"), NEW | changes)


def edit(job):
    return reverse("edit_job", args=[job.pk])


def change(client, job, **changes):
    return client.post(edit(job), on_page(client.get(edit(job)), "number") | changes)


def stored(job):
    return Job.objects.of(job.shop).get(pk=job.pk)


def test_a_number_and_a_name_are_enough(owner, shop):
    answer = start(owner)
    job = Job.objects.of(shop).get()
    assert answer.url == reverse("job", args=[job.pk])
    assert "Larkspur Lane" in owner.get(answer.url).content.decode()


def test_all_else_is_kept(owner, shop):
    start(owner, client="Reyes", site="4 Mill Row", style="mm", drywall_on="2026-06-01", note="Two\nfloors")
    job = Job.objects.of(shop).get()
    assert (job.client, job.site, job.style, job.note) == ("Reyes", "4 Mill Row", "mm", "Two\nfloors")
    assert job.drywall_on == dt.date(2026, 6, 1)


@pytest.mark.parametrize(
    ("box", "typed"),
    [
        ("number", ""),
        ("number", "x" * 21),
        ("number", "\u2060"),
        ("name", " "),
        ("name", "x" * 121),
        ("name", "a\u202eb"),
        pytest.param("name", "\u0958" * 120, id="NFC writes each of these letters as two"),
        ("client", "a\u202eb"),
        ("site", "x" * 201),
        ("drywall_on", "31 Feb"),
        ("style", "cubits"),
        ("note", "x" * 4001),
        ("note", "a\x07b"),
    ],
)
def test_a_wrong_box_says_so_and_all_that_was_typed_stays(owner, shop, box, typed):
    answer = start(owner, **{box: typed})
    form = answer.context["form"]
    assert answer.status_code == 422
    assert set(form.errors) == {box}
    assert form[box].value() == typed
    assert not Job.objects.of(shop).exists()


def test_a_number_is_used_once_in_a_shop(owner, shop, stranger):
    start(stranger)
    owner.force_login(shop.members.get(role="owner").user)
    assert start(owner).status_code == 302
    answer = start(owner)
    assert answer.status_code == 422
    assert "Another job has this number" in " ".join(answer.context["form"].errors["number"])


def test_a_job_is_changed(owner, job):
    assert change(owner, job, name="Mill Row").url == reverse("job", args=[job.pk])
    assert stored(job).name == "Mill Row"


def test_a_changed_number_may_not_be_anothers(owner, job):
    JobFactory(shop=job.shop, number="26-015")
    answer = change(owner, job, number="26-015")
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"number"}


def test_a_stale_save_shows_both_and_saving_again_goes_through(owner, job):
    opened = on_page(owner.get(edit(job)), "number")
    change(owner, job, name="Mill Row", note="theirs")
    answer = owner.post(edit(job), opened | {"name": "Mill House", "site": "4 Mill Row", "note": "line\n“mine” <b>"})
    page = html.unescape(answer.content.decode())
    assert answer.status_code == 409
    assert "Mill Row" in page and "Mill House" in page
    assert "theirs" in page and "“mine” <b>" in page
    assert stored(job).name == "Mill Row"
    assert owner.post(edit(job), on_page(answer, "number")).status_code == 302
    now = stored(job)
    assert (now.name, now.site) == ("Mill House", "4 Mill Row")
    assert now.note == "line\n“mine” <b>"


@pytest.mark.parametrize("role", [Role.CREW_LEAD, Role.CREW, Role.VIEWER])
def test_the_field_reads_jobs_and_the_office_keeps_them(as_role, job, role):
    client = as_role(role)
    for address in (reverse("jobs"), reverse("job", args=[job.pk])):
        assert client.get(address).status_code == 200
    assert [client.get(reverse("new_job")).status_code, start(client).status_code] == [403, 403]
    assert [client.get(edit(job)).status_code, client.post(edit(job), NEW).status_code] == [403, 403]


def test_a_strangers_job_is_not_here(stranger, job):
    assert stranger.get(reverse("job", args=[job.pk])).status_code == 404
    assert [stranger.get(edit(job)).status_code, stranger.post(edit(job), NEW).status_code] == [404, 404]
    assert job.name not in stranger.get(reverse("jobs")).content.decode()


def test_another_verb_is_refused(owner, job):
    assert [owner.put(edit(job)).status_code, owner.delete(reverse("job", args=[job.pk])).status_code] == [405, 405]
