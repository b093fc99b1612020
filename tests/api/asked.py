"""An operation of the API as its description lets a program ask for it: made ready in a house, then sent."""

from uuid import uuid4

from projects.accounts.models import Membership
from projects.platform.permissions import Role
from tests.api.documented_bodies import OPERATIONS, WITH_FILES, body_of
from tests.api.documented_states import FIRST, SAID, files_of
from tests.api.test_nobody_writes import place_of, resolved


def all_given(house):
    """A program of the owner's, who may do all there is."""
    given = {"may_approve": True, "may_move_marks": True, "may_quote": True}
    Membership.objects.filter(pk=house.people[Role.OWNER].pk).update(**given)
    return house.ask(Role.OWNER)


def ready(operation, house, owner):
    """(METHOD, address, body) of it, once all that comes first was done."""
    method, address, shape, *_rest = OPERATIONS[operation]
    more, ids = FIRST[operation](house, owner) if operation in FIRST else ({}, {})
    house.ids |= ids
    body = body_of(operation, house.ids)
    if shape is not None:
        body |= SAID.get(operation, {})
        body |= {name: value for name, value in more.items() if name in resolved(shape).get("properties", {})}
    return method, place_of(house, address), body


def send(operation, owner, method, address, body):
    """With a slip and a key of its own, and from whatever version stands."""
    if operation in WITH_FILES:
        return owner.client.post(address, files_of(operation), headers=owner.headers)
    body = body | {"slip": str(uuid4())} if body and "slip" in body else body
    return owner.send(method, address, body, If_Match="*", Idempotency_Key=uuid4().hex)
