"""Each button of each page is pressed: whatever row that changes has an entry of who did it, how, and in which shop.

Pages come from the URL resolver, forms and their boxes from the pages as an owner reads them. What is written over the
API is held in tests/api/test_documented_bodies_are_taken.py.
"""

import io

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import Resolver404, resolve
from PIL import Image

from projects.platform.permissions import ROUTES, Role
from tests.history.told import untold, watched
from tests.untouched import taken_back
from tests.walk.pressed import forms_on
from tests.walk.walked import (  # noqa: F401
    PAGES,
    as_person,
    go,
    house,
    house_standing,
    neighbor_standing,
    owner,
    packets_unprinted,
)

# Pages that only show, with forms of other addresses on them; the rest of what only shows has none.
ALSO = {
    "work", "framing_to_suit", "revision", "card", "room_history", "rooms", "rules_versions", "material",
    "material_order", "job_stock", "room_material", "pick_list", "leftovers", "change", "extra", "field_looks",
    "field_phones", "marking_papers", "room_inspections", "client_answers",
}  # fmt: skip
WRITES = {name for name in PAGES if ROUTES[name].write}
PLACES = [name for name in PAGES if ROUTES[name].read and (name in ALSO or name in WRITES)]

# What no press of ours changes anything with: the way there is longer than one press, or takes words that fit.
NEEDS_MORE = {
    "another state of the record comes first": {
        "accept_bid", "answer_mark_move", "answer_site_move", "approve_change", "bid_link", "bring_back_material",
        "bring_back_room", "change_from_layouts", "change_goods", "discard_bid", "edit_bid", "end_webhook_secret",
        "follow_type", "hand_on", "lift_hold", "next_bid_revision", "open_punch", "plan_picture_remove",
        "plan_picture_scale", "price_import", "put_back_overhead", "put_back_photo", "put_back_switches",
        "put_back_target", "put_way_back", "reject_change", "remove_sheet", "restore_job", "restore_room",
        "resume_work", "send_change", "take_back_mark", "take_light_proposal", "true_up", "withdraw_bid",
        "work_out_light",
    },
    "it takes words, or a file, that the rules of the trade let in": {
        "add_sheet", "as_built", "carry_material", "count_job", "count_leftovers", "field_measure", "fixture_types",
        "furniture", "hold_next_door", "hold_task", "issue_revision", "job_billed", "lay_out_job", "light_propose",
        "light_readings", "measurements", "new_inspection", "new_room", "new_thing", "on_site", "pass_rest",
        "paste_rooms", "photometric_files", "plan", "price_file", "pull_list", "receive_material", "reels",
        "room_change", "room_counting", "room_hours", "room_wiring", "shop_lists", "take_leftovers",
        "take_sound_choice", "take_switches", "webhooks",
    },
    "scripts send it, or a phone": {
        "field_mark_out", "field_report", "field_sync", "plan_keep", "plan_live",
    },
    "more than one is ticked, or a mark is pointed at": {
        "move_rooms", "moved_lights",
    },
    "who presses it has no account yet": {
        "client_approval", "client_link", "invitation", "join", "lost_password", "sign_in", "sign_in_code",
    },
    "it changes a session, sends a letter or reads, or what it says stands already": {
        "own_data",
        "choose_shop", "invitation_again", "own_password", "phone_until", "red_rules", "second_factor", "send_again",
        "sign_out", "step_up", "try_webhook",
    },
}  # fmt: skip
LEFT = set().union(*NEEDS_MORE.values())


def picture():
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "teal").save(file, "PNG")
    return SimpleUploadedFile("a.png", file.getvalue(), content_type="image/png")


def presses(house, user):  # noqa: F811
    """(route, address, form, button) of every form of every page, one for each button of a route."""
    seen = set()
    for name in PLACES:
        at = house.address(name)
        with taken_back():
            page = go(as_person(user), "GET", at)
        for form in forms_on(page):
            for action, button in form.buttons:
                address = (action or at).partition("#")[0]
                try:
                    route = resolve(address.partition("?")[0]).url_name
                except Resolver404:  # of the API, where it is not
                    continue
                if (route, *button) not in seen:
                    seen.add((route, *button))
                    yield route, address, form, dict([button] if button[0] else ())


def test_whatever_a_press_changes_has_an_entry_of_who_did_it(house, owner):  # noqa: F811
    user = house.people[Role.OWNER].user
    wrote, wrong = {}, []
    for route, address, form, button in list(presses(house, user)):
        for fill in (True,) if route in LEFT else (True, False):
            files = {name: picture() for name in form.files}
            with taken_back(), watched() as changes:
                as_person(user).post(address, form.sent(fill) | button | files)
            wrong += [(route, each) for each in untold(changes, shop=house.shop.pk, user=user.pk, via="page")]
            wrote[route] = wrote.get(route, set()) | changes.tables
            if changes.tables:
                break
    assert wrong == []
    moved = {route for route, tables in wrote.items() if tables}
    assert WRITES - moved <= LEFT, "press it so that it writes, or name it above"
    assert len(moved) >= 115
