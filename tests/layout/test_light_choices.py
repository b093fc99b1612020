"""Layouts compared by their light, searched for as long work, taken with their levels and put back by one press."""

import json
import re

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from layout.engine.room import lay_out
from layout.inputs import inputs_of
from layout.light.choices import proposing
from layout.light.choices.proposing import change_as_plain, change_from_plain
from layout.light.services import setup_of
from layout.models import Draft
from layout.services import draft_of
from projects.platform.permissions import Role
from projects.work.models import LONGEST_WORDS, State, Work, canonical
from tests.api.houses import Asker, token_of
from tests.conftest import own_copy, standing
from tests.factories import FixtureTypeFactory, LightSetupFactory, LightZoneFactory, ShopFactory
from tests.layout.lit import lit_room
from tests.shops import forms_of, fresh, on_page, people_of, sign_in

pytestmark = pytest.mark.django_db


class Steps:
    """What long work tells its progress to."""

    def __init__(self):
        self.told = []

    def at(self, done, total):
        self.told.append((done, total))


class House:
    """A lit room and its people; found, steps: what a search for 10 fc comes to in it, which is kept nowhere."""

    def __init__(self):
        self.room = lit_room()
        self.people = people_of(self.room.shop)
        with transaction.atomic():
            self.found, self.steps = searched(sign_in(Client(), self.people[Role.CREW_LEAD]), self.room)
            transaction.set_rollback(True)


house_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return own_copy(house_standing)


@pytest.fixture
def room(house):
    return fresh(house.room)


@pytest.fixture
def lead(client, house):
    return sign_in(client, house.people[Role.CREW_LEAD])


def compared(client, room, **asked):
    return client.get(reverse("light_compare", args=[room.pk]), asked)


USUAL = {"low": "12", "high": "36", "step": "12", "off": "both", "modes": ["wall_held"], "rows": "", "lights": ""}


# Compare


def test_the_page_opens_with_a_chart_its_table_and_one_sentence(lead, room):
    page = compared(lead, room).content.decode()
    assert page.count("<svg") == 1 and "Walls against setback, as a table" in page
    assert re.search(r"From 12 in to \d+ in off the wall, the walls go from 0\.\d\d to 0\.\d\d of the plane", page)
    assert "This layout: 12 in off the wall" in page and "this layout</th>" in page


def test_the_sentence_says_which_way_it_goes_as_the_table_has_it(lead, room):
    page = compared(lead, room, **USUAL).content.decode()
    ratios = [float(one) for one in re.findall(r"held off the wall</th><td>[\d.]+ in</td><td>6</td><td>([\d.]+)</td>",
                                               page)]  # fmt: skip
    assert len(ratios) == 3 and ratios == sorted(ratios, reverse=True)
    assert "Nearer is brighter here." in page and "other way round" not in page


def test_counts_each_make_a_line_of_their_own(lead, room):
    page = compared(lead, room, **USUAL | {"rows": "2", "lights": "2, 3", "modes": ["half_gap"]}).content.decode()
    assert "2 × 2, half a gap off" in page and "2 × 3, half a gap off" in page


def test_what_a_layout_would_break_is_told_with_it(lead, room):
    page = compared(lead, room, **USUAL | {"lights": "2"}).content.decode()
    assert "Rules they break" in page and "over the" in page


def test_with_another_light_the_numbers_are_its_own(lead, room):
    usual = compared(lead, room, **USUAL).content.decode()
    other = FixtureTypeFactory(shop=room.shop, kind="light", lumens=1600, beam_deg=30)
    page = compared(lead, room, **USUAL | {"light_type": other.pk}).content.decode()
    first = [re.search(r"of the plane \([^)]*\)", text) for text in (usual, page)]
    assert all(first) and first[0].group() != first[1].group()


def test_lights_of_the_catalog_stand_side_by_side_and_those_that_lack_numbers_say_which(lead, room):
    FixtureTypeFactory(shop=room.shop, kind="light", name="Bare can", lumens=None, beam_deg=None)
    page = compared(lead, room).content.decode()
    table = page[page.index("Other lights in this layout"):]
    assert "as it is</small>" in table and "needs a photometric file" in table


@pytest.mark.parametrize(
    ("box", "typed", "says"),
    [("low", "wall", "wall"), ("high", "6", "less than from"), ("step", "1/8", "Finer than"), ("rows", "0", "1 to 60"),
     ("lights", "2,x", "whole numbers"), ("modes", [], "needed"), ("light_type", "999999", "valid choice"),
     ("lights", "1,2,3,4,5", "At most 4"), ("off", "up", "valid choice")],
)  # fmt: skip
def test_what_is_typed_wrong_is_told_at_its_box_and_nothing_is_lost(lead, room, box, typed, says):
    response = compared(lead, room, **USUAL | {box: typed})
    page = response.content.decode()
    assert response.status_code == 200 and says in page and "<svg" not in page
    if isinstance(typed, str) and box not in ("light_type", "off"):
        assert f'value="{typed}"' in page


def test_more_layouts_than_are_tried_is_said(lead, room):
    page = compared(lead, room, **USUAL | {"step": "1", "rows": "1,2,3", "lights": "2,3"}).content.decode()
    assert "80 are tried" in page and "<svg" not in page


def test_a_room_that_lacks_something_says_what_it_takes(client):
    room = lit_room(height=None)
    lead = sign_in(client, people_of(room.shop)[Role.CREW_LEAD])
    for name in ("light_compare", "light_propose"):
        page = lead.get(reverse(name, args=[room.pk])).content.decode()
        assert "The height was not taped." in page and reverse("measurements", args=[room.pk]) in page
        assert "<svg" not in page


def test_a_search_in_a_room_that_lacks_something_starts_nothing_and_keeps_what_was_typed(client):
    room = lit_room(height=None)
    lead = sign_in(client, people_of(room.shop)[Role.CREW_LEAD])
    response = asked_for(lead, room, level="17.5")
    assert response.status_code == 422 and 'value="17.5"' in response.content.decode()
    assert not Work.objects.of(room.shop).exists()


def test_a_hall_of_many_lights_is_searched_and_not_compared_while_you_wait(lead, room, monkeypatch):
    from layout.light import queries

    monkeypatch.setattr(queries, "MOST_LIGHTS", 5)
    page = compared(lead, room).content.decode()
    assert "too many to compare while you wait" in page and "<svg" not in page


def test_more_lights_in_the_catalog_take_no_more_queries(lead, room, django_assert_max_num_queries):
    compared(lead, room)
    with django_assert_max_num_queries(45):
        compared(lead, room, **USUAL | {"step": "6"})


def test_nothing_is_kept_by_looking(lead, room):
    Draft.objects.of(room.shop).filter(room=room).delete()
    compared(lead, fresh(room))
    lead.get(reverse("light_propose", args=[room.pk]))
    assert not Draft.objects.of(room.shop).filter(room=room).exists()


# Propose


def asked_for(client, room, **typed):
    address = reverse("light_propose", args=[room.pk])
    usual = {"level": "10", "unit": "fc", "wall_ratio": "", "uniformity": "", "spacing_limit": "72"}
    return client.post(address, usual | typed)


def searched(client, room, *, found=None, **typed):
    """As the worker does it. found: what it comes to, where that is known."""
    response = asked_for(client, room, **typed)
    assert response.status_code == 302
    work, steps = Work.objects.of(room.shop).get(kind=proposing.KIND, state=State.WAITING), Steps()
    outcome = found or proposing.search(work, steps)
    assert len(canonical(outcome)) < LONGEST_WORDS
    Work.objects.of(room.shop).filter(pk=work.pk).update(state=State.DONE, result=canonical(outcome))
    return outcome, steps


def offers(client, room):
    page = client.get(reverse("light_propose", args=[room.pk]))
    take = reverse("take_light_proposal", args=[room.pk])
    return page.content.decode(), [boxes for action, boxes in forms_of(page) if action == take]


def test_the_form_opens_with_what_the_room_is_set_to_ask(lead, room):
    LightSetupFactory(room=room, target="25", target_unit="fc", wall_ratio="0.40", uniformity="0.50")
    boxes = on_page(lead.get(reverse("light_propose", args=[room.pk])), "level")
    assert (boxes["level"], boxes["unit"], boxes["wall_ratio"], boxes["uniformity"]) == ("25.0", "fc", "0.4", "0.5")


@pytest.mark.parametrize(
    ("box", "typed"),
    [("level", ""), ("level", "-1"), ("wall_ratio", "9"), ("uniformity", "2"), ("spacing_limit", "1"), ("unit", "cd")],
)
def test_a_wrong_wish_is_told_at_its_box_and_nothing_starts(lead, room, box, typed):
    response = asked_for(lead, room, **{box: typed})
    assert response.status_code == 422 and 'class="errorlist' in response.content.decode()
    assert not Work.objects.of(room.shop).exists()


def test_a_search_tells_how_far_it_is_and_offers_two_or_three_with_plans(lead, house, room):
    outcome, steps = house.found, house.steps
    searched(lead, room, found=outcome)
    assert steps.told[-1][0] == steps.told[-1][1]
    page, forms = offers(lead, room)
    assert 1 <= len(forms) <= 3
    assert page.count("<svg") == len(forms) + 1  # and the chart
    assert "On offer: layouts that meet all that is wanted" in page and "Fewest lights" in page
    assert f"{outcome['tried']} layouts were laid out" in page and "average on the work plane" in page


def test_where_nothing_meets_all_the_nearest_says_by_how_much(lead, room):
    searched(lead, room, level="500")
    page, _forms = offers(lead, room)
    assert "No layout within these bounds meets all" in page
    assert "Nearest to what is wanted" in page and "short by" in page


def test_one_is_taken_with_its_levels_and_one_press_puts_both_back(lead, room):
    before, level = draft_of(room), "10"
    setup = LightSetupFactory(room=room)
    LightZoneFactory(setup=setup, letter="A", dim_percent=70)
    rows, ends = before.rows, before.end_setback
    outcome, _steps = searched(lead, room, level=level)
    _page, forms = offers(lead, room)
    boxes = forms[-1]
    one = outcome["trade_offs"][int(boxes["number"])]
    response = lead.post(reverse("take_light_proposal", args=[room.pk]), boxes)
    assert response.status_code == 302 and response.url == reverse("room", args=[room.pk])
    draft = draft_of(fresh(room))
    assert (draft.rows, draft.lights_per_row) == (one["change"]["rows"], one["change"]["lights_per_row"])
    assert draft.mode_along == one["change"]["mode_along"]
    levels = {zone.letter: zone.dim_percent for zone in setup_of(fresh(room)).rows("zones")}
    assert levels["A"] == one["levels"]["A"]
    layout = lay_out(inputs_of(fresh(room), draft))
    assert layout.arrangement.fits
    way = room.ways_taken.first()
    assert way.kind == "light_proposal" and way.reason == boxes["reason"]
    lead.post(reverse("put_way_back", args=[room.pk]), {"version": draft.version})
    again = draft_of(fresh(room))
    assert (again.rows, again.end_setback) == (rows, ends)
    assert {zone.letter: zone.dim_percent for zone in setup_of(fresh(room)).rows("zones")} == {"A": 70}


def test_levels_changed_since_stay_when_the_layout_is_put_back(lead, house, room):
    searched(lead, room, found=house.found)
    _page, forms = offers(lead, room)
    lead.post(reverse("take_light_proposal", args=[room.pk]), forms[0])
    address = reverse("light_settings", args=[room.pk])
    boxes = on_page(lead.get(address), "wall_percent")
    assert lead.post(address, boxes | {"zone-A-dim_percent": "33"}).status_code == 302
    lead.post(reverse("put_way_back", args=[room.pk]), {"version": draft_of(fresh(room)).version})
    assert [zone.dim_percent for zone in setup_of(fresh(room)).rows("zones")] == [33]
    assert room.ways_taken.first().kind == "put_back"


@pytest.mark.parametrize("stale", ["version", "setup_version"])
def test_a_page_that_is_out_of_date_takes_nothing(lead, house, room, stale):
    searched(lead, room, found=house.found)
    _page, forms = offers(lead, room)
    lead.post(reverse("take_light_proposal", args=[room.pk]), forms[0])
    kept, count = draft_of(fresh(room)), room.ways_taken.count()
    zones = setup_of(fresh(room)).version
    lead.post(reverse("take_light_proposal", args=[room.pk]), forms[-1] | {
        "version": kept.version, "setup_version": zones, stale: 0 if stale == "version" else zones + 5,
    })  # fmt: skip
    assert room.ways_taken.count() == count
    assert draft_of(fresh(room)).version == kept.version and setup_of(fresh(room)).version == zones


def test_a_search_that_is_not_the_last_takes_nothing_and_says_so(lead, house, room):
    searched(lead, room, found=house.found)
    _page, forms = offers(lead, room)
    for wrong in ({"work": 0}, {"number": 99}, {"reason": ""}, {"number": "x"}):
        response = lead.post(reverse("take_light_proposal", args=[room.pk]), forms[0] | wrong, follow=True)
        assert response.status_code == 200
    assert not room.ways_taken.exists()


def test_a_room_that_changed_since_is_said_to_have(lead, house, room):
    searched(lead, room, found=house.found)
    LightSetupFactory(room=room, wall_percent=20)
    page, _forms = offers(lead, room)
    assert "changed since this search" in page


def test_what_was_proposed_comes_back_as_it_was_kept(house):
    for one in house.found["trade_offs"]:
        change = change_from_plain(json.loads(json.dumps(one["change"])))
        assert change_as_plain(change) == one["change"]
        assert change["pins"] == () and change["typed_along"] == ()


def test_a_viewer_reads_what_is_on_offer_and_takes_none(client, house, room):
    lead = sign_in(client, people_of(room.shop)[Role.CREW_LEAD])
    searched(lead, room, found=house.found)
    viewer = sign_in(client, people_of(room.shop)[Role.VIEWER])
    page, forms = offers(viewer, room)
    assert "On offer" in page and not forms
    assert viewer.post(reverse("take_light_proposal", args=[room.pk])).status_code == 403
    assert asked_for(viewer, room).status_code == 403


def test_another_shops_room_is_not_there(client, room):
    stranger = sign_in(client, people_of(ShopFactory())[Role.CREW_LEAD])
    for name in ("light_compare", "light_propose"):
        assert stranger.get(reverse(name, args=[room.pk])).status_code == 404


def test_the_pages_lead_to_one_another(lead, room):
    for name in ("light", "other_layouts"):
        page = lead.get(reverse(name, args=[room.pk])).content.decode()
        assert reverse("light_compare", args=[room.pk]) in page and reverse("light_propose", args=[room.pk]) in page


# Over the API


def test_a_search_over_the_api_starts_and_is_read_when_it_is_done(room):
    ask = Asker(token_of(people_of(room.shop)[Role.CREW_LEAD]))
    address = reverse("api:light_proposals", args=[room.pk])
    assert ask.get(address).json()["work"] is None
    wanted = {"level": 10, "unit": "fc", "spacing_limit": "6'"}
    assert ask.post(address, wanted | {"wall_ratio": 9}).status_code == 400
    started = ask.post(address, wanted)
    assert started.status_code == 202 and started.json()["state"] == "waiting"
    work = Work.objects.of(room.shop).get(pk=started.json()["id"])
    outcome = proposing.search(work, Steps())
    Work.objects.of(room.shop).filter(pk=work.pk).update(state=State.DONE, result=canonical(outcome))
    told = ask.get(address).json()
    assert told["tried"] == outcome["tried"] and len(told["trade_offs"]) == len(outcome["trade_offs"])
    assert any("fewest lights" in one["names"] for one in told["trade_offs"])


def test_a_search_over_the_api_in_a_room_that_lacks_something_says_what():
    room = lit_room(height=None)
    ask = Asker(token_of(people_of(room.shop)[Role.CREW_LEAD]))
    told = ask.post(reverse("api:light_proposals", args=[room.pk]), {"level": 10, "unit": "fc", "spacing_limit": "6'"})
    assert told.status_code == 422 and "height was not taped" in told.json()["detail"]
