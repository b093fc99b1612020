"""Levels a shop lights to: the table's until it changes one, its own beside them; the table's again when put back."""

import html
import re

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.catalogue.models import LightTarget
from projects.catalogue.tables import light_targets
from projects.catalogue.targets import target_of, targets_of
from projects.platform.permissions import Role
from tests.factories import LightTargetFactory, ShopFactory
from tests.shops import on_page

DESK = "office_writing"  # 500 lx: EN 12464-1, screen work (seen)


def address(key):
    return reverse("light_target", args=[key])


def change(client, key, **changes):
    return client.post(address(key), on_page(client.get(address(key)), "lux") | changes)


def add(client, **values):
    return client.post(reverse("light_targets"), {"space": "Sewing table", "lux": "750", "kind": "practice"} | values)


def words(answer):
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def test_a_new_shop_lights_to_the_table(shop):
    rows = targets_of(shop)
    assert [row.key for row in rows] == list(light_targets())
    assert not [row for row in rows if row.own or row.changed]
    assert not LightTarget.objects.of(shop).exists()


def test_the_list_shows_lux_and_footcandles_and_how_each_is_known(owner):
    said = words(owner.get(reverse("light_targets")))
    assert "Office: writing, screens 500 46.5" in said  # 500 / 10.764
    assert "Hairdressing" in said and "from memory" in said and "standard: EN 12464-1 (2011)" in said
    assert "nothing here says that a design complies" in said


def test_a_changed_level_is_the_shops_and_says_what_the_table_has(owner, shop):
    assert change(owner, DESK, lux="400").status_code == 302
    row = target_of(shop, DESK)
    assert (row.lux, row.changed, row.own, row.table.lux, row.known) == (400, True, False, 500, "shop")
    assert row.group == "office" and row.uniformity == 0.6
    said = words(owner.get(address(DESK)))
    assert "Changed by the shop. The table has 500 lux" in said
    assert target_of(ShopFactory(), DESK).lux == 500


def test_it_is_put_back(owner, shop):
    change(owner, DESK, lux="400")
    owner.post(reverse("put_back_target", args=[DESK]))
    assert target_of(shop, DESK).lux == 500
    assert not LightTarget.objects.of(shop).exists()


def test_there_is_nothing_to_put_back_of_the_shops_own(owner, shop):
    own = LightTargetFactory(shop=shop)
    answer = owner.post(reverse("put_back_target", args=[own.key]), follow=True)
    assert "nothing to put back" in words(answer)
    assert target_of(shop, own.key).lux == 750


def test_the_shop_adds_a_level_of_its_own(owner, shop):
    assert add(owner, source="our own practice").status_code == 302
    row = targets_of(shop)[-1]
    assert (row.key, row.lux, row.own, row.group) == ("sewing-table", 750, True, "own")
    assert set(add(owner).context["form"].errors) == {"space"}


@pytest.mark.parametrize(
    ("box", "typed", "says"),
    [
        ("space", "", "needed"),
        ("space", "\u202e", "hidden"),
        ("lux", "", "needed"),
        ("lux", "0", "0.1"),
        ("lux", "20001", "20000"),
        ("lux", "NaN", "number"),
        ("lux", "1e400", "20000"),
        ("uniformity", "1.2", "1"),
        ("glare_ugr", "3", "5"),
        ("color_ra", "101", "100"),
        ("low_lux", "800", "over it"),
        ("high_lux", "700", "under it"),
        ("kind", "law", "law"),
        ("document", "x" * 81, "80"),
    ],
)
def test_a_wrong_box_says_so_and_nothing_is_stored(owner, shop, box, typed, says):
    answer = add(owner, **{box: typed})
    assert answer.status_code == 422
    form = answer.context["form"]
    assert set(form.errors) == {box} and says in " ".join(form.errors[box])
    assert form[box].value() == typed
    assert not LightTarget.objects.of(shop).exists()


def test_a_standard_is_named_with_its_edition(owner, shop):
    assert set(add(owner, kind="standard").context["form"].errors) == {"document", "edition"}
    assert add(owner, kind="standard", document="EN 12464-1", edition="2021").status_code == 302


def test_two_who_change_the_tables_row_at_once_see_both(owner, shop):
    first = on_page(owner.get(address(DESK)), "lux")
    change(owner, DESK, lux="400")
    answer = owner.post(address(DESK), first | {"lux": "450"})
    assert answer.status_code == 409
    assert "400" in words(answer) and "450" in words(answer)
    assert target_of(shop, DESK).lux == 400


def test_a_change_of_what_was_put_back_meanwhile_is_shown_too(owner, shop):
    change(owner, DESK, lux="400")
    opened = on_page(owner.get(address(DESK)), "lux")
    owner.post(reverse("put_back_target", args=[DESK]))
    assert owner.post(address(DESK), opened | {"lux": "450"}).status_code == 409
    assert target_of(shop, DESK).lux == 500


def test_a_level_nobody_has_is_not_here(owner):
    LightTargetFactory(key="theirs")
    assert owner.get(address("theirs")).status_code == 404
    assert owner.get(address("nothing")).status_code == 404
    assert target_of(ShopFactory(), "theirs") is None


def test_the_crew_reads_and_does_not_change(as_role):
    crew = as_role(Role.CREW)
    assert crew.get(address(DESK)).status_code == 200
    assert crew.post(address(DESK), {"lux": "1"}).status_code == 403
    assert crew.post(reverse("put_back_target", args=[DESK])).status_code == 403


def test_the_targets_of_a_shop_are_one_query(shop, django_assert_num_queries):
    LightTargetFactory.create_batch(9, shop=shop)
    with django_assert_num_queries(1):
        assert len(targets_of(shop)) == len(light_targets()) + 9


def test_a_long_list_is_paged_and_costs_no_more_queries(owner, shop):
    def queries():
        with CaptureQueriesContext(connection) as seen:
            owner.get(reverse("light_targets"))
        return len(seen)

    few = (queries(), queries())[1]
    LightTargetFactory.create_batch(80, shop=shop)
    assert queries() == few
    assert "Page 1 of 2" in words(owner.get(reverse("light_targets")))


@pytest.mark.parametrize(
    "wrong", [{"lux": 0}, {"lux": 30000}, {"uniformity": 0}, {"glare_ugr": 50}, {"color_ra": 0}, {"kind": "law"}]
)
def test_a_number_no_level_has_is_not_stored(shop, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        LightTargetFactory(shop=shop, **wrong)
