"""Rooms of a shop added, renamed, counted, copied, thrown away and brought back over the API, in any order.

A dict kept beside says what must be there; a neighbor and a viewer try the same meanwhile and change nothing.
"""

import os

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from projects.history.models import Entry
from projects.platform.permissions import Role
from tests.api.houses import Asker, problem_of, token_of
from tests.factories import FixtureTypeFactory, MemberFactory, ShopFactory

NAMES = st.sampled_from(["Snug", "Den", "Hall", "Pantry", "Loft", "Attic", "Ängby", "Salón 2"])
PICKS = st.integers(min_value=0, max_value=99)
RUNS = int(os.environ.get("CEILINGBOOK_CASES", "1000"))


class Shop(RuleBasedStateMachine):
    @initialize()
    def a_shop(self):
        shop = ShopFactory()
        self.shop, self.light = shop, FixtureTypeFactory(shop=shop).pk
        self.lead = Asker(token_of(MemberFactory(shop=shop, role=Role.CREW_LEAD.value)))
        self.viewer = Asker(token_of(MemberFactory(shop=shop, role=Role.VIEWER.value)))
        owner = Asker(token_of(MemberFactory(shop=shop, role=Role.OWNER.value)))
        self.neighbor = Asker(token_of(MemberFactory(role=Role.OWNER.value)))
        self.job = owner.post("/api/v1/jobs/", {"number": "1", "name": "House"}).json()["id"]
        self.owner, self.rooms, self.trash, self.tags, self.written = owner, {}, {}, {}, 1
        first = self.lead.post(f"/api/v1/jobs/{self.job}/rooms/", {"name": "First"}).json()["id"]
        self.rooms[first] = {"name": "First", "count": None}

    def taken(self, name, but=None):
        return name in [each["name"] for pk, each in self.rooms.items() if pk != but]

    def pick(self, data, among):
        return sorted(among)[data.draw(PICKS) % len(among)]

    def count_of(self, pk):
        counts = self.lead.get(f"/api/v1/rooms/{pk}/counts/").json()["counts"]
        return counts[0]["count"] if counts else None

    # What the shop's own people do

    @rule(name=NAMES, key=st.uuids())
    def add(self, name, key):
        address, sent = f"/api/v1/jobs/{self.job}/rooms/", {"name": name}
        answer = self.lead.post(address, sent, Idempotency_Key=str(key))
        if self.taken(name):
            problem_of(answer)
            return
        assert answer.status_code == 201
        self.rooms[answer.json()["id"]] = {"name": name, "count": None}
        self.written += 1
        again = self.lead.post(address, sent, Idempotency_Key=str(key))
        assert (again.status_code, again.content) == (201, answer.content), "the same key is one room"

    @precondition(lambda self: self.rooms)
    @rule(data=st.data(), name=NAMES, seen=st.sampled_from(["now", "before", "nothing"]))
    def rename(self, data, name, seen):
        pk = self.pick(data, self.rooms)
        address = f"/api/v1/rooms/{pk}/"
        before, now = self.tags.get(pk), self.lead.get(address)["ETag"]
        self.tags[pk] = now
        if seen == "nothing":
            problem_of(self.lead.send("PATCH", address, {"name": name}), 428)
            return
        if seen == "before" and before not in (None, now):
            problem_of(self.lead.send("PATCH", address, {"name": name}, If_Match=before), 412)
            return
        answer = self.lead.send("PATCH", address, {"name": name}, If_Match=now)
        if self.taken(name, but=pk):
            problem_of(answer)
        else:
            assert (answer.status_code, answer.json()["name"]) == (200, name)
            self.rooms[pk]["name"] = name

    @precondition(lambda self: self.rooms)
    @rule(data=st.data(), count=st.integers(min_value=1, max_value=60), times=st.integers(min_value=0, max_value=2))
    def count_and_copy(self, data, count, times):
        pk = self.pick(data, self.rooms)
        body = {"counts": [{"fixture_type": self.light, "zone": "A", "count": count}]}
        assert self.owner.edit("PUT", f"/api/v1/rooms/{pk}/counts/", body).status_code == 200
        self.rooms[pk]["count"] = count
        answer = self.owner.post(f"/api/v1/rooms/{pk}/copies/", {"times": times})
        if not times:
            problem_of(answer, 400)
            return
        assert answer.status_code == 201
        for room in answer.json()["rooms"]:
            assert not self.taken(room["name"]), "a copy has a name of its own"
            self.rooms[room["id"]] = {"name": room["name"], "count": count}
            self.written += 1
            assert self.count_of(room["id"]) == count, "a copy has what its room has"

    @precondition(lambda self: self.rooms)
    @rule(data=st.data())
    def throw_away(self, data):
        pk = self.pick(data, self.rooms)
        address = f"/api/v1/rooms/{pk}/"
        assert self.owner.send("DELETE", address, If_Match=self.owner.get(address)["ETag"]).status_code == 204
        self.trash[pk] = self.rooms.pop(pk)
        problem_of(self.owner.get(address), 404)

    @precondition(lambda self: self.trash)
    @rule(data=st.data())
    def bring_back(self, data):
        pk = self.pick(data, self.trash)
        answer = self.owner.post(f"/api/v1/trash/rooms/{pk}/restore/")
        if self.taken(self.trash[pk]["name"]):
            problem_of(answer)
            return
        assert answer.status_code in (200, 201), answer.content
        self.rooms[pk] = self.trash.pop(pk)

    # What others try

    @rule(data=st.data(), who=st.sampled_from(["neighbor", "viewer"]), name=NAMES)
    def somebody_tries(self, data, who, name):
        asker, status = {"neighbor": (self.neighbor, 404), "viewer": (self.viewer, 403)}[who]
        problem_of(asker.post(f"/api/v1/jobs/{self.job}/rooms/", {"name": name}), status)
        if self.rooms:
            address = f"/api/v1/rooms/{self.pick(data, self.rooms)}/"
            problem_of(asker.send("PATCH", address, {"name": name}, If_Match=self.lead.get(address)["ETag"]), status)
            problem_of(asker.send("DELETE", address, If_Match='"1-1"'), status)

    # What is always so

    @invariant()
    def the_list_is_what_was_done(self):
        if not hasattr(self, "rooms"):
            return
        listed = self.lead.get(f"/api/v1/jobs/{self.job}/rooms/?page_size=200").json()["results"]
        assert {each["id"]: each["name"] for each in listed} == {pk: room["name"] for pk, room in self.rooms.items()}
        thrown = self.owner.get("/api/v1/trash/rooms/?page_size=200").json()["results"]
        assert {each["id"] for each in thrown} == set(self.trash)
        assert self.neighbor.get("/api/v1/rooms/").json()["results"] == []

    def teardown(self):
        if not hasattr(self, "rooms"):
            return
        for pk, room in self.rooms.items():
            assert self.count_of(pk) == room["count"]
        told = Entry.objects.of(self.shop).filter(what="jobs_room", did="added")
        assert told.count() == self.written, "each room that came is told of once"


def run(examples, steps):
    run_state_machine_as_test(Shop, settings=settings(max_examples=examples, stateful_step_count=steps, deadline=None))


@pytest.mark.django_db
def test_whatever_is_done_in_whatever_order_the_shop_is_as_it_was_told():
    run(10, 14)


@pytest.mark.long
@pytest.mark.django_db
def test_a_thousand_more_orders():
    run(RUNS, 50)
