"""Long work is done once, tells how far it is, stops when asked, and goes on from where it was."""

import datetime as dt
from dataclasses import dataclass

import pytest
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from projects.platform.permissions import Role
from projects.work import ending, services, tasks
from projects.work.models import Work
from projects.work.running import Progress, do_work
from tests.factories import MemberFactory, ShopFactory, WorkFactory
from tests.shops import people_of, sign_in

pytestmark = pytest.mark.django_db
LONG_AGO = dt.timedelta(hours=1)


@pytest.fixture(autouse=True)
def every_step_is_written(monkeypatch):
    monkeypatch.setattr(Progress, "EVERY", 0)


@pytest.fixture
def lead():
    return MemberFactory(role=Role.CREW_LEAD.value)


def begun(member, **arguments):
    return services.start(member.shop, "practice", arguments, member, title="Practice")


def stands(work):
    return Work.objects.of(work.shop_id).get(pk=work.pk)


def do(work):
    """As the worker would, without its second thread: a test's rows are seen by its own connection alone."""
    return do_work(work.pk, stands(work).task)


def test_work_waits_until_a_worker_does_it(lead):
    work = begun(lead, steps=3)
    assert (work.state, work.done, DBTaskResult.objects.ready().count()) == ("waiting", 0, 1)
    done = do(work)
    assert (done.state, done.done, done.total, done.outcome) == ("done", 3, 3, {"steps": 3})
    assert done.started_at and done.ended_at


def test_pressed_twice_it_is_one_piece_of_work(lead):
    assert begun(lead, steps=3).pk == begun(lead, steps=3).pk
    assert begun(lead, steps=4).pk != begun(lead, steps=3).pk
    do(begun(lead, steps=3))
    assert begun(lead, steps=3).state == "waiting", "what ended may be asked for again"


def test_another_shop_asking_for_the_same_has_its_own(lead):
    assert begun(lead, steps=3).pk != begun(MemberFactory(), steps=3).pk


def test_a_task_carries_out_its_work_once(lead):
    work = begun(lead, steps=2)
    task = work.task
    assert do_work(work.pk, task).state == "done"
    assert do_work(work.pk, task) is None


def test_what_waits_is_cancelled_at_once_and_its_task_finds_nothing_to_do(lead):
    work = begun(lead, steps=2)
    assert services.cancel(work).state == "cancelled"
    assert do_work(work.pk, work.task) is None
    with pytest.raises(services.CannotBeDone, match="ended already"):
        services.cancel(work)


def test_what_runs_stops_at_its_next_step_and_resumes_from_there(lead):
    work = begun(lead, steps=5, cancel_at=2)
    stopped = do(work)
    assert (stopped.state, stopped.done) == ("cancelled", 2)
    resumed = services.resume(stopped)
    assert (resumed.state, resumed.done) == ("waiting", 2)
    Work.objects.of(lead.shop).filter(pk=work.pk).update(arguments='{"steps":5}')
    assert do(resumed).done == 5


def test_a_failure_says_what_to_do_and_resumes(lead):
    failed = do(begun(lead, steps=3, fail_at=1))
    assert (failed.state, failed.done, failed.error) == (
        "failed", 1, "Room Snug has no readings. Enter them, then resume.",
    )  # fmt: skip
    assert services.resume(failed).error == ""


def test_a_mistake_in_the_program_is_told_without_its_insides(lead):
    failed = do(begun(lead, steps=3, break_at=0))
    assert failed.state == "failed"
    assert "ZeroDivisionError" in failed.error and "a mistake in" not in failed.error


def test_work_of_a_kind_no_longer_known_fails_in_words(lead):
    work = begun(lead, steps=1)
    Work.objects.of(lead.shop).filter(pk=work.pk).update(kind="forgotten")
    assert "knows no such work" in do(work).error


@dataclass
class AsTaken:
    """What the queue tells a task of itself."""

    id: str


@dataclass
class FakeContext:
    task_result: AsTaken


def test_a_worker_asked_to_end_puts_its_work_back(lead, monkeypatch):
    work = begun(lead, steps=4)
    monkeypatch.setattr(ending, "_ending", True)
    tasks.carry_out.call(FakeContext(AsTaken(work.task)), work.pk)
    monkeypatch.undo()
    back = stands(work)
    assert (back.state, back.done) == ("waiting", 1)
    assert back.task != work.task
    assert do(back).state == "done"


# Without a sign of life


def silent(work, **fields):
    Work.objects.of(work.shop_id).filter(pk=work.pk).update(beat=timezone.now() - LONG_AGO, **fields)
    return stands(work)


def claimed(work):
    DBTaskResult.objects.get(pk=work.task).claim("a worker that is gone")
    return work


def test_running_work_without_a_sign_of_life_is_put_back_once(lead):
    work = silent(claimed(begun(lead, steps=2)), state="running")
    assert services.take_up_again() == 1
    assert services.take_up_again() == 0
    again = stands(work)
    assert (again.state, again.taken_up_again) == ("waiting", 1)
    assert again.task != work.task
    assert do_work(work.pk, work.task) is None, "the old task has lost its right to it"
    assert do(again).state == "done"


def test_of_two_that_saw_it_silent_one_puts_it_back(lead):
    work = silent(claimed(begun(lead, steps=2)), state="running")
    now = timezone.now()
    assert [services._taken_up(work, now), services._taken_up(work, now)] == [True, False]


def test_a_worker_that_ended_before_beginning_is_noticed_and_a_long_queue_is_not(lead):
    in_queue, lost = silent(begun(lead, steps=2)), silent(claimed(begun(lead, steps=3)))
    assert services.take_up_again() == 1
    assert stands(in_queue).task == in_queue.task
    assert stands(lost).task != lost.task


def test_work_that_was_silent_and_comes_back_to_life_stops(lead):
    """The other worker has it now: what this one writes goes nowhere, and it ends at its next step."""
    work = silent(claimed(begun(lead, steps=3)), state="running")
    slow = Progress(work)
    services.take_up_again()
    with pytest.raises(Exception) as stopped:
        slow.at(1, 3)
    assert type(stopped.value).__name__ == "TakenAway"
    assert stands(work).done == 0


def test_work_that_ends_its_worker_each_time_is_not_begun_for_ever(lead):
    work = silent(claimed(begun(lead, steps=2)), state="running", taken_up_again=services.MOST_TIMES)
    assert services.take_up_again() == 0
    failed = stands(work)
    assert failed.state == "failed" and "ended 6 times" in failed.error


def test_cancelled_while_its_worker_was_gone_it_stays_cancelled(lead):
    work = silent(claimed(begun(lead, steps=2)), state="running", cancel_asked=True)
    assert services.take_up_again() == 0
    assert stands(work).state == "cancelled"


# Pages


def test_one_watches_cancels_and_resumes_on_pages(client, lead):
    work = begun(lead, steps=4)
    sign_in(client, lead)
    assert "0 of 4" not in client.get(f"/work/{work.pk}/").content.decode()
    page = client.post(f"/work/{work.pk}/cancel/", follow=True).content.decode()
    assert "cancelled" in page and "Resume" in page
    assert "Cancel</button>" in client.post(f"/work/{work.pk}/resume/", follow=True).content.decode()
    assert client.get(f"/work/{work.pk}/state/").json() == {
        "state": "waiting", "done": 0, "total": 0, "stopping": False,
    }  # fmt: skip
    do(stands(work))
    assert "4 of 4" in client.get("/work/").content.decode()
    assert "nothing to cancel" in client.post(f"/work/{work.pk}/cancel/", follow=True).content.decode()


def test_work_of_the_office_is_not_there_for_the_crew(client):
    shop = ShopFactory()
    people = people_of(shop)
    work = WorkFactory(shop=shop, kind="practice of the office", title="Price the tower")
    for role, status in ((Role.ESTIMATOR, 200), (Role.CREW, 404)):
        sign_in(client, people[role])
        assert client.get(f"/work/{work.pk}/").status_code == status
        assert client.post(f"/work/{work.pk}/cancel/").status_code == (302 if status == 200 else 404)
        assert ("Price the tower" in client.get("/work/").content.decode()) is (status == 200)


def test_the_list_asks_as_often_for_forty_as_for_two(client, lead, django_assert_num_queries):
    sign_in(client, lead)
    client.get("/work/")
    for count in (2, 40):
        WorkFactory.create_batch(count, shop=lead.shop, asked_by=lead)
        with django_assert_num_queries(5):
            client.get("/work/")


def test_a_worker_is_not_ending_unless_asked():
    assert ending.is_ending() is False
