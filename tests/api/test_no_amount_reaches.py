"""Amounts that stand all over a shop, and every address of the API asked by those who may not see prices."""

import pytest

from projects.platform.permissions import API_ROUTES, MONEY, Role, may
from reports.takeoffs.services import freeze
from tests.api.houses import api_patterns, converters

AMOUNTS = {"price": "7391.17", "wage": "213.71", "fee": "4417.29", "billed": "91234.56", "line": "3317.93"}
READ = [name for name, row in API_ROUTES.items() if row.read]


@pytest.fixture
def priced(house):
    """Each amount is entered by the office over the API, and a takeoff is kept with its prices."""
    ask = house.ask(Role.ESTIMATOR)
    listed = ask.post(house.address("list_price_lines")).json()["added"]
    assert listed > 20
    items = ask.get(house.address("price_items") + "?page_size=200").json()["results"]
    for item in items:
        pack = {"length": "250 ft"} if item["unit"] == "length" else {"pieces": 1}
        address = house.address("item_prices", item_id=item["id"])
        assert ask.post(address, {**pack, "amount": AMOUNTS["price"], "source": "a list"}).status_code == 201
    rates = house.address("job_rates")
    assert ask.edit("PUT", rates, {"wage": AMOUNTS["wage"], "burden_pct": "30", "tax_pct": "8"}).status_code == 200
    visit = ask.edit("PATCH", house.address("inspection"), {"fee": AMOUNTS["fee"]})
    assert visit.json()["fee"] == AMOUNTS["fee"]
    billed = ask.post(house.address("job_billed"), {"on": "2026-05-03", "amount": AMOUNTS["billed"]})
    assert billed.status_code == 201
    line = {"words": "Patching", "amount": AMOUNTS["line"]}
    assert ask.post(house.address("bid_lines") + "?kind=sub", line).status_code == 201
    house.ids["taken"] = freeze(house.job, by=house.people[Role.OWNER]).number
    return house


ASKS = {"takeoff_difference": "?before=1", "search": "?q=a", "mark_labels": "?sheet=a", "moved_lights": "?marks=A1"}


def told(ask, house, name):
    """As JSON, or as the file it is; papers are set in another form, and tried by their own tests."""
    answer = ask.get(house.address(name) + ASKS.get(name, ""), Accept="application/json")
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


def test_the_office_reads_each_amount_and_nobody_reads_one_who_may_not_see_prices(priced):
    office = priced.ask(Role.ESTIMATOR)
    shown = ("item_prices", "job_rates", "inspection", "job_billed", "bid_lines", "takeoff_sheet", "job_prices")
    everything = b"".join(told(office, priced, name) for name in shown)
    assert [name for name, amount in AMOUNTS.items() if amount.encode() not in everything] == []
    for role in (Role.CREW_LEAD, Role.VIEWER):
        ask, member = priced.ask(role), priced.people[role]
        for name in READ:
            action = API_ROUTES[name].read
            if not may(member, action):
                continue
            assert action not in MONEY
            content = told(ask, priced, name)
            assert [key for key, amount in AMOUNTS.items() if amount.encode() in content] == [], (role, name)


def test_a_takeoffs_sheet_has_no_column_of_money_for_the_crew(priced):
    for sheet in ("csv", "tsv", "json"):
        address = priced.address("takeoff_sheet", sheet_form=sheet)
        assert b"ext_cost" in priced.ask(Role.ESTIMATOR).get(address).content
        for asked in ("", "?rows=items", f"?takeoff={priced.ids['taken']}"):
            lead = priced.ask(Role.CREW_LEAD).get(address + asked)
            assert lead.status_code == 200
            assert b"cost" not in lead.content and b"total" not in lead.content


def test_every_address_is_known_here():
    """The walk above goes over all that the resolver has."""
    assert set(READ) == {name for name, pattern in api_patterns().items() if hasattr(pattern.callback.cls, "get")}
    assert all(converters(name) is not None for name in READ)
