"""What happens in a shop is told once it stands, to who asked for it, until it is taken; and never too much."""

import datetime as dt
import json

import pytest
from django.db import connection, transaction
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from projects.history.models import Entry
from projects.jobs.models import Room
from projects.jobs.services import move_stage
from projects.webhooks import delivering, reading, rounds, sending, services, signing
from projects.webhooks.events import EVENTS
from projects.webhooks.models import Delivery, ReadUpTo, State, Webhook
from tests.factories import DeliveryFactory, MemberFactory, RoomFactory, WebhookFactory
from tests.webhooks.hosts import says

# PostgreSQL tells nothing of a transaction that is still open, a test's own among them.
pytestmark = pytest.mark.django_db(transaction=connection.vendor == "postgresql")
NOW = dt.datetime(2026, 5, 4, 9, 0, tzinfo=dt.UTC)


@pytest.fixture
def webhook():
    RoomFactory()  # begins behind it, however many were told of by tests before
    reading.begin()
    return WebhookFactory(events="room.added,room.moved,room.trashed")


def messages(webhook):
    return list(Delivery.objects.of(webhook.shop_id).filter(webhook=webhook).order_by("pk"))


def worked_off():
    """What waits in the queue, done as the worker does it."""
    waiting = list(DBTaskResult.objects.order_by("enqueued_at"))
    DBTaskResult.objects.all().delete()
    for each in waiting:
        delivering.deliver.call(*each.args_kwargs["args"])
    return len(waiting)


def stored(webhook):
    return Webhook.objects.of(webhook.shop_id).get(pk=webhook.pk)


def test_a_room_that_moved_is_told_to_its_own_shop_alone(webhook, settings):
    settings.PUBLIC_URL = "https://book.example.com"
    room, other = RoomFactory(shop=webhook.shop), RoomFactory()
    reading.read()
    Delivery.objects.every_shop().delete()
    move_stage(room, 1, by=MemberFactory(shop=webhook.shop))
    move_stage(other, 1, by=MemberFactory(shop=other.shop))
    assert reading.read() == 1
    [told] = messages(webhook)
    said = json.loads(told.body)
    assert (said["type"], said["shop"], said["data"]["room"]) == ("room.moved", webhook.shop_id, room.pk)
    assert said["data"]["url"] == f"https://book.example.com/api/v1/rooms/{room.pk}/"
    assert dt.datetime.fromisoformat(said["timestamp"]).tzinfo is not None


def test_nothing_is_told_twice_and_nothing_of_what_was_before(webhook):
    room = RoomFactory(shop=webhook.shop)
    assert [reading.read(), reading.read()] == [1, 0]
    WebhookFactory(shop=webhook.shop, events="room.added")
    assert reading.read() == 0
    Room.objects.of(webhook.shop).filter(pk=room.pk).update(name="Den")
    assert reading.read() == 0  # a change that is no event of anybody's


def test_two_workers_that_read_the_same_entries_make_them_once(webhook, monkeypatch):
    RoomFactory(shop=webhook.shop)
    seen = reading.begin()
    assert reading.read() == 1
    monkeypatch.setattr(reading, "begin", lambda: seen)
    assert reading.read() == 0
    assert len(messages(webhook)) == 1


def test_what_was_taken_back_is_told_to_nobody(webhook):
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        RoomFactory(shop=webhook.shop)
        raise ZeroDivisionError
    assert reading.read() == 0


def test_a_bulk_change_that_no_model_sees_is_told(webhook):
    room = RoomFactory(shop=webhook.shop)
    reading.read()
    by = MemberFactory(shop=webhook.shop)
    Room.objects.of(webhook.shop).filter(pk=room.pk).update(trashed_at=timezone.now(), trashed_by=by)
    assert reading.read() == 1
    assert messages(webhook)[-1].event == "room.trashed"


def test_who_is_off_is_told_nothing(webhook):
    Webhook.objects.of(webhook.shop_id).update(on=False)
    RoomFactory(shop=webhook.shop)
    assert reading.read() == 0
    assert ReadUpTo.objects.get().entry == Entry.objects.every_shop().order_by("-pk").first().pk


def test_row_60_no_message_says_a_price_a_name_or_a_secret(webhook):
    """Every event there is, from an entry whose columns say all of these."""
    loud = json.dumps({"state": "sent", "price": "1234.56", "name": "Mrs. Quill", "says": "yes", "token": "open-sesame",
                       "kind": "received", "note": "behind the hedge", "version": 7})  # fmt: skip
    entry = Entry(at=NOW, shop_id=webhook.shop_id, job_id=3, room_id=4, record="5", before="", after=loud)
    for each in EVENTS.values():
        data = reading.data_of(each, entry)
        body = reading.message(webhook, each.name, NOW, data).body
        assert set(data) <= {"record", "job", "room", "version", "url"}, each.name
        for word in ("1234", "Quill", "sesame", "hedge", "secret", webhook.secret_seed):
            assert word not in body
        assert data["url"].endswith("/") and len(each.name) <= 40 and len(body) < 1000


def test_every_event_names_a_table_of_ours_and_an_address_that_is_there():
    from projects.history.recorded import tables

    names = {table.name for table in tables()}
    for each in EVENTS.values():
        assert each.table in names, each.name
        assert reverse(f"api:{each.where}", kwargs=dict.fromkeys(each.ids, 1)).startswith("/api/v1/")


def test_a_message_comes_signed_and_is_noted_as_taken(webhook, host):
    here = host(says("200 OK", b"thanks"))
    RoomFactory(shop=webhook.shop)
    reading.read()
    assert (delivering.hand_on(), worked_off()) == (1, 1)
    [(_first, headers, body)] = here.got
    assert signing.is_ours(headers, body, signing.secret_of(webhook.secret_seed, webhook.secret_mark))
    [told] = messages(webhook)
    assert headers["webhook-id"] == told.said_id and body.decode() == told.body
    assert (told.state, told.status, told.tries, told.answer) == (State.TAKEN, 200, 1, "thanks")
    assert (delivering.hand_on(), worked_off()) == (0, 0)


@pytest.fixture
def answers(monkeypatch):
    """Statuses that the host says in turn, the last for ever; 0: no answer. What was sent is counted."""
    said, sent = [], []

    def send(url, body, headers):
        sent.append(headers["webhook-id"])
        status = said.pop(0) if len(said) > 1 else said[0]
        if not status:
            raise sending.NoAnswer("The line broke.")
        return sending.Answer(status, 12, "")

    monkeypatch.setattr(sending, "send", send)
    said.append(200)
    return said, sent


def at_last(webhook, rounds_made=1):
    """So many rounds, each when the next try is due."""
    for _n in range(rounds_made):
        Delivery.objects.of(webhook.shop_id).filter(state=State.WAITING).update(due=NOW)
        Webhook.objects.of(webhook.shop_id).exclude(rests_until=None).update(rests_until=NOW)
        delivering.hand_on()
        worked_off()


def test_one_that_is_not_taken_is_tried_ten_times_under_one_id_then_given_up(answers):
    said, sent = answers
    said[:] = [500]
    one = DeliveryFactory(state=State.WAITING)
    at_last(one.webhook, 12)
    one.refresh_from_db()
    assert (one.state, one.tries, one.status) == (State.GIVEN_UP, 10, 500)
    assert sent == [one.said_id] * 10


def test_it_waits_longer_each_time_and_never_all_at_one_moment():
    for tries, seconds in enumerate(delivering.WAITS, 1):
        waits = {delivering._wait(tries) for _n in range(30)}
        assert len(waits) > 1 and seconds * 0.8 <= min(waits) <= max(waits) <= seconds * 1.2
    assert list(delivering.WAITS) == sorted(delivering.WAITS)
    assert 24 * 3600 < sum(delivering.WAITS) < 48 * 3600


def test_a_host_that_takes_nothing_rests_is_tried_with_one_and_is_on_again_when_it_takes_it(answers, webhook):
    said, sent = answers
    said[:] = [0] * 9 + [200]
    DeliveryFactory.create_batch(4, webhook=webhook, state=State.WAITING, due=timezone.now())
    at_last(webhook, 8)
    rested = stored(webhook)
    assert rested.failed == 8 and rested.rests_until > timezone.now() + dt.timedelta(minutes=50)
    Delivery.objects.of(webhook.shop_id).update(due=NOW)
    assert delivering.hand_on() == 0 and len(sent) == 8
    at_last(webhook)  # the hour is over: one, not four, and it is not taken
    assert len(sent) == 9 and stored(webhook).rests_until > timezone.now()
    at_last(webhook)
    assert (stored(webhook).failed, stored(webhook).rests_until, stored(webhook).failing_since) == (0, None, None)


def test_after_three_days_of_nothing_it_is_turned_off_and_says_why(answers, webhook):
    said, sent = answers
    said[:] = [503]
    DeliveryFactory(webhook=webhook, state=State.WAITING)
    at_last(webhook)
    long_ago = timezone.now() - dt.timedelta(days=3, minutes=1)
    Webhook.objects.of(webhook.shop_id).update(failing_since=long_ago)
    at_last(webhook)
    assert not stored(webhook).on and "three days" in stored(webhook).off_why
    at_last(webhook)
    assert len(sent) == 2


def test_a_host_that_says_it_is_gone_is_turned_off_at_once(answers, webhook):
    answers[0][:] = [410]
    DeliveryFactory(webhook=webhook, state=State.WAITING)
    at_last(webhook)
    assert not stored(webhook).on and "no more" in stored(webhook).off_why


def test_one_slow_host_has_one_message_on_its_way_and_holds_up_nobody_else(webhook):
    DeliveryFactory.create_batch(3, webhook=webhook, state=State.WAITING)
    other = DeliveryFactory(state=State.WAITING)
    assert delivering.hand_on() == 2
    assert delivering.hand_on() == 0
    assert {each.args_kwargs["args"][0] for each in DBTaskResult.objects.all()} >= {other.pk}


def test_a_message_whose_worker_was_killed_comes_due_again(webhook, answers):
    one = DeliveryFactory(webhook=webhook, state=State.WAITING)
    delivering.hand_on()
    DBTaskResult.objects.all().delete()  # with the worker
    later = timezone.now() + dt.timedelta(seconds=delivering.ON_ITS_WAY + 1)
    assert delivering.hand_on(later) == 1
    worked_off()
    one.refresh_from_db()
    assert one.state == State.TAKEN


def test_a_message_is_sent_again_under_its_own_id(webhook, answers):
    one = DeliveryFactory(webhook=webhook, state=State.GIVEN_UP, tries=10)
    services.send_again(webhook, one.pk)
    with pytest.raises(services.CannotDo):
        services.send_again(webhook, one.pk)
    at_last(webhook)
    one.refresh_from_db()
    assert (one.state, one.tries, answers[1]) == (State.TAKEN, 1, [one.said_id])


def test_a_secret_whose_key_is_gone_is_said_in_the_log(webhook, answers, settings):
    settings.SECRET_KEY = "another-key-altogether"
    one = DeliveryFactory(webhook=webhook, state=State.WAITING)
    at_last(webhook)
    one.refresh_from_db()
    assert one.why.startswith("The secret was made with a key") and answers[1] == []


def test_what_ended_a_month_ago_is_forgotten_and_what_waits_is_not(webhook):
    old = timezone.now() - dt.timedelta(days=31)
    ended, waits, new = (DeliveryFactory(webhook=webhook, state=state) for state in ("taken", "waiting", "taken"))
    Delivery.objects.of(webhook.shop_id).filter(pk__in=(ended.pk, waits.pk)).update(created_at=old)
    delivering.forget()
    assert {each.pk for each in messages(webhook)} == {waits.pk, new.pk}


def test_whoever_works_reads_and_hands_on(webhook, monkeypatch):
    monkeypatch.setitem(rounds._last, "round", -100.0)
    RoomFactory(shop=webhook.shop)
    rounds.make_a_round()
    assert DBTaskResult.objects.count() == 1
    RoomFactory(shop=webhook.shop)
    rounds.make_a_round()  # not again so soon
    assert len(messages(webhook)) == 1


def test_how_often_the_database_is_asked_does_not_grow_with_what_happened(webhook, django_assert_max_num_queries):
    for _n in range(20):
        RoomFactory(shop=webhook.shop)
    with django_assert_max_num_queries(11):  # PostgreSQL asks besides which transactions are open
        assert reading.read() == 20
