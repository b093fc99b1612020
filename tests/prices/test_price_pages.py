"""The office keeps prices and labor units; what stood before can be told, and what isn't known is told as missing."""

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.urls import reverse

from layout.engine.lengths import feet
from projects.accounts.models import Shop
from projects.catalogue.tables import takeoff_table
from projects.platform.permissions import Role
from projects.platform.tenancy import StaleVersion
from reports.estimating.labor_book import Phase
from reports.prices import services
from reports.prices.averages import feet_a_light, hours_a_light
from reports.prices.models import Conditions, Item, LaborEdit, LoggedFeet, LoggedHours, Price
from reports.prices.queries import conditions_of, feet_per_light, labor_book, price_book, rates_of
from reports.takeoffs.services import save_rules
from tests.factories import (
    DAY,
    ConditionsFactory,
    FixtureCountFactory,
    ItemFactory,
    ItemPackFactory,
    JobFactory,
    JobRatesFactory,
    LayoutRevisionFactory,
    LoggedFeetFactory,
    LoggedHoursFactory,
    PriceFactory,
    RevisionMarkFactory,
    RoomFactory,
    ShopFactory,
)
from tests.shops import forms_of

LIST = "/prices/"
LABOR = "/prices/labor/"
NUMBER = "/prices/labor/number/"


def post_price(client, item, **typed):
    start = {"pieces": "1", "amount": "2.50", "on": "2026-05-03", "source": "counter"}
    return client.post(reverse("set_price", args=[item.pk]), {f"price-{k}": v for k, v in (start | typed).items()})


# A fresh shop


def test_a_fresh_shop_has_no_price_and_the_trades_labor_units(db):
    shop = ShopFactory()
    job = JobFactory(shop=shop)
    assert price_book(shop).items == {}
    assert not rates_of(job).entered
    assert [unit.key for unit in labor_book(shop).units["housing"]] == [
        "light_rough",
        "mark",
        "mark_trim",
        "aim",
    ]
    assert dict(conditions_of(job)) == {"": ()}
    assert feet_per_light(shop)["14/2"][0] == 11


def test_the_list_starts_with_every_line_a_takeoff_can_ask_for(owner, shop, room):
    assert "No items yet" in owner.get(LIST).content.decode()
    owner.post(LIST)
    keys = set(Item.objects.of(shop).values_list("key", flat=True))
    light = room.draft.light_type
    assert {f"housing:{light.key}", f"trim:{light.key}", "cable:14/2", "plate"} <= keys
    owner.post(LIST)
    assert Item.objects.of(shop).count() == len(keys)
    shown = owner.get(LIST, {"q": "cable 14/2 ground", "show": "missing"})
    assert [item.key for item, _packs in shown.context["rows"]] == ["cable:14/2"]


def test_the_list_holds_the_lines_of_the_shops_own_rules(owner, shop):
    """An item the shop added to what it counts, and its boxes of every size."""
    table = takeoff_table()
    own = {"key": "own_strap", "name": "Hanger strap", "category": "boxes", "per": "light", "quantity": "2"}
    like = next(item for item in table["items"] if item["per"] == "gang_box")
    table["items"].append(like | own)
    save_rules(shop, table, seen=0, why="We hang each light.", by=None)
    owner.post(LIST)
    listed = dict(Item.objects.of(shop).values_list("key", "name"))
    assert listed["own_strap"] == "Hanger strap"
    assert listed[f"{like['key']}:3_gang"] == f"{like['name']}, 3-gang"


# Prices


def test_a_price_holds_from_its_day_and_the_one_before_can_still_be_told(db):
    pack = ItemPackFactory()
    PriceFactory(pack=pack, amount="2.00", on=dt.date(2026, 1, 1))
    PriceFactory(pack=pack, amount="2.40", on=dt.date(2026, 3, 1))
    told = {
        day: price_book(pack.shop, on=day).items for day in map(dt.date.fromisoformat, ("2025-12-31", "2026-02-28"))
    }
    assert [str(book[pack.item.key].packs[0].price) if book else None for book in told.values()] == [None, "2.00"]
    assert price_book(pack.shop).items[pack.item.key].packs[0].price == Decimal("2.40")
    services.set_price(pack.item, 1, None, on=dt.date(2026, 4, 1), source="gone", by=None)
    assert pack.item.key not in price_book(pack.shop).items


def test_a_real_price_takes_the_place_of_a_plugged_one_of_any_pack(db):
    item = ItemFactory()
    services.set_price(item, 1, Decimal("3.00"), on=DAY, source="a guess", by=None, plugged_by="J.")
    assert price_book(item.shop).items[item.key].plugged_by.startswith("J., ")
    services.set_price(item, 100, Decimal("250.00"), on=DAY, source="counter", by=None)
    found = price_book(item.shop).items[item.key]
    assert (found.plugged_by, [pack.size for pack in found.packs]) == ("", [100])


@pytest.mark.parametrize(
    ("typed", "box", "says"),
    [
        ({"amount": "-1"}, "amount", "Between 0.00 and 1,000,000.00"),
        ({"amount": "NaN"}, "amount", "Give a number"),
        ({"amount": "1e-9"}, "amount", "At most 2 places"),
        ({"amount": "99999999"}, "amount", "Between 0.00 and 1,000,000.00"),
        ({"amount": ""}, "amount", "Give the price of the pack"),
        ({"pieces": "0"}, "pieces", "Enter 1 or more"),
        ({"on": "2226-05-03"}, "on", "Check the year"),
        ({"source": " "}, "source", "Fill it in"),
    ],
)
def test_a_price_nobody_pays_is_refused_by_its_box(owner, shop, typed, box, says):
    item = ItemFactory(shop=shop)
    answer = post_price(owner, item, **typed)
    assert answer.status_code == 422
    assert says in str(answer.context["price_form"].errors[box])
    assert Price.objects.of(shop).count() == 0


def test_cable_is_priced_by_the_coil(owner, shop):
    cable = ItemFactory(shop=shop, key="cable:14/2", unit="length")
    post_price(owner, cable, length="250 ft", amount="139.00")
    assert price_book(shop).items["cable:14/2"].packs[0].size == feet(250)
    history = owner.get(reverse("price_item", args=[cable.pk])).content.decode()
    assert "139.00" in history and "counter" in history


def test_the_currency_stands_once_a_price_does(owner, shop):
    def save(currency):
        [boxes] = [boxes for _action, boxes in forms_of(owner.get("/shop/rules/")) if "spacing_limit" in boxes]
        return owner.post("/shop/rules/", boxes | {"currency": currency})

    assert save("CAD").status_code == 302
    PriceFactory(pack__item__shop=shop)
    refused = save("USD")
    assert refused.status_code == 422 and "currency" in refused.context["form"].errors
    assert Shop.objects.get(pk=shop.pk).currency == "CAD"


# What a job lacks


def test_a_line_without_a_price_is_plugged_where_it_is_missed_and_shows_as_an_allowance(owner, shop, job):
    FixtureCountFactory(room=RoomFactory(job=job), count=4)
    address = reverse("job_prices", args=[job.pk])
    shown = owner.get(address)
    assert "plate" in shown.context["priced"].missing
    wrong = owner.post(address, {"key": "plate", "amount": "-2", "pieces": "1", "plugged_by": "J."})
    assert wrong.status_code == 422 and "Between 0.00" in wrong.content.decode()
    owner.post(address, {"key": "plate", "amount": "2.00", "pieces": "1", "plugged_by": "J."})
    priced = owner.get(address).context["priced"]
    assert "plate" not in priced.missing
    assert [line.key for line in priced.allowances] == ["plate"]
    assert priced.material == sum(line.cost for line in priced.lines) > 0


def test_what_a_job_costs_is_added_up_on_its_page(owner, job):
    """4 plates of 2.00, as nothing else has a price: 8.00. Tax of 10 % on it: 0.80. Labor as the page says it."""
    FixtureCountFactory(room=RoomFactory(job=job), count=4)
    address = reverse("job_prices", args=[job.pk])
    owner.post("/prices/rates/", {"version": "0", "wage": "34", "burden_pct": "38", "tax_pct": "10"})
    owner.post(address, {"key": "plate", "amount": "2.00", "pieces": "1", "plugged_by": "J."})
    answer = owner.get(address)
    told = re.findall(r"<dd>(?:<strong>)?([\d.,]+)", answer.content.decode())
    material, tax, labor, together = (Decimal(one.replace(",", "")) for one in told)
    assert labor > 0 and together == material + tax + labor


# Rates and conditions


def test_a_jobs_own_rates_come_before_the_shops(owner, shop, job):
    owner.post("/prices/rates/", {"version": "0", "wage": "34", "burden_pct": "38", "tax_pct": "8.25"})
    assert rates_of(job).wage == Decimal(34)
    owner.post(reverse("job_rates", args=[job.pk]), {"version": "0", "wage": "40", "burden_pct": "30", "tax_pct": "0"})
    assert (rates_of(job).wage, rates_of(JobFactory(shop=shop)).wage) == (Decimal(40), Decimal(34))


def test_two_people_who_enter_rates_at_once_see_both(owner, shop, job):
    JobRatesFactory(job=job)
    with pytest.raises(StaleVersion):
        services.set_rates(shop, job, 0, {"wage": Decimal(1), "burden_pct": Decimal(1), "tax_pct": Decimal(1)})
    address = reverse("job_rates", args=[job.pk])
    answer = owner.post(address, {"version": "0", "wage": "40", "burden_pct": "30", "tax_pct": "0"})
    assert answer.status_code == 409


def test_a_high_ceiling_suggests_its_condition_until_someone_says_otherwise(owner, job):
    room = RoomFactory(job=job, name="Hall")
    LayoutRevisionFactory(room=room, finished_height=feet(13))
    low = RoomFactory(job=job, name="Den")
    LayoutRevisionFactory(room=low, finished_height=feet(9))
    assert {name: [f.key for f in found] for name, found in conditions_of(job).items()} == {
        "Hall": ["height_over_12"], "Den": [], "": [],
    }  # fmt: skip
    owner.post(reverse("room_conditions", args=[room.pk]), {"version": "0", "keys": ["plaster", "occupied"]})
    owner.post(reverse("job_conditions", args=[job.pk]), {"version": "0", "keys": ["punch"]})
    assert {factor.key for factor in conditions_of(job)["Hall"]} == {"plaster", "occupied", "punch"}
    assert Conditions.objects.of(job.shop).count() == 2
    assert "Plaster" in owner.get(reverse("job_conditions", args=[job.pk])).content.decode()


def test_what_a_job_reads_of_its_rooms_does_not_grow_with_them(job, django_assert_max_num_queries):
    for n in range(2):
        for _each in range(1 + 4 * n):
            ConditionsFactory(room__job=job)
        with django_assert_max_num_queries(8):
            conditions_of(job)


# Labor units


def number(client, what, key):
    found = (boxes for _action, boxes in forms_of(client.get(LABOR)) if boxes.get("key") == key)
    return next(boxes for boxes in found if boxes["what"] == what)


def test_a_shop_makes_a_unit_its_own_and_puts_the_tables_back(owner, shop):
    before = labor_book(shop)
    boxes = number(owner, "unit", "light_rough")
    assert owner.post(NUMBER, boxes | {"value": "0.4"}).status_code == 302
    mine = labor_book(shop)
    assert mine.units["housing"][0].hours == Decimal("0.4")
    assert "the shop's own" in mine.units["housing"][0].source
    assert mine.version != before.version
    assert owner.post(NUMBER, boxes | {"value": "0.5"}).status_code == 302, "sent from the page as it was before"
    assert labor_book(shop).units["housing"][0].hours == Decimal("0.4"), "nobody's number was lost"
    owner.post(NUMBER, number(owner, "unit", "light_rough") | {"value": ""})
    assert labor_book(shop).units["housing"][0].hours == before.units["housing"][0].hours
    assert LaborEdit.objects.of(shop).count() == 2


@pytest.mark.parametrize(
    ("what", "key", "value"), [("unit", "mark", "-1"), ("factor", "plaster", "0"), ("unit", "mark", "NaN")]
)
def test_a_labor_number_out_of_bounds_is_refused_and_stays_in_its_box(owner, shop, what, key, value):
    answer = owner.post(NUMBER, number(owner, what, key) | {"value": value})
    assert answer.status_code == 422
    assert f'value="{value}"' in answer.content.decode()
    assert not LaborEdit.objects.of(shop).exists()


def test_a_condition_of_the_shops_own_may_be_ticked_in_a_room(owner, shop, job):
    owner.post(LABOR, {"do": "own", "name": "Tight crawl space", "times": "1.5"})
    [key] = [key for key in labor_book(shop).factors if key.startswith("own_")]
    room = RoomFactory(job=job)
    owner.post(reverse("room_conditions", args=[room.pk]), {"version": "0", "keys": [key]})
    assert [factor.times for factor in conditions_of(job)[room.name]] == [Decimal("1.5")]


# What rooms really took


def a_worked_room(job, lights, hours, *, stage=9, conditions="", pulled=None):
    room = RoomFactory(job=job, stage=stage)
    revision = LayoutRevisionFactory(room=room)
    RevisionMarkFactory.create_batch(lights, revision=revision)
    LoggedHoursFactory(room=room, hours=hours)
    ConditionsFactory(room=room, keys=conditions)
    if pulled:
        LoggedFeetFactory(room=room, length=feet(pulled))
    return room


def test_the_shops_average_is_of_rooms_past_the_phase_with_their_conditions_taken_out(job):
    """6 h for 6 lights, and 5.2 h in plaster (x 1.3, so 4 h) for 4: 10 h over 10 lights; a room at rough-in waits."""
    a_worked_room(job, 6, "6.00", pulled=66)
    a_worked_room(job, 4, "5.20", conditions="plaster", pulled=34)
    a_worked_room(job, 3, "9.00", stage=5, pulled=500)
    [rough] = hours_a_light(job.shop)
    assert (rough.key, rough.value, rough.plain, rough.lights, rough.rooms) == (
        "rough", Decimal("1.0000"), Decimal("1.1200"), 10, 2,
    )  # fmt: skip
    [cable] = feet_a_light(job.shop)
    assert (cable.key, cable.value, cable.rooms) == ("14/2", Decimal("10.0000"), 2)


def test_one_press_takes_the_average_as_the_shops_unit_and_one_puts_the_book_back(owner, shop, job):
    a_worked_room(job, 4, "6.00", pulled=40)
    page = owner.get(LABOR).content.decode()
    assert "1.50" in page and "10.00" in page
    owner.post(LABOR, number(owner, "whole", "rough"))
    [unit] = [unit for unit in labor_book(shop).units["housing"] if unit.whole]
    assert (unit.hours, unit.phase) == (Decimal("1.5"), Phase.ROUGH)
    assert "average of 1 rooms" in unit.source
    owner.post(LABOR, number(owner, "footage", "14/2"))
    assert feet_per_light(shop)["14/2"][0] == 10
    owner.post(LABOR, number(owner, "whole", "rough") | {"back": "1"})
    assert not any(unit.whole for unit in labor_book(shop).all_units)


def test_averages_take_no_more_queries_for_more_rooms(job, django_assert_max_num_queries):
    for rooms in (1, 4):
        for _each in range(rooms):
            a_worked_room(job, 2, "3.00", pulled=20)
        with django_assert_max_num_queries(14):
            hours_a_light(job.shop)
            feet_a_light(job.shop)


def test_the_crew_logs_hours_and_feet_and_reads_no_price(as_role, room):
    crew = as_role(Role.CREW)
    address = reverse("room_hours", args=[room.pk])
    page = crew.get(address)
    [boxes] = [boxes for action, boxes in forms_of(page) if "hours" in boxes]
    assert boxes["phase"] == "rough"
    assert crew.post(address, boxes | {"hours": "4.5", "pulled_0": "120.5"}).status_code == 302
    shown = crew.get(address).content.decode()
    assert "4.50" in shown
    assert LoggedFeet.objects.of(room.shop).get().length == feet("120.5")
    assert crew.get(LIST).status_code == crew.get(LABOR).status_code == 403


def test_a_slip_is_taken_back_by_an_entry_against_it_once(as_role, room):
    entry = LoggedHoursFactory(room=room, hours="40.00")
    crew = as_role(Role.CREW)
    address = reverse("room_hours", args=[room.pk])
    crew.post(address, {"take_back": f"hours-{entry.pk}"})
    crew.post(address, {"take_back": f"hours-{entry.pk}"})
    entries = LoggedHours.objects.of(room.shop).filter(room=room)
    assert sorted(each.hours for each in entries) == [Decimal("-40.00"), Decimal("40.00")]
    assert crew.post(address, {"take_back": "hours-999999"}).status_code == 404


@pytest.mark.parametrize(("typed", "box"), [({"hours": "-1"}, "hours"), ({}, "hours"), ({"hours": "999"}, "hours")])
def test_hours_nobody_worked_are_refused(as_role, room, typed, box):
    crew = as_role(Role.CREW)
    address = reverse("room_hours", args=[room.pk])
    answer = crew.post(address, {"on": "2026-05-03", "phase": "rough", "who": "M."} | typed)
    assert answer.status_code == 422 and box in answer.context["form"].errors
    assert not LoggedHours.objects.of(room.shop).exists()


def test_a_longer_price_list_takes_no_more_queries(owner, shop, django_assert_max_num_queries):
    for items in (1, 6):
        for _each in range(items):
            PriceFactory(pack__item__shop=shop)
        with django_assert_max_num_queries(9):
            assert owner.get(LIST).status_code == 200
