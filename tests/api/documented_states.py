"""What the description of the API can't say of a request: a shop's own keys, what was read, what comes first.

SAID: what stands in the body beside what has to. FIRST: what is asked of the API, or stands already, before;
each gives what the body and the address say then.
"""

import io
from datetime import timedelta
from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image
from pypdf import PdfWriter

from layout.models import LayoutRevision
from projects.catalogue.models import FixtureType
from projects.history.flags import without_history
from projects.platform.permissions import Role
from reports.bids.models import BidRevision
from tests.factories import EntryKeptFactory, lm63_text
from tests.listening import enter, listening_room
from tests.shops import tape_room

RUN = {"first_from": "left", "datum": "edge", "first": "4 in", "spacing": "21 in", "width": "1 1/2 in"}
COUNTER = {"task": "counter", "wall": "far", "start": "20 in", "end": "120 in", "deep": "25 in"}
READINGS = {"door": [{"value": "166 in"}], "left": [{"value": "93 in"}]}
PRICES = b"Code,Pack,Price\n%s,1,2.50\n"


def today(days=0):
    return (timezone.localdate() + timedelta(days=days)).isoformat()


SAID = {
    "add_bid_line": {"material": "12.50"},
    "add_change_line": {"hours": "2"},
    "add_meter_reading": {"from_left": "80 in", "from_door": "44 in", "height": "30 in"},
    "add_photometric_file": {"text": lm63_text()},
    "add_piece": {"deep": "30 in"},
    "answer_mark_move": {"yes": True},
    "ask_for_items": {"items": []},
    "count_room": {"items": []},
    "found_on_site": {"joist": RUN},
    "invite": {"email": "lee@shop.example"},
    "keep_room_view": {"query": "view=wall"},
    "lay_out_job": {"issue": True},
    "log_visit": {"hours": "2"},
    "make_alike": {"times": 1},
    "make_webhook": {"url": "https://hooks.example.com/in"},
    "order_several": {"lines": [{"name": "Ladder pads", "quantity": 2}]},
    "phone_until": {"until": today(5)},
    "scale_picture": {"from_x": 1, "from_y": 1, "to_x": 40, "to_y": 1, "length": "10 ft"},
    "set_job_conditions": {"keys": []},
    "set_price": {"amount": "4.20"},
    "set_room_conditions": {"keys": []},
}
FIRST = {}


def first(*operations):
    def keep(ready):
        FIRST.update(dict.fromkeys(operations, ready))
        return ready

    return keep


def done(answer):
    """What was answered; that it was done belongs to the test."""
    assert answer.status_code < 300, answer.content[:500]
    return answer.json() if answer.content else None


# Bids


def sent_bid(house):
    sent = BidRevision.objects.of(house.shop).get(state="sent")
    BidRevision.objects.of(house.shop).filter(pk=sent.pk).update(valid_until=timezone.localdate())
    return sent, {"bid_id": sent.bid_id, "bid_revision_id": sent.pk}


@first("make_bid_link", "close_bid_links", "withdraw_bid", "next_bid_revision")
def a_bid_is_out(house, ask):
    return {}, sent_bid(house)[1]


@first("accept_bid")
def a_bid_is_signed(house, ask):
    sent, ids = sent_bid(house)
    return {"on": today(), "digest": sent.digest}, ids


@first("true_up_bid")
def an_allowance_is_accepted(house, ask):
    at = house.address("bid_revision")
    done(ask.post(f"{at}lines/?kind=allowance", {"words": "Pendant", "quantity": "3", "amount": "120.00"}))
    done(ask.post(f"{at}send/", {"seen": ask.get(at).json()["seen"]}))
    digest = BidRevision.objects.of(house.shop).get(pk=house.ids["bid_revision_id"]).digest
    done(ask.post(f"{at}accept/", {"name": "A. Reyes", "on": today(), "digest": digest}))
    [one] = ask.get(house.address("bid_allowances")).json()["results"]
    return {"key": one["key"]}, {}


@first("send_bid")
def a_bid_was_looked_over(house, ask):
    return {"seen": ask.get(house.address("bid_revision")).json()["seen"]}, {}


@first("discard_bid", "rename_bid")
def a_new_bid(house, ask):
    return {}, {"bid_id": done(ask.post(house.address("job_bids"), {"number": "B-new"}))["bid"]["id"]}


# Changes of the contract


@first("approve_change", "reject_change")
def a_change_is_out(house, ask):
    done(ask.post(house.address("send_change")))
    return {}, {}


def second_revision(house, ask):
    done(ask.edit("PATCH", house.address("draft"), {"end_setback": "14 in", "rows": 3}))
    done(ask.post(house.address("revisions")))


@first("change_from_revisions")
def two_revisions(house, ask):
    second_revision(house, ask)
    before, after = LayoutRevision.objects.of(house.shop).filter(room=house.room).order_by("number")
    return {"before": before.pk, "after": after.pk}, {}


@first("say_change_goods")
def a_room_is_in_the_change(house, ask):
    body, _ids = two_revisions(house, ask)
    made = done(ask.post(house.address("room_changes"), body))
    return {"key": "housing:can4"}, {"change_id": made["id"]}


# Material


@first("order_material")
def a_line_of_the_job(house, ask):
    return {"key": ask.get(house.address("job_material")).json()["results"][0]["key"]}, {}


def order(house, ask):
    [line, *_more] = ask.get(house.address("job_material")).json()["results"]
    lines = [{"key": line["key"], "quantity": 6}, {"name": "Ladder pads", "quantity": 2}]
    body = {"slip": str(uuid4()), "from_whom": "The supply house", "lines": lines}
    return done(ask.post(house.address("order_several"), body))


def arrived(house, ask):
    ordered = order(house, ask)
    lines = [{"line": one["id"], "quantity": 2, "place": "site"} for one in ordered["lines"]]
    address = house.address("order_receipts", order_number=ordered["number"])
    done(ask.post(address, {"slip": str(uuid4()), "lines": lines}))
    return ordered["lines"][1]["key"]


@first("receive_order", "give_up_material")
def something_is_ordered(house, ask):
    ordered = order(house, ask)
    return {}, {"order_number": ordered["number"], "line_id": ordered["lines"][0]["id"]}


@first("carry_material")
def something_lies_on_site(house, ask):
    return {"item": arrived(house, ask), "quantity": 1, "came_from": "site", "went_to": "van"}, {}


@first("take_back_movement")
def something_was_carried(house, ask):
    body = something_lies_on_site(house, ask)[0] | {"slip": str(uuid4())}
    done(ask.post(house.address("movements"), body))
    return {}, {"movement_id": ask.get(house.address("movements")).json()["results"][0]["id"]}


@first("take_leftovers")
def something_is_on_the_shelf(house, ask):
    key = arrived(house, ask)
    body = {"item": key, "quantity": 2, "came_from": "site", "went_to": "shelf", "lies": "Bay 3"}
    done(ask.post(house.address("movements"), body | {"slip": str(uuid4())}))
    row = next(one for one in ask.get(house.address("leftovers")).json()["results"] if one["key"] == key)
    return {"key": key, "unit": row["unit"], "lies": "Bay 3", "quantity": 1}, {}


@first("write_pick_list")
def a_line_of_the_room(house, ask):
    key = ask.get(house.address("room_material")).json()["lines"][0]["key"]
    return {"lines": [{"key": key, "quantity": 2}]}, {}


@first("pick_material")
def a_list_is_written(house, ask):
    [line, *_more] = ask.get(house.address("room_material")).json()["lines"]
    ordered = done(ask.post(
        house.address("order_several"),
        {"slip": str(uuid4()), "from_whom": "A house", "lines": [{"key": line["key"], "quantity": 3}]},
    ))  # fmt: skip
    lines = [{"line": ordered["lines"][0]["id"], "quantity": 3, "place": "site"}]
    address = house.address("order_receipts", order_number=ordered["number"])
    done(ask.post(address, {"slip": str(uuid4()), "lines": lines}))
    body = {"slip": str(uuid4()), "lines": [{"key": line["key"], "quantity": 3}]}
    made = done(ask.post(house.address("pick_lists"), body))
    row = {"line": made["lines"][0]["id"], "quantity": 2, "place": "site"}
    return {"lines": [row]}, {"pick_number": made["number"]}


@first("bring_back_material")
def a_list_is_picked(house, ask):
    body, ids = a_list_is_written(house, ask)
    done(ask.post(house.address("picks", **ids), body | {"slip": str(uuid4())}))
    return body, ids


# Prices and counting


@first("apply_price_file")
def a_price_file_was_tried(house, ask):
    done(ask.post(house.address("list_price_lines")))
    key = ask.get(house.address("price_items")).json()["results"][0]["key"]
    file = SimpleUploadedFile("p.csv", PRICES % key.encode())
    sent = {"file": file, "source": "spring", "on": "2026-05-03"}
    one = {"import_id": done(ask.client.post(house.address("price_files"), sent, headers=ask.headers))["id"]}
    return {"digest": done(ask.post(house.address("try_price_file", **one)))["digest"]}, one


@first("edit_labor_number")
def a_unit_of_labor(house, ask):
    key = ask.get(house.address("labor_units")).json()["results"][0]["key"]
    return {"what": "unit", "key": key, "value": "0.75", "seen": 0}, {}


@first("save_takeoff_rules")
def an_item_of_the_rules(house, ask):
    key = ask.get(house.address("takeoff_rules")).json()["rules"]["items"][0]["key"]
    return {"why": "Counted the last three jobs", "items": {key: {"quantity": "3"}}}, {}


@first("put_back_takeoff_rules")
def rules_of_ones_own(house, ask):
    sent = an_item_of_the_rules(house, ask)[0]
    told = done(ask.edit("PATCH", house.address("takeoff_rules"), sent))
    return {"number": 0, "seen": told["number"]}, {}


@first("plug_price")
def a_line_to_price(house, ask):
    return {"key": ask.get(house.address("job_material")).json()["results"][0]["key"]}, {}


@first("set_run_by_hand")
def a_run_of_the_room(house, ask):
    [cable, *_more] = ask.get(house.address("job_cables")).json()["results"]
    return {"run": cable["number"], "length": "30 ft", "seen": 1}, {}


@first("reckon")
def what_a_figure_asks(house, ask):
    found = ask.get(house.address("figures") + "?page_size=200").json()["results"]
    one = next(each for each in found if each["figure"] == house.ids["figure_name"])
    return {"inputs": {each["name"]: each["example"] for each in one["inputs"]}}, {}


@first("take_lists_in")
def lists_were_tried(house, ask):
    lists = ask.get(house.address("shop_lists")).json()["lists"]
    seen = done(ask.post(house.address("shop_lists_tried"), {"lists": lists}))["seen"]
    return {"lists": lists, "seen": seen}, {}


# A room's layout


@first("answer_site_move")
def a_joist_asks(house, ask):
    at, ceiling = house.address("on_site"), house.address("ceiling")
    sent = {"joist": RUN | {"first": "12 in"}}  # 12, 33, 54, 75: right over lights
    lead = house.ask(Role.CREW_LEAD)
    done(lead.send("POST", at, {"joist": RUN}, If_Match=ask.get(ceiling)["ETag"]))
    asked = done(lead.send("POST", at, sent, If_Match=ask.get(ceiling)["ETag"]))
    return {"move": asked["asked"], "yes": True}, {}


@first("take_way", "put_way_back")
def the_lights_clash(house, ask):
    run = RUN | {"first": "11 in", "spacing": "16 in"}
    done(ask.edit("PUT", house.address("ceiling"), {"framing": "found", "joists": [run]}))
    return {"key": ask.get(house.address("ways")).json()["ways"][0]["key"]}, {}


@first("put_way_back")
def a_way_was_taken(house, ask):
    body = the_lights_clash(house, ask)[0] | {"reason": "keeps the rows"}
    done(ask.send("POST", house.address("ways"), body, If_Match="*"))
    return {}, {}


@first("take_framing")
def framing_is_offered(house, ask):
    asked = "?width=1 1/2 in&spacing=16 in"
    key = ask.get(house.address("framing_to_suit") + asked).json()["offers"][0]["key"]
    return {"key": key, "width": "1 1/2 in", "spacing": "16 in"}, {}


@first("hold_task")
def a_line_is_offered(house, ask):
    asked = "?" + "&".join(f"{name}={value}" for name, value in COUNTER.items())
    return COUNTER | {"key": ask.get(house.address("task_lines") + asked).json()["offers"][0]["key"]}, {}


@first("hold_next_door")
def a_room_next_door(house, ask):
    asked = {
        "neighbor": house.build("Den").pk, "wall": "far", "from_corner": "20 in", "wide": "100 in",
        "their_wall": "door", "their_corner": "20 in",
    }  # fmt: skip
    query = "&".join(f"{name}={value}" for name, value in asked.items())
    offers = ask.get(f"{house.address('next_door')}?{query}").json()["offers"]
    return asked | {"key": offers[0]["key"]}, {}


@first("put_back_ceiling")
def a_ceiling_was_saved_twice(house, ask):
    for things in ([], [{"what": "duct", "name": "Duct", "x": "70 in", "y": "30 in", "wide": "12 in", "deep": "8 in"}]):
        done(ask.edit("PUT", house.address("ceiling"), {"framing": "none", "things": things}))
    return {}, {}


@first("put_back_switches")
def letters_were_changed(house, ask):
    for letters in ([{"row": 1, "number": 1, "zone": "B"}], []):
        done(ask.edit("PATCH", house.address("draft"), {"switched": letters}))
    return {}, {}


def lit(house):
    tape_room(house.room, "framing", "166", "93", height="96")
    FixtureType.objects.of(house.shop).filter(pk=house.light.pk).update(lumens=800, beam_deg=60)


@first("search_light_proposals")
def a_room_with_light(house, ask):
    lit(house)
    return {"spacing_limit": "72 in"}, {}


@first("take_sound_choice")
def a_room_to_listen_in(house, ask):
    with without_history():
        room = listening_room(shop=house.shop)
        enter(room)
    page = ask.get(house.address("sound_choices", room_id=room.pk)).json()
    choice = next(one for one in page["choices"] if not one["here"])
    return {"speaker": page["mark"], "choice": choice["choice"]}, {"room_id": room.pk}


# On site


@first("record_mark", "record_marks")
def a_mark_nobody_set(house, ask):
    mark = ask.get(house.address("as_built")).json()["marks"][-1]["mark"]
    return {"mark": mark, "items": [{"mark": mark, "step": "floor"}]}, {}


@first("take_back_mark")
def a_mark_was_set(house, ask):
    mark = a_mark_nobody_set(house, ask)[0]["mark"]
    done(ask.post(house.address("as_built"), {"mark": mark, "step": "floor"}))
    return {"mark": mark, "base": 1}, {}


@first("record_inspection")
def a_room_that_passes(house, ask):
    return {"rooms": [{"room": house.room.pk, "outcome": "pass"}]}, {}


@first("record_visits")
def a_room_that_is_taped(house, ask):
    one = {"room": house.room.pk, "kind": "framing", "taken_on": "2026-05-03", "taken_by": "R.", "instrument": "tape"}
    return {"items": [one | {"readings": READINGS}]}, {}


@first("pass_rest")
def a_group_of_the_list(house, ask):
    return {"group": ask.get(house.address("room_checks")).json()["items"][0]["group"]}, {}


@first("bring_back_room")
def a_room_was_cancelled(house, ask):
    done(ask.post(house.address("cancel_room"), {"why": "Left out of the contract"}))
    return {}, {}


@first("lift_hold")
def a_room_was_held(house, ask):
    done(ask.post(house.address("room_hold"), {"kind": "on_hold", "who": "Client", "why": "chooses"}))
    return {}, {}


@first("settle_look")
def two_notes_stand(house, ask):
    kept = EntryKeptFactory(room=house.room, member=house.people[Role.OWNER])
    return {"entry": kept.pk, "seen": kept.version}, {}


# What hangs together otherwise


@first("follow_type", "stand_alone")
def a_room_made_from_another(house, ask):
    [made] = done(ask.post(house.address("alike"), {"names": ["Snug 2"]}))["rooms"][-1:]
    return {}, {"room_id": made["id"]}


@first("hand_on")
def a_type_and_its_like(house, ask):
    a_room_made_from_another(house, ask)
    done(ask.edit("PATCH", house.address("draft"), {"end_setback": "14 in"}))
    return {"seen": ask.get(house.address("alike")).json()["seen"]}, {}


@first("end_webhook_secret")
def two_secrets(house, ask):
    done(ask.post(house.address("webhook_secret")))
    return {}, {}


@first("resume_work")
def work_was_cancelled(house, ask):
    done(ask.post(house.address("cancel_work")))
    return {}, {}


@first("restore_room")
def a_room_in_the_trash(house, ask):
    done(ask.edit("DELETE", house.address("room"), None))
    return {}, {}


@first("restore_job")
def a_job_in_the_trash(house, ask):
    done(ask.edit("DELETE", house.address("job"), None))
    return {}, {}


# Files


def picture():
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "teal").save(file, "PNG")
    return SimpleUploadedFile("a.png", file.getvalue(), content_type="image/png")


def sheet():
    file, writer = io.BytesIO(), PdfWriter()
    writer.add_blank_page(200, 200)
    writer.write(file)
    return SimpleUploadedFile("s.pdf", file.getvalue())


def files_of(operation):
    """The form that is sent with files in it."""
    return {
        "add_photos": lambda: {"photos": [picture()], "purpose": "wall"},
        "add_sheet": lambda: {"title": "Rev. B", "sheet": sheet()},
        "answer_check_with_photo": lambda: {"number": 1, "outcome": "pass", "photo": picture()},
        "answer_correction_with_photo": lambda: {"words": "Stapled", "photo": picture()},
        "close_punch": lambda: {"photos": [picture()]},
        "read_price_file": lambda: {"source": "spring", "file": SimpleUploadedFile("p.csv", PRICES % b"C-1")},
        "upload_picture": lambda: {"picture": picture()},
        "write_extra_with_photos": lambda: {"words": "Moved a box", "photos": [picture()]},
        "write_room_extra_with_photos": lambda: {"words": "Moved a box", "photos": [picture()]},
    }[operation]()
