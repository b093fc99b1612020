"""Whatever a page shows or does, the API shows and does for the same people, or the table says why not."""

import pytest

from projects.accounts.models import Membership
from projects.platform.permissions import ANYONE, API_ROUTES, PERSONAL, ROUTES, SIGNED_IN, Role, may
from tests.api.houses import api_patterns, page_modules
from tests.api.page_rows import Left, Row
from tests.api.pages_of_reports import PAGES as OF_REPORTS
from tests.api.pages_of_reports import TO_COME as REPORTS_TO_COME
from tests.api.pages_of_rooms import PAGES as OF_ROOMS

VIEWS = api_patterns()
TO_COME = set(REPORTS_TO_COME)
WRITES = ("post", "put", "patch", "delete")


def row_of(page):
    row = (OF_ROOMS | OF_REPORTS)[page]
    if isinstance(row, Left):
        return Row(*(row if ROUTES[page].action(verb) else () for verb in ("GET", "POST")))
    return row


def answers(name, verbs):
    return any(hasattr(VIEWS[name].callback.cls, verb) for verb in verbs)


def test_every_page_has_one_row_and_every_row_a_page():
    for pages, to_come, reports in ((OF_ROOMS, set(), False), (OF_REPORTS, TO_COME, True)):
        ours = {name for name, module in page_modules().items() if module.startswith("reports.") == reports}
        assert set(pages) | to_come == ours
        assert not set(pages) & to_come


@pytest.mark.parametrize("page", sorted(set(ROUTES) - TO_COME))
def test_what_a_page_shows_and_does_has_an_address(page):
    row, route = row_of(page), ROUTES[page]
    for half, action, verbs in ((row.read, route.read, ("get",)), (row.write, route.write, WRITES)):
        assert bool(half) == bool(action), "a half of the row too many, or one missing"
        if isinstance(half, Left):
            assert half.why.endswith("."), "say why, in a sentence"
            continue
        assert [name for name in half if name not in API_ROUTES] == []
        assert [name for name in half if not answers(name, verbs)] == []


@pytest.mark.parametrize("page", sorted(set(ROUTES) - TO_COME))
def test_who_may_on_the_page_may_over_the_api_and_nobody_else_may_write(page):
    row, route = row_of(page), ROUTES[page]
    people = [Membership(role=role, **given) for role in Role for given in ({}, dict.fromkeys(PERSONAL.values(), True))]
    for half, action, verb in ((row.read, route.read, "GET"), (row.write, route.write, "POST")):
        if action in (ANYONE, SIGNED_IN):
            continue
        for name in () if isinstance(half, Left) else half:
            here = API_ROUTES[name].action(verb)
            for member in people:
                on_page, over_api = may(member, action), may(member, here)
                assert on_page == over_api if verb == "POST" else on_page <= over_api, (name, str(member.role))


def test_a_reason_is_given_for_few():
    """Of the pages that are read or written inside a shop, nine of ten are in the API."""
    inside = [page for page in ROUTES if page not in TO_COME and ROUTES[page].read not in (ANYONE, SIGNED_IN)]
    rows = [row_of(page) for page in inside]
    wholly = [row for row in rows if not {type(half) for half in (row.read, row.write) if half} - {Left}]
    assert len(wholly) < len(inside) / 10
