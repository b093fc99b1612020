"""A job's material from the takeoff to the room: ordered, received in parts, picked, brought back, left over."""

import html
import io
import uuid

import pytest
from django.urls import reverse
from pypdf import PdfReader

from layout.engine.lengths import feet, inches
from projects.jobs.services import copy_room
from projects.platform.permissions import Role
from reports.purchasing import queries, services
from reports.purchasing.forms import row_of
from reports.purchasing.models import Leftover, Movement, Order
from reports.purchasing.services import Item, NotDone, Refused
from reports.takeoffs.models import NeverChanged
from tests.factories import LeftoverFactory, MovementFactory, OrderLineFactory, ReelFactory, ShopFactory
from tests.shops import issue, people_of, practice_room, sign_in

MOST_QUERIES = 28  # most of them the count's own: what each room's kept lines rest on


def slip():
    return str(uuid.uuid4())


@pytest.fixture
def shop(db):
    return ShopFactory()


@pytest.fixture
def people(shop):
    return people_of(shop)


@pytest.fixture
def room(shop):
    room = practice_room(shop)
    issue(room)
    return room


@pytest.fixture
def job(room):
    return room.job


def line_of(job, key):
    return next(line for line in queries.job_material(job).lines if line.key == key)


def a_key(job):
    """An item that the practice room takes several of."""
    return max(queries.job_material(job).lines, key=lambda line: (line.unit == "each", line.standing.need)).key


def boxes(quantity, key="switch_box"):
    return Item(key, "Switch box", "each", quantity)


def ordered(job, quantity=10):
    return OrderLineFactory(order__job=job, quantity=quantity)


def page(answer):
    return " ".join(html.unescape(answer.content.decode()).split())


# --- the sums


def test_an_order_is_taken_off_what_is_to_buy_and_a_receipt_moves_it_on_hand(job):
    key = a_key(job)
    before = line_of(job, key)
    need = before.standing.need
    assert need > 2 and before.standing.to_buy == need
    order = services.place_order(job, [Item(key, before.name, before.unit, 2)], from_whom="Supply", slip=slip())
    assert line_of(job, key).standing.to_buy == need - 2
    services.receive(order, [(order.lines.get().pk, 1, "van")], slip=slip())
    now = line_of(job, key).standing
    assert (now.lies.places["van"], now.on_order, now.to_buy) == (1, 1, need - 2)


def test_cable_is_bought_by_the_foot_and_rent_and_fees_are_no_material(job):
    lines = queries.job_material(job).lines
    assert {line.unit for line in lines if line.category == "cable"} <= {"ft"}
    assert not {line.category for line in lines} & {"equipment", "fees", "allowances"}


def test_material_is_received_in_parts_and_never_more_than_is_to_come(job):
    line = ordered(job, 10)
    services.receive(line.order, [(line.pk, 4, "site")], slip=slip())
    services.receive(line.order, [(line.pk, 3, "shop")], slip=slip())
    with pytest.raises(Refused) as refused:
        services.receive(line.order, [(line.pk, 4, "site")], slip=slip())
    assert "more than the 3 still to come" in refused.value.errors[line.pk]
    assert services.became(job.shop_id, [line.pk]) == {line.pk: [7, 0]}


def test_one_bad_row_books_none_of_them(job):
    good, bad = ordered(job, 5), None
    bad = OrderLineFactory(order=good.order, quantity=1)
    with pytest.raises(Refused):
        services.receive(good.order, [(good.pk, 5, "site"), (bad.pk, 2, "site")], slip=slip())
    assert not Movement.objects.of(job.shop_id).exists()


def test_the_same_press_twice_books_once(job):
    line, pressed = ordered(job, 10), slip()
    assert len(services.receive(line.order, [(line.pk, 4, "site")], slip=pressed)) == 1
    assert services.receive(line.order, [(line.pk, 4, "site")], slip=pressed) == []
    first = services.place_order(job, [boxes(1)], from_whom="Supply", slip=pressed)
    assert services.place_order(job, [boxes(1)], from_whom="Supply", slip=pressed) == first


def test_two_people_who_receive_the_same_line_both_count(job, people):
    """Both saw ten to come. Six and four are both kept; the one that would be eleven is told what is left."""
    line = ordered(job, 10)
    services.receive(line.order, [(line.pk, 6, "site")], slip=slip(), by=people[Role.CREW])
    with pytest.raises(Refused) as refused:
        services.receive(line.order, [(line.pk, 5, "van")], slip=slip(), by=people[Role.CREW_LEAD])
    assert "4 still to come" in refused.value.errors[line.pk]
    services.receive(line.order, [(line.pk, 4, "van")], slip=slip(), by=people[Role.CREW_LEAD])
    assert services.lies_of(job)["switch_box"].places == {"shop": 0, "van": 4, "site": 6}


def test_what_is_not_coming_is_short_no_more(job):
    line = ordered(job, 10)
    services.receive(line.order, [(line.pk, 3, "")], slip=slip(), not_coming=True)
    [now] = queries.lines_now(job.shop, [line.order])[line.order_id]
    assert (now.fate.received, now.fate.not_coming, now.short) == (0, 3, 7)


def test_a_movement_is_taken_back_by_its_opposite_and_stays_in_the_ledger(job):
    line = ordered(job, 10)
    [booked] = services.receive(line.order, [(line.pk, 8, "site")], slip=slip())
    services.take_back(booked, slip=slip())
    assert services.became(job.shop_id, [line.pk]) == {line.pk: [0, 0]}
    assert services.lies_of(job)["switch_box"].on_hand == 0
    with pytest.raises(NotDone, match="already"):
        services.take_back(booked, slip=slip())
    assert Movement.objects.of(job.shop_id).count() == 2


def test_what_was_picked_meanwhile_is_not_taken_back_from_under_the_room(job, room):
    line = ordered(job, 4)
    [booked] = services.receive(line.order, [(line.pk, 4, "site")], slip=slip())
    made = services.write_pick_list(room, [boxes(3)], slip=slip())
    services.pick(made, [(made.lines.get().pk, 3, "site")], slip=slip())
    with pytest.raises(NotDone, match="Only 1"):
        services.take_back(booked, slip=slip())


def test_movements_and_orders_are_never_changed(job):
    moved = MovementFactory(job=job)
    moved.quantity = 3
    with pytest.raises(NeverChanged):
        moved.save()


# --- rooms


def test_a_room_has_its_material_on_hand_only_when_it_lies_there(job, room):
    """An order, however well promised, is not material on hand."""
    wanted = queries.room_material(room)
    assert not wanted.on_hand and len(wanted.lacking) == len(wanted.lines) > 5
    items = [Item(line.key, line.name, line.unit, line.need) for line in wanted.lines]
    order = services.place_order(job, items, from_whom="Supply", slip=slip())
    assert not queries.room_material(room).on_hand
    lines = list(order.lines.all())
    services.receive(order, [(line.pk, line.quantity, "site") for line in lines[1:]], slip=slip())
    assert [line.key for line in queries.room_material(room).lacking] == [lines[0].key]
    services.receive(order, [(lines[0].pk, lines[0].quantity, "van")], slip=slip())
    assert queries.room_material(room).on_hand


def test_what_is_picked_is_the_rooms_and_what_comes_back_lies_there_again(job, room):
    MovementFactory(job=job, quantity=10)
    made = services.write_pick_list(room, [boxes(4)], slip=slip())
    line = made.lines.get()
    services.pick(made, [(line.pk, 4, "site")], slip=slip())
    lies = services.lies_of(job)["switch_box"]
    assert (lies.places["site"], lies.rooms) == (6, {room.pk: 4})
    services.pick(made, [(line.pk, 1, "shop")], slip=slip(), back=True)
    lies = services.lies_of(job)["switch_box"]
    assert (lies.places["shop"], lies.rooms) == (1, {room.pk: 3})
    with pytest.raises(Refused) as refused:
        services.pick(made, [(line.pk, 7, "site")], slip=slip())
    assert "Only 6" in refused.value.errors[line.pk]


def test_the_material_of_many_rooms_costs_no_more_queries_than_of_one(job, room, django_assert_max_num_queries):
    queries.material_of(job)
    with django_assert_max_num_queries(MOST_QUERIES):
        assert len(queries.material_of(job)) == 1
    copy_room(room, 6)
    for other in job.rooms.exclude(pk=room.pk):
        issue(other)
    queries.material_of(job)
    with django_assert_max_num_queries(MOST_QUERIES):
        assert len(queries.material_of(job)) == 7


# --- leftovers


def test_what_a_job_left_over_is_taken_by_the_next(job):
    MovementFactory(job=job, quantity=10)
    services.leave_over(job, boxes(6), "site", lies="Rack 2", slip=slip())
    assert services.lies_of(job)["switch_box"].on_hand == 4
    [row] = services.shelf(job.shop_id)
    assert (row["n"], row["lies"]) == (6, "Rack 2")
    with pytest.raises(NotDone, match="Only 6"):
        services.take_from_shelf(job, boxes(7), "van", lies="Rack 2", slip=slip())
    services.take_from_shelf(job, boxes(5), "van", lies="Rack 2", slip=slip())
    assert services.lies_of(job)["switch_box"].places["van"] == 5
    services.count_shelf(job.shop, boxes(1), -1, lies="Rack 2", slip=slip())
    assert list(services.shelf(job.shop_id)) == []
    assert [one.change for one in Leftover.objects.of(job.shop)] == [-1, -5, 6]


def test_the_shelf_never_goes_below_nothing(job):
    LeftoverFactory(shop=job.shop, change=2)
    with pytest.raises(NotDone, match="Only 2"):
        services.count_shelf(job.shop, boxes(3), -3, slip=slip())


# --- pages


def test_a_lead_orders_what_is_to_buy_and_the_crew_books_what_came(client, people, job):
    lead = sign_in(client, people[Role.CREW_LEAD])
    lines = queries.job_material(job).lines
    typed = {f"q-{row_of(one.key)}": "" for one in lines} | {
        f"q-{row_of(lines[0].key)}": "3",
        "slip": slip(),
        "from_whom": "Supply house",
    }
    answer = lead.post(reverse("order_material", args=[job.pk]), typed | {"promised_on": "2026-12-04"})
    [order] = Order.objects.of(job.shop)
    assert answer.url == reverse("material_order", args=[job.pk, order.number])
    crew = sign_in(client, people[Role.CREW])
    line = order.lines.get()
    shown = page(crew.get(answer.url))
    assert line.name in shown and "Order now" not in shown
    came = {f"q-{line.pk}": "2", "place": "van", "slip": slip()}
    crew.post(reverse("receive_material", args=[job.pk, order.number]), came)
    crew.post(reverse("receive_material", args=[job.pk, order.number]), came)  # pressed twice on a bad signal
    assert services.became(job.shop_id, [line.pk]) == {line.pk: [2, 0]}
    assert crew.post(reverse("order_material", args=[job.pk]), typed).status_code == 403


def test_a_list_that_changed_since_it_was_shown_orders_nothing_else(client, people, job):
    """A box is named by its item, not by its place in the list: a line that went away takes no other's quantity."""
    lead = sign_in(client, people[Role.CREW_LEAD])
    lines = queries.job_material(job).lines
    typed = {f"q-{row_of(lines[1].key)}": "4", "slip": slip(), "from_whom": "Supply house"}
    gone = typed | {f"q-{row_of('a_line_of_before')}": "7"}
    answer = lead.post(reverse("order_material", args=[job.pk]), gone)
    assert answer.status_code == 422 and "has changed since it was shown" in page(answer)
    assert not Order.objects.of(job.shop).exists()
    lead.post(reverse("order_material", args=[job.pk]), typed)
    assert Order.objects.of(job.shop).get().lines.get().key == lines[1].key


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("11", "11 are more than the 10 still to come"),
        ("-1", "Give 0 or more"),
        ("1.5", "whole number"),
        ("9999999", "is the most"),
        ("NaN", "whole number"),
    ],
)
def test_a_number_that_cannot_be_is_refused_at_its_box_and_kept(client, people, job, typed, words):
    line = ordered(job, 10)
    crew = sign_in(client, people[Role.CREW])
    address = reverse("receive_material", args=[job.pk, line.order.number])
    answer = crew.post(address, {f"q-{line.pk}": typed, "place": "site", "slip": slip()})
    assert answer.status_code == 422
    assert words in page(answer) and f'value="{typed}"' in page(answer)
    assert not Movement.objects.of(job.shop).exists()


def test_an_order_of_nothing_and_of_nobody_is_refused(client, people, job):
    lead = sign_in(client, people[Role.CREW_LEAD])
    address = reverse("order_material", args=[job.pk])
    assert "Nothing to order" in page(lead.post(address, {"slip": slip(), "from_whom": "Supply"}))
    assert "This is needed" in page(lead.post(address, {"slip": slip()}))
    odd = page(lead.post(address, {"slip": slip(), "from_whom": "Supply", "other_name": "Ladder"}))
    assert "Say how many" in odd and 'value="Ladder"' in odd


def test_a_pick_list_is_printed_with_its_label(client, people, job, room):
    crew = sign_in(client, people[Role.CREW])
    row = row_of(queries.room_material(room).lines[0].key)
    crew.post(reverse("write_pick_list", args=[room.pk]), {"slip": slip(), f"q-{row}": "2", "note": "top shelf"})
    [made] = room.pick_lists.all()
    answer = crew.get(reverse("pick_list", args=[room.pk, made.number]), {"paper": "letter"})
    assert answer["Content-Type"] == "application/pdf"
    text = " ".join(PdfReader(io.BytesIO(answer.content)).pages[0].extract_text().split())
    for words in (job.number, room.name, f"Pick list {made.number}", made.lines.get().name.split(":")[0], "top shelf"):
        assert words in text


def test_crew_pick_and_bring_back_from_the_list(client, people, job, room):
    MovementFactory(job=job, quantity=10)
    made = services.write_pick_list(room, [boxes(4)], slip=slip())
    line = made.lines.get()
    crew = sign_in(client, people[Role.CREW])
    picked = {"pick-slip": slip(), f"pick-q-{line.pk}": "4", f"pick-at-{line.pk}": "site"}
    assert crew.post(reverse("pick_material", args=[room.pk, made.number]), picked).status_code == 302
    too_many = {"back-slip": slip(), f"back-q-{line.pk}": "5", f"back-at-{line.pk}": "shop"}
    refused = crew.post(reverse("bring_back_material", args=[room.pk, made.number]), too_many)
    assert refused.status_code == 422 and "Only 4" in page(refused)
    assert "Bring something back" in page(crew.get(reverse("pick_list", args=[room.pk, made.number])))


def test_carry_to_the_shelf_and_take_it_for_a_job(client, people, job):
    MovementFactory(job=job, quantity=10)
    crew = sign_in(client, people[Role.CREW])
    carry = {
        "slip": slip(),
        "item": "switch_box",
        "quantity": "4",
        "came_from": "site",
        "went_to": "shelf",
        "lies": "Rack 2",
    }
    assert crew.post(reverse("carry_material", args=[job.pk]), carry).status_code == 302
    shown = page(crew.get(reverse("leftovers")))
    assert "Rack 2" in shown and "4 each" in shown
    address = reverse("take_leftovers", args=[Leftover.objects.of(job.shop).get().pk])
    assert crew.get(address).status_code == 200
    assert crew.post(address, {"slip": slip(), "quantity": "9", "job": job.pk, "went_to": "van"}).status_code == 422
    assert crew.post(address, {"slip": slip(), "quantity": "4", "job": job.pk, "went_to": "van"}).status_code == 302
    assert services.lies_of(job)["switch_box"].places == {"shop": 0, "van": 4, "site": 6}


def test_the_day_a_line_is_promised_for_is_moved_by_one_person_at_a_time(client, people, job):
    line = ordered(job)
    lead = sign_in(client, people[Role.CREW_LEAD])
    address = reverse("promise_material", args=[job.pk, line.pk])
    assert lead.post(address, {"version": line.version, "promised_on": "2026-12-09"}).status_code == 302
    assert lead.post(address, {"version": line.version, "promised_on": "2026-12-11"}).status_code == 409
    line.refresh_from_db()
    assert str(line.promised_on) == "2026-12-09"


def test_the_page_of_material_costs_no_more_queries_with_more_orders(
    client, people, job, django_assert_max_num_queries
):
    lead, address = sign_in(client, people[Role.CREW_LEAD]), reverse("material", args=[job.pk])
    lead.get(address)
    for orders in (1, 6):
        for _ in range(orders):
            line = ordered(job)
            services.receive(line.order, [(line.pk, 2, "site")], slip=slip())
        with django_assert_max_num_queries(MOST_QUERIES + 12):
            assert lead.get(address).status_code == 200


def test_a_promise_that_has_passed_is_told_as_late(client, people, job):
    line = OrderLineFactory(order__job=job, promised_on="2020-01-06")
    shown = page(sign_in(client, people[Role.VIEWER]).get(reverse("material_order", args=[job.pk, line.order.number])))
    assert "late" in shown and "Came now" not in shown


def test_opened_reels_are_told_beside_the_cable_and_not_counted_on_hand(job):
    before = next(line for line in queries.job_material(job).lines if line.category == "cable")
    ReelFactory(shop=job.shop, cable=before.key.removeprefix("cable:"), full=feet(250), left=feet(40) + inches(7))
    now = line_of(job, before.key)
    assert (now.reels, now.standing.lies.on_hand, now.standing.to_buy) == (40, 0, before.standing.to_buy)


def test_another_shops_order_and_list_are_not_there(client, room, job):
    line = ordered(job)
    made = services.write_pick_list(room, [boxes(1)], slip=slip())
    stranger = sign_in(client, people_of(ShopFactory())[Role.OWNER])
    for address in (
        reverse("material", args=[job.pk]),
        reverse("material_order", args=[job.pk, line.order.number]),
        reverse("pick_list", args=[room.pk, made.number]),
    ):
        assert stranger.get(address).status_code == 404


def test_no_page_of_material_says_a_price(client, people, job, room):
    line = ordered(job)
    owner = sign_in(client, people[Role.OWNER])
    for name, arguments in (
        ("material", [job.pk]),
        ("material_order", [job.pk, line.order.number]),
        ("room_material", [room.pk]),
    ):
        shown = page(owner.get(reverse(name, args=arguments))).split("<main")[1].lower()
        assert "price" not in shown and "cost" not in shown and "$" not in shown
