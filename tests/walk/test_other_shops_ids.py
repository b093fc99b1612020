"""Another shop's ids, and ids of nothing, on every page: nobody can tell which is which."""

import pytest

from projects.doors.sessions import SHOP_KEY
from projects.platform.permissions import ROUTES, Role
from tests.untouched import nothing_changes
from tests.walk.walked import (
    ABSENT,
    PAGES,
    WITH_IDS,
    as_person,
    body,
    go,
)


@pytest.mark.parametrize("name", WITH_IDS)
def test_another_shops_id_is_answered_as_one_that_does_not_exist(house, neighbor, owner, name):
    for method in ("GET", "POST"):
        with nothing_changes():
            theirs = go(owner, method, neighbor.address(name))
            nobodys = go(owner, method, house.address(name, **dict.fromkeys(PAGES[name], ABSENT)))
        assert theirs.status_code == nobodys.status_code == (405 if ROUTES[name].action(method) is None else 404)
        assert body(theirs) == body(nobodys)


def answered(client, name, address):
    """How the one method a page surely knows is answered there."""
    return go(client, "GET" if ROUTES[name].read else "POST", address).status_code


def test_a_revision_that_was_never_issued_is_not_here(house, owner):
    numbered = [name for name in WITH_IDS if "number" in PAGES[name]]
    assert [name for name in numbered if answered(owner, name, house.address(name, number=9)) != 404] == []


def test_a_number_no_database_holds_is_not_here_either(house, owner):
    far = {name: house.address(name, **dict.fromkeys(PAGES[name], 10**30)) for name in WITH_IDS}
    assert [name for name in WITH_IDS if answered(owner, name, far[name]) != 404] == []


def test_a_shop_one_does_not_work_in_cannot_be_chosen(house, neighbor):
    client = as_person(house.people[Role.OWNER].user)
    for asked in (neighbor.shop.pk, ABSENT, 10**30, "9" * 5000, "", "x", "²", "-1"):
        assert client.post("/shops/", {"shop": asked}).status_code == 404, asked
    assert SHOP_KEY not in client.session


