"""Another shop's id behind the ? of a list is answered like an id of nothing: the same rows, the same count."""

import re

import pytest

from tests.api.asked import all_given
from tests.api.documented_bodies import IDS
from tests.api.houses import ABSENT
from tests.api.test_nobody_writes import DESCRIBED, place_of

KNOWN = IDS | {"crew": "member_id"}
# Days, numbers of pages and stages, and what is numbered within the room.
NO_IDS = {"days", "first", "rooms_page", "stage", "since"}
PAGING = {"page", "page_size"}


def questions():
    """(address, operationId, name) of every whole number that a read may be asked with."""
    for address, methods in DESCRIBED["paths"].items():
        for each in methods.get("get", {}).get("parameters", ()):
            if each["in"] == "query" and "integer" in str(each["schema"].get("type")) and each["name"] not in PAGING:
                yield address, methods["get"]["operationId"], each["name"]


ASKED = [one for one in questions() if one[2] not in NO_IDS]


def test_each_number_a_read_takes_is_known_for_an_id_or_for_none():
    assert {name for *_rest, name in questions()} - KNOWN.keys() - NO_IDS == set()
    assert len(ASKED) >= 14


@pytest.mark.parametrize(("address", "operation", "name"), ASKED, ids=lambda part: part if "/" not in part else "")
def test_another_shops_id_behind_the_question_mark_is_answered_as_one_of_nothing(
    house, neighbor, address, operation, name
):
    asker, at = all_given(house), place_of(house, address)
    theirs = neighbor.ids[KNOWN[name]]
    assert theirs != house.ids[KNOWN[name]]
    told = [asker.get(f"{at}?{name}={number}") for number in (theirs, ABSENT)]
    assert told[0].status_code == told[1].status_code
    either = re.compile(rf"\b({theirs}|{ABSENT})\b")
    assert either.sub("N", told[0].content.decode()) == either.sub("N", told[1].content.decode())
