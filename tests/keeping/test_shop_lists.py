"""A shop's catalog, rules and lists go out as one small file and come into another shop the same, or not at all."""

import datetime as dt
import json
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from layout.engine.lengths import feet, inches, mm
from projects.accounts.models import Shop
from projects.accounts.services import change_shop_rules
from projects.catalogue.models import FixtureType
from projects.history.models import Entry
from projects.keeping import lists, lists_text
from projects.platform.permissions import Role
from projects.platform.speaking import speaking
from reports.bids.services import keep_texts
from reports.prices.models import Price
from reports.prices.services import edit_labor, set_price, set_rates
from reports.takeoffs.rules import table_of
from reports.takeoffs.services import save_rules
from tests.factories import (
    ColumnMeaningFactory,
    ControlTypeFactory,
    FixtureTypeFactory,
    ItemFactory,
    LightTargetFactory,
    MemberFactory,
    PhotometricFileFactory,
    RedRuleFactory,
    ShopFactory,
)
from tests.shops import sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    """One that changed something of everything it can."""
    shop = ShopFactory(name="Plumbline & Chalk")
    by = MemberFactory(shop=shop, role=Role.OWNER.value, user__name="Wren Alder")
    FixtureTypeFactory(
        shop=shop, key="snug-4", name="Snug 4", cutout=inches("4 1/8"), depth=inches("5 7/16"), watts=Decimal("9.50"),
        cutout_verified_by="Wren Alder", cutout_verified_on=dt.date(2026, 3, 2), rated_ic="ic",
        label_read_by="Wren Alder", label_read_on=dt.date(2026, 3, 2),
    )  # fmt: skip
    ControlTypeFactory(shop=shop, key="hall-dimmer", name="Hall dimmer")
    LightTargetFactory(shop=shop, key="own-bench", space="Workbench")
    RedRuleFactory(shop=shop)
    ColumnMeaningFactory(shop=shop, header="Net each", means="price")
    keep_texts(shop, 1, {"exclusions": "Patching", "assumptions": "Clear floor", "payments": "30 % On signing"})
    table, _number = table_of(shop)
    table["waste"][0]["percent"] = "12"
    save_rules(shop, table, seen=0, why="Long runs", by=by)
    edit_labor(shop, "own", "crawl", Decimal("1.4"), by=by, seen=0, name="Tight crawl space")
    set_rates(shop, None, 0, {"wage": Decimal("41.50"), "burden_pct": Decimal(30), "tax_pct": Decimal("7.250")})
    item = ItemFactory(shop=shop, key="own:tape", name="Seam tape", unit="each")
    set_price(item, 12, Decimal("31.20"), on=dt.date(2026, 5, 4), source="Counter quote", by=by)
    cable = ItemFactory(shop=shop, key="cable/14-2", name="14/2", unit="length")
    set_price(cable, feet(250), Decimal("96.00"), on=dt.date(2026, 5, 4), source="Counter quote", by=by)
    set_price(cable, feet(50), Decimal("31.00"), on=dt.date(2026, 5, 4), source="A guess", by=by, plugged_by="W.")
    change_shop_rules(shop, shop.version, {"edge_min": mm("101.000001"), "currency": "USD"})
    return Shop.objects.get(pk=shop.pk)


@pytest.fixture
def other():
    """Another shop's owner."""
    return MemberFactory(shop=ShopFactory(name="Ledger Board"), role=Role.OWNER.value)


def as_read(value):
    """As it comes back from a file."""
    return lists_text.read(lists.as_text(value).encode())


def taken(owner, given):
    seen = lists.try_out(owner.shop, given, by=owner).seen
    return lists.take_in(owner.shop, given, by=owner, seen=seen)


def of_shop(shop):
    """Everything of it, prices too."""
    return lists.told(Shop.objects.get(pk=shop.pk), prices=True)


def test_all_of_it_comes_into_another_shop_the_same(shop, other):
    sent = of_shop(shop)
    assert set(sent) == {"format", "what", *lists.PARTS}, "nothing is left out of this test"
    report = taken(other, as_read(sent))
    assert report.changes
    assert lists.as_text(of_shop(other.shop)) == lists.as_text(sent)
    again = lists.try_out(other.shop, as_read(sent), by=other)
    assert again.changes == []


def test_no_person_no_id_and_no_price_stands_in_it(shop):
    text = lists.as_text(lists.told(shop))
    assert "Wren" not in text
    assert "31.20" not in text
    assert '"prices"' not in text
    assert '"rates"' not in text
    assert '"id"' not in text
    assert '"member' not in text
    asked = lists.as_text(of_shop(shop))
    assert "31.20" in asked
    assert "A guess" not in asked, "a figure in place of a price is nobody's price"


def test_trying_it_out_changes_nothing(shop, other):
    before = of_shop(other.shop)
    report = lists.try_out(other.shop, as_read(of_shop(shop)), by=other)
    added = {one.section for one in report.changes if one.added}
    assert {"fixture_types", "control_types", "light_levels", "items", "prices", "labor_numbers"} <= added
    assert of_shop(other.shop) == before


def test_what_the_file_does_not_name_stays(shop, other):
    FixtureTypeFactory(shop=other.shop, key="their-own", name="Their own")
    taken(other, {"format": 1, "what": lists.WHAT, "fixture_types": [
        {"key": "snug-4", "name": "Snug 4", "kind": "light", "install": "new_work", "shape": "round",
         "cutout": "4 1/8 in"},
    ]})  # fmt: skip
    assert set(FixtureType.objects.of(other.shop).values_list("key", flat=True)) == {"their-own", "snug-4"}
    assert FixtureType.objects.of(other.shop).get(key="snug-4").cutout == inches("4.125")


def test_a_changed_type_is_told_field_by_field_and_its_cutout_is_to_be_tried_again(shop):
    by = MemberFactory(shop=shop, role=Role.OWNER.value)
    given = as_read(lists.told(shop))
    given["fixture_types"][0]["cutout"] = "4 1/4 in"
    report = lists.try_out(shop, given, by=by)
    [change] = report.changes
    assert (change.key, change.added) == ("snug-4", False)
    # 4 1/8 in are 104.775 mm, 4 1/4 in are 107.95 mm: an inch is 25.4 mm by definition.
    assert change.fields == (("cutout", "104.775 mm", "107.95 mm"),)
    lists.take_in(shop, given, by=by, seen=report.seen)
    assert not FixtureType.objects.of(shop).get(key="snug-4").verified


def test_one_wrong_entry_and_nothing_is_taken_in(shop, other):
    given = as_read(of_shop(shop))
    given["control_types"][-1]["name"] = ""
    before = of_shop(other.shop)
    with pytest.raises(lists.Refused) as refused:
        lists.take_in(other.shop, given, by=other, seen=lists._seen(other.shop, given))
    assert [one["pointer"] for one in refused.value.errors] == ["/control_types/0/name"]
    assert of_shop(other.shop) == before


def test_what_changed_since_it_was_looked_at_is_refused(shop, other):
    given = as_read(of_shop(shop))
    seen = lists.try_out(other.shop, given, by=other).seen
    FixtureTypeFactory(shop=other.shop, key="snug-4", name="Meanwhile")
    with pytest.raises(lists.Outdated):
        lists.take_in(other.shop, given, by=other, seen=seen)
    again = as_read(of_shop(shop))
    again["items"][0]["name"] = "Another file"
    with pytest.raises(lists.Outdated):
        lists.take_in(other.shop, again, by=other, seen=lists.try_out(other.shop, given, by=other).seen)
    assert FixtureType.objects.of(other.shop).get(key="snug-4").name == "Meanwhile"


def test_a_light_file_that_is_not_here_is_said_and_one_that_is_here_is_taken(shop, other):
    light = FixtureType.objects.of(shop).get(key="snug-4")
    light.photometric = PhotometricFileFactory(shop=shop)
    light.save()
    given = as_read(of_shop(shop))
    assert given["fixture_types"][0]["light_file"] == light.photometric.digest
    report = lists.try_out(other.shop, given, by=other)
    assert "snug-4" in report.notes[0]
    theirs = PhotometricFileFactory(shop=other.shop, digest=light.photometric.digest)
    assert taken(other, given).notes == []
    assert FixtureType.objects.of(other.shop).get(key="snug-4").photometric == theirs


def test_prices_in_another_currency_are_refused_and_a_later_price_stays(shop, other):
    given = as_read(of_shop(shop))
    taken(other, given)
    item = Price.objects.of(other.shop).get(amount=Decimal("31.20")).pack.item
    set_price(item, 12, Decimal("33.00"), on=dt.date(2026, 6, 1), source="Counter", by=other)
    assert lists.try_out(other.shop, given, by=other).changes == []
    given["prices"][0]["currency"] = "EUR"
    with pytest.raises(lists.Refused, match="USD"):
        lists.try_out(other.shop, given, by=other)


def test_who_took_it_in_stands_in_the_history(shop, other):
    with speaking(shop=other.shop_id, member=other.pk, via="page"):
        taken(other, as_read(of_shop(shop)))
    told = Entry.objects.of(other.shop).filter(via="page")
    assert {"catalogue_fixturetype", "prices_item", "takeoffs_rulesversion"} <= set(told.values_list("what", flat=True))
    assert set(told.values_list("member_id", flat=True)) == {other.pk}


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b'{"format": 1, "format": 1}', "stands twice"),
        (b"[" * 40 + b"]" * 40, "nested deeper"),
        (b"[" * 200_000, "nested deeper|not JSON"),
        (b'{"format": NaN}', "not a JSON number"),
        (b'{"format": 1e999}', "too large"),
        (b"\xff\xfe{}", "UTF-8"),
        (b'{"what": "\\ud800"}', "surrogate"),
        (b" " * 1_000_001, "1,000,000 bytes"),
        (b"", "not JSON"),
    ],
)
def test_what_is_no_plain_json_is_refused(content, said):
    with pytest.raises(lists.Refused, match=said):
        lists_text.read(content)


LIGHT = {"key": "a", "name": "A", "kind": "light", "install": "new_work", "shape": "round", "cutout": "4 in"}


@pytest.mark.parametrize(
    ("section", "value", "where"),
    [
        ("people", [], "/people"),
        ("fixture_types", {}, "/fixture_types"),
        ("fixture_types", [LIGHT, LIGHT], "/fixture_types/1/key"),
        ("fixture_types", [LIGHT | {"id": 7}], "/fixture_types/0/id"),
        ("fixture_types", [LIGHT | {"shop": 7}], "/fixture_types/0/shop"),
        ("fixture_types", [LIGHT | {"shop_id": 7}], "/fixture_types/0/shop_id"),
        ("fixture_types", [LIGHT | {"photometric": 7}], "/fixture_types/0/photometric"),
        ("fixture_types", [LIGHT | {"version": 7}], "/fixture_types/0/version"),
        ("fixture_types", [LIGHT | {"cutout_verified_by": "Me"}], "/fixture_types/0/cutout_verified_by"),
        ("fixture_types", [LIGHT | {"cutout": 4}], "/fixture_types/0/cutout"),
        ("fixture_types", [LIGHT | {"cutout": "0 in"}], "/fixture_types/0/cutout"),
        ("fixture_types", [LIGHT | {"kind": "lamp"}], "/fixture_types/0/kind"),
        ("fixture_types", [LIGHT | {"key": "not a key"}], "/fixture_types/0/key"),
        ("fixture_types", [LIGHT | {"key": 7}], "/fixture_types/0/key"),
        ("fixture_types", ["a"], "/fixture_types/0/key"),
        ("red_rules", [{"key": "no such rule", "hours_once": 1, "hours_each": 1}], "/red_rules/0/key"),
        ("shop_rules", {"name": "Taken over"}, "/shop_rules/name"),
        ("shop_rules", {"edge_min": "0 in"}, "/shop_rules/zero_note"),
        ("shop_rules", [], "/shop_rules"),
        ("labor_numbers", [{"what": "unit", "key": "none of ours", "value": "1"}], "/labor_numbers/0"),
        ("labor_numbers", [{"what": [], "key": {}, "value": "1"}], "/labor_numbers/0"),
        ("labor_numbers", [{"what": "own", "key": "x", "name": "X", "value": "900"}], "/labor_numbers/0"),
        ("items", [{"key": "own:x", "name": "X", "unit": "each", "packs": ["ten"]}], "/items/0/packs"),
        ("items", [{"key": "own:x", "name": "X", "unit": "each", "packs": [{}]}], "/items/0/packs"),
        ("prices", [{"item": "none", "pack": 1}], "/prices/0"),
        ("prices", [[]], "/prices/0"),
        ("rates", {"wage": "-1", "burden_pct": "1", "tax_pct": "1"}, "/rates/wage"),
        ("bid_texts", {"payments": "no percent here"}, "/bid_texts/payments"),
        ("takeoff_rules", {"items": []}, "/takeoff_rules"),
        ("column_names", [{"header": "Net", "means": "wage"}], "/column_names/0/means"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_place(other, section, value, where):
    given = as_read({"format": 1, "what": lists.WHAT, section: value})
    before = of_shop(other.shop)
    with pytest.raises(lists.Refused) as refused:
        lists.try_out(other.shop, given, by=other)
    assert where in {one["pointer"] for one in refused.value.errors}, refused.value.errors
    assert of_shop(other.shop) == before


@pytest.mark.parametrize(
    ("section", "column", "value"),
    [
        ("waste", "percent", "NaN"), ("waste", "percent", "-5"), ("waste", "percent", 5), ("waste", "name", {"a": 1}),
        ("wire", "length", "99999999999999999999 in"), ("items", "per", "moon"), ("items", "packs", ["a"]),
        ("items", "packs", [10**30]), ("cables", "waste", "none"), ("spares", "minimum", True),
        ("items", "quantity", "1/0"),
    ],
)  # fmt: skip
def test_takeoff_rules_that_are_none_are_refused(shop, other, section, column, value):
    given = as_read(lists.told(shop))
    given["takeoff_rules"][section][0][column] = value
    with pytest.raises(lists.Refused, match="takeoff_rules"):
        lists.try_out(other.shop, given, by=other)


@pytest.mark.parametrize("given", [[], None, 7, {}, {"format": True, "what": lists.WHAT}, {"format": 2, "what": 1}])
def test_another_kind_of_file_is_refused(other, given):
    with pytest.raises(lists.Refused):
        lists.try_out(other.shop, given, by=other)


def test_too_many_things_at_once_are_refused(other):
    with pytest.raises(lists.Refused, match="5000"):
        lists.try_out(other.shop, {"format": 1, "what": lists.WHAT, "items": [{}] * 5001}, by=other)


PAGE, FILE, API = "/shop/lists/", "/shop/lists/file/", "/api/v1/shop/lists/"


def test_an_owner_downloads_it_looks_it_over_and_takes_it_in(client, shop, other):
    sign_in(client, MemberFactory(shop=shop, role=Role.OWNER.value))
    answer = client.get(FILE, {"prices": "on"})
    assert answer["Content-Disposition"].startswith('attachment; filename="plumbline-chalk-lists-')
    assert client.get(FILE).content == lists.as_text(lists.told(shop)).encode()
    theirs = sign_in(Client(), other)
    looked = theirs.post(PAGE, {"file": SimpleUploadedFile("lists.json", answer.content)})
    assert "Snug 4" in looked.content.decode()
    assert not FixtureType.objects.of(other.shop).exists()
    boxes = {name: looked.context[name] for name in ("text",)} | {"seen": looked.context["report"].seen}
    sent = {"lists": boxes["text"], "seen": boxes["seen"], "do": "apply"}
    assert theirs.post(PAGE, sent).status_code == 302
    assert lists.as_text(of_shop(other.shop)).encode() == answer.content
    again = theirs.post(PAGE, sent)
    assert again.status_code == 409, "what the shop has is not what was looked at any more"
    assert "look again" in again.content.decode()


def test_a_file_that_can_not_be_taken_is_said_with_its_places(client, other):
    sign_in(client, other)
    bad = SimpleUploadedFile("lists.json", b'{"format": 1, "what": "lists of a shop of Ceilingbook", "people": []}')
    answer = client.post(PAGE, {"file": bad})
    assert answer.status_code == 422
    assert "/people" in answer.content.decode()
    assert client.post(PAGE, {}).status_code == 422
    assert client.post(PAGE, {"do": "apply", "lists": "[", "seen": "x"}).status_code == 422


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.OWNER])
def test_nobody_but_the_owner_gets_at_it(client, shop, role):
    sign_in(client, MemberFactory(shop=shop, role=role.value))
    assert [client.get(PAGE).status_code, client.post(PAGE).status_code, client.get(FILE).status_code] == [403] * 3
    assert [client.get(API).status_code, client.post(API).status_code] == [403] * 2


def test_the_same_over_the_api(client, shop, other):
    sign_in(client, MemberFactory(shop=shop, role=Role.OWNER.value))
    given = client.get(API, {"prices": "true"}).json()["lists"]
    assert given == json.loads(lists.as_text(of_shop(shop)))
    assert "prices" not in client.get(API).json()["lists"]
    assert client.get(API, {"prices": "maybe"}).status_code == 400
    theirs = sign_in(Client(), other)
    tried = theirs.post(f"{API}tried/", {"lists": given}, content_type="application/json")
    assert tried.status_code == 200
    assert {"section": "fixture_types", "key": "snug-4", "name": "Snug 4", "added": True}.items() <= tried.json()[
        "changes"
    ][1].items()
    wrong = theirs.post(API, {"lists": given, "seen": "0" * 64}, content_type="application/json")
    assert (wrong.status_code, wrong["Content-Type"]) == (409, "application/problem+json")
    done = theirs.post(API, {"lists": given, "seen": tried.json()["seen"]}, content_type="application/json")
    assert done.json()["changes"] == tried.json()["changes"]
    assert lists.as_text(of_shop(other.shop)) == lists.as_text(of_shop(shop))
    refused = theirs.post(f"{API}tried/", {"lists": given | {"people": []}}, content_type="application/json")
    assert [one["pointer"] for one in refused.json()["errors"]] == ["/lists/people"]
    assert theirs.post(API, {"lists": given}, content_type="application/json").status_code == 400
