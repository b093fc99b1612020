"""The owner changes how the shop writes lengths and which limits its layouts keep."""

import html

import pytest
from django.urls import get_resolver, reverse

from layout.engine.lengths import inches, mm
from projects.accounts.models import Shop
from projects.platform.permissions import ROUTES, Role
from tests.shops import on_page

ADDRESS = "/shop/rules/"


def save(client, **changes):
    return client.post(ADDRESS, on_page(client.get(ADDRESS), "spacing_limit") | changes)


def stored(shop):
    return Shop.objects.get(pk=shop.pk)


def test_limits_are_kept(owner, shop):
    assert save(owner, spacing_limit="5'", end_setback="18", edge_min="3 1/2").url == reverse("shop_rules")
    now = stored(shop)
    assert (now.spacing_limit, now.end_setback, now.edge_min) == (inches(60), inches(18), inches("3 1/2"))


def test_a_shop_that_goes_metric_reads_and_writes_millimeters(owner, shop, room):
    save(owner, style="mm", fraction="1")
    assert owner.get(reverse("room", args=[room.pk])).status_code == 200
    save(owner, spacing_limit="1800")
    assert stored(shop).spacing_limit == mm(1800)


@pytest.mark.parametrize(("style", "fraction"), [("in", "1"), ("ft-in", "1"), ("mm", "16")])
def test_millimeters_have_no_sixteenths_and_inches_are_not_whole(owner, shop, style, fraction):
    answer = save(owner, style=style, fraction=fraction)
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"fraction"}
    assert owner.get("/rooms/").status_code == 200


@pytest.mark.parametrize(
    ("box", "typed", "says"),
    [
        ("spacing_limit", "12-6", "can be read as"),
        ("spacing_limit", "6" * 65, "64 characters"),
        ("spacing_limit", "5", "least allowed"),  # 6 in is the least
        ("spacing_limit", "51'", "most allowed"),  # 50 ft the most
        ("spacing_limit", "0", "Zero is not a length here"),
        ("end_setback", "1/2", "least allowed"),
        ("row_setback", "-18", "without the minus"),
        ("edge_min", "49", "most allowed"),
        ("web_min", "4٢", "0 to 9"),
        ("light_to_speaker", "21'", "most allowed"),
        ("name", " ", "required"),
    ],
)
def test_a_wrong_box_says_so_and_keeps_what_was_typed(owner, shop, box, typed, says):
    answer = save(owner, **{box: typed})
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {box}
    if box != "name":
        assert says in " ".join(answer.context["form"].errors[box])
        assert answer.context["form"][box].value() == typed
    assert stored(shop).version == 1


def test_a_zero_needs_a_note(owner, shop):
    answer = save(owner, edge_min="0")
    assert set(answer.context["form"].errors) == {"zero_note"}
    assert save(owner, edge_min="0", zero_note="R.: trimless, flush to the wall").status_code == 302
    assert (stored(shop).edge_min, stored(shop).zero_note) == (inches(0), "R.: trimless, flush to the wall")


def test_a_stale_save_shows_both_and_saving_again_goes_through(owner, shop):
    opened = on_page(owner.get(ADDRESS), "spacing_limit")
    save(owner, spacing_limit="60")
    answer = owner.post(ADDRESS, opened | {"spacing_limit": "66", "end_setback": "20"})
    assert answer.status_code == 409
    page = html.unescape(answer.content.decode())
    assert 'value="66"' in page and 'value="60"' in page
    assert stored(shop).spacing_limit == inches(60)
    assert owner.post(ADDRESS, on_page(answer, "spacing_limit")).status_code == 302
    assert (stored(shop).spacing_limit, stored(shop).end_setback) == (inches(66), inches(20))


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.OWNER])
def test_everyone_reads_the_rules_and_only_an_owner_changes_them(as_role, shop, role):
    client = as_role(role)
    assert client.get(ADDRESS).status_code == 200
    assert client.post(ADDRESS, {"spacing_limit": "60"}).status_code == 403
    assert stored(shop).spacing_limit == inches(72)


def test_each_shop_has_its_own(stranger, shop):
    save(stranger, spacing_limit="60")
    assert stored(shop).spacing_limit == inches(72)


def test_another_verb_is_refused(owner):
    assert owner.put(ADDRESS).status_code == 405


def test_every_page_of_the_shop_itself_is_a_link_away(owner):
    """Whatever only the owner reads and takes no record: none has to be known by its address."""
    pages = {
        name for name, route in ROUTES.items()
        if route.read == "run the shop" and ":" not in name and not name.endswith("_file")
        and not get_resolver().reverse_dict.getlist(name)[0][0][0][1]
    }  # fmt: skip
    assert {"shop_lists", "webhooks"} < pages
    told = owner.get(ADDRESS).content.decode()
    assert [name for name in sorted(pages) if f'href="{reverse(name)}"' not in told] == []


def test_who_may_not_run_the_shop_is_led_nowhere_that_refuses(as_role):
    told = as_role(Role.ESTIMATOR).get(ADDRESS).content.decode()
    assert reverse("shop_lists") not in told and reverse("shop_keeping") not in told
