"""What a shop does most, each as one request that changes something: prepare(house) gives what sends it."""

import io
import json
from secrets import token_hex
from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from projects.platform.permissions import Role
from reports.approvals import services as approvals
from reports.bids.models import BidRevision
from tests.factories import RoomFactory, TypedLineFactory

VISIT = {
    "kind": "framing", "taken_on": "2026-05-03", "taken_by": "R.", "instrument": "tape",
    "readings": {"door": [{"value": "166 in"}], "left": [{"value": "93 in"}]},
}  # fmt: skip
LIST = "Room\tLeft to right\tDoor to far\nDen\t12'\t10'\nHall\t20'\t5'\n"


def post(name, body=None, role=Role.OWNER, **ids):
    """POST with a key of its own each time."""

    def prepare(house):
        asker, address = house.ask(role), house.address(name, **ids)
        return lambda: asker.post(address, body, Idempotency_Key=uuid4().hex)

    return prepare


def edit(method, name, body=None, role=Role.OWNER):
    def prepare(house):
        asker, address = house.ask(role), house.address(name)
        tag = asker.get(address)["ETag"]
        return lambda: asker.send(method, address, body, If_Match=tag)

    return prepare


def picture(color="teal"):
    file = io.BytesIO()
    Image.new("RGB", (40, 30), color).save(file, "PNG")
    return SimpleUploadedFile("a.png", file.getvalue(), content_type="image/png")


def photos(house):
    asker, address = house.ask(Role.CREW), house.address("photos")
    return lambda: asker.client.post(
        address, {"photos": [picture("teal"), picture("olive")], "purpose": "wall"}, headers=asker.headers
    )


def punch_closed(house):
    asker = house.ask(Role.CREW)
    made = asker.post(house.address("punch"), {"words": "Trim of A2 is bent", "mark": "A2"}).json()
    address = house.address("close_punch", punch_id=made["id"])
    return lambda: asker.client.post(address, {"photos": [picture("navy")]}, headers=asker.headers)


def restored(house):
    asker, address = house.ask(), house.address("room")
    assert asker.send("DELETE", address, If_Match=asker.get(address)["ETag"]).status_code == 204
    return lambda: asker.post(house.address("restore_room"), Idempotency_Key=uuid4().hex)


def bid_sent(house):
    asker = house.ask()
    bid = asker.post(house.address("job_bids"), {"number": "B-sent"}).json()
    at = f"/api/v1/bids/revisions/{bid['revision']['id']}/"
    asker.post(at + "lines/?kind=equipment", {"words": "Lift", "amount": "450.00"})
    seen = asker.get(at).json()["seen"]
    return lambda: asker.post(at + "send/", {"seen": seen}, Idempotency_Key=uuid4().hex)


def bid_accepted(house):
    asker, sent = house.ask(), BidRevision.objects.of(house.shop).get(state="sent")
    BidRevision.objects.of(house.shop).filter(pk=sent.pk).update(valid_until=timezone.localdate())
    signed = {"name": "A. Reyes", "on": timezone.localdate().isoformat(), "digest": sent.digest}
    return lambda: asker.post(f"/api/v1/bids/revisions/{sent.pk}/accept/", signed, Idempotency_Key=uuid4().hex)


def _change(house):
    asker = house.ask(Role.ESTIMATOR)
    change = asker.post(house.address("job_changes"), {"title": "Box moved", "asked_by": "Jo Park"}).json()["id"]
    TypedLineFactory(change_id=change)
    return asker, change


def change_sent(house):
    asker, change = _change(house)
    return lambda: asker.post(house.address("send_change", change_id=change), Idempotency_Key=uuid4().hex)


def change_approved(house):
    asker, change = _change(house)
    assert asker.post(house.address("send_change", change_id=change)).status_code == 200
    signed = {"name": "Jo Park", "on": "2026-05-03"}
    where = house.address("approve_change", change_id=change)
    return lambda: asker.post(where, signed, Idempotency_Key=uuid4().hex)


def _ordered(house):
    [line, *_others] = house.ask().get(house.address("job_material")).json()["results"]
    return {
        "from_whom": "The supply house", "promised_on": "2026-05-10",
        "lines": [{"key": line["key"], "quantity": 6}, {"name": "Ladder pads", "quantity": 2}],
    }  # fmt: skip


def ordered(house):
    asker, body = house.ask(Role.CREW_LEAD), _ordered(house)
    return lambda: asker.post(house.address("order_several"), body | {"slip": str(uuid4())})


def received(house):
    order = house.ask().post(house.address("order_several"), _ordered(house) | {"slip": str(uuid4())}).json()
    lines = [{"line": one["id"], "quantity": 1, "place": "site"} for one in order["lines"]]
    address, asker = house.address("order_receipts", order_number=order["number"]), house.ask(Role.CREW)
    return lambda: asker.post(address, {"slip": str(uuid4()), "lines": lines})


def from_a_phone(kind, data, room=""):
    """An entry about the room, or about a new one of this name."""

    def prepare(house):
        place = RoomFactory(job=house.job, name=room) if room else house.room
        client = Client(raise_request_exception=False)
        client.force_login(house.people[Role.CREW].user)
        sent = {"kind": kind, "room": str(place.pk), "base": "0", "data": json.dumps(data)}
        return lambda: client.post("/field/sync/", sent | {"key": token_hex(16)})

    return prepare


def a_client_agrees(house):
    link = approvals.make_link(house.room, house.revision, by=house.people[Role.OWNER], days=30, message="")
    client = Client(raise_request_exception=False)
    address = reverse("client_approval", args=[link.token])
    today = timezone.localdate().isoformat()
    return lambda: client.post(address, {"do": "yes", "digest": link.digest, "on": today, "name": "R. Client"})


def checked(house):
    asker, address = house.ask(Role.CREW), house.address("room_checks")
    items = asker.get(address).json()["items"]
    [item, *_others] = [each for each in items if each["once_per"] == "room" and each["bears"] != "no"]
    body = {"number": item["number"], "outcome": "pass"}
    return lambda: asker.post(address, body, Idempotency_Key=uuid4().hex)


def price_file_applied(house):
    asker = house.ask(Role.ESTIMATOR)
    asker.post(house.address("list_price_lines"))
    key = asker.get(house.address("price_items")).json()["results"][0]["key"]
    file = SimpleUploadedFile("p.csv", f"Code,Pack,Price\n{key},1,2.50\n".encode())
    sent = {"file": file, "source": "spring", "on": "2026-05-03"}
    one = {"import_id": asker.client.post(house.address("price_files"), sent, headers=asker.headers).json()["id"]}
    digest = asker.post(house.address("try_price_file", **one)).json()["digest"]
    address = house.address("apply_price_file", **one)
    return lambda: asker.post(address, {"digest": digest}, Idempotency_Key=uuid4().hex)


def inspected(house):
    rooms = [{"room": house.room.pk, "outcome": "fail", "corrections": ["Staple it", "Label it"]}]
    body = {"kind": "power", "on": "2026-05-04", "inspector": "P. Orrin", "tag": "T-9", "rooms": rooms}
    return post("job_inspections", body, Role.CREW_LEAD)(house)


def moved(house):
    rooms = [house.room.pk, house.build("Den").pk]
    return post("move_rooms", {"stage": 0, "waits_for": "Client", "rooms": rooms}, Role.CREW_LEAD)(house)


USES = {
    "open a job": post("jobs", {"number": "J-9", "name": "Orchard house"}),
    "add a room": post("job_rooms", {"name": "Hall", "ceiling_system": "cloud"}),
    "add rooms together": post("job_rooms_bulk", {"items": [{"name": "Pantry"}, {"name": "Landing"}]}),
    "paste a list of rooms": post("paste_rooms", {"text": LIST}),
    "copy a room": post("copy_room", {"times": 2}),
    "tape a room": post("measurements", VISIT),
    "change a draft": edit("PATCH", "draft", {"rows": 1}),
    "issue a layout": post("revisions", {"note": "again"}),
    "write a card down": post("cards", {"held_by": "M.", "how": "sent", "paper": "a4"}),
    "move rooms to a stage": moved,
    "hold a room up": post("room_hold", {"kind": "on_hold", "who": "Client", "why": "chooses"}),
    "keep photos": photos,
    "close a punch item with a photo": punch_closed,
    "put a room in the trash": edit("DELETE", "room"),
    "put a job in the trash": edit("DELETE", "job"),
    "take a room out of the trash": restored,
    "start a bid": post("job_bids", {"number": "B-new"}),
    "send a bid": bid_sent,
    "accept a bid": bid_accepted,
    "send a change": change_sent,
    "approve a change": change_approved,
    "order material": ordered,
    "receive an order": received,
    "take over a price file": price_file_applied,
    "a client says yes": a_client_agrees,
    "answer a checklist's item": checked,
    "record an inspection": inspected,
    "a note from a phone": from_a_phone("note", {"text": "Key with the neighbor."}),
    "readings from a phone": from_a_phone("measure", {"door_1": "150"}, room="Den"),
    "make a token": post("tokens", {"name": "script", "scopes": ["read"], "days": 90}),
    "invite somebody": post("invitations", {"email": "lee@shop.example", "name": "Lee", "role": "crew"}),
}
