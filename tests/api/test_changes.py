"""Change orders and field extras over the API: the same way as on the pages."""

from projects.platform.permissions import Role
from tests.factories import TypedLineFactory


def test_a_change_order_is_opened_read_sent_and_signed(house):
    asker = house.ask(Role.ESTIMATOR)
    opened = asker.post(house.address("job_changes"), {"title": "Box moved", "asked_by": "Jo Park"})
    assert opened.status_code == 201
    change = opened.json()
    where = {"change_id": change["id"]}
    assert asker.post(house.address("send_change", **where)).status_code == 422, "nothing is in it"
    TypedLineFactory(change_id=change["id"])
    read = asker.get(house.address("change", **where)).json()
    assert read["contents"]["lines"][0]["material"] == "40.00"
    sent = asker.post(house.address("send_change", **where)).json()
    assert (sent["state"], sent["price"]) == ("sent", read["contents"]["price"])
    signed = asker.post(house.address("approve_change", **where), {"name": "Jo Park", "on": "2026-05-03"}).json()
    assert signed["state"] == "approved"
    total = asker.get(house.address("contract_sum")).json()
    assert (total["approved"], total["bid"], total["sum"]) == (sent["price"], None, None)


def test_a_field_extra_is_written_by_the_crew_and_has_no_word_of_money(house):
    asker = house.ask(Role.CREW)
    written = asker.post(house.address("room_extras"), {"words": "Moved a box", "hours": 2, "material": "1 box"})
    assert written.status_code == 201
    extra = written.json()
    assert (extra["room"], extra["hours"], extra["change"]) == (house.room.pk, "2.00", None)
    assert not {"price", "amount", "cost"} & set(extra)
    listed = asker.get(house.address("extras")).json()
    assert extra["id"] in [each["id"] for each in listed["results"]]
    assert asker.get(house.address("job_changes")).status_code == 403
