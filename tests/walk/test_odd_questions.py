"""What no person types, asked of every page and put in every box: no page breaks."""

import re

import pytest

from projects.platform.permissions import ROUTES, Role
from tests.shops import forms_of
from tests.untouched import taken_back
from tests.walk.walked import (
    ABSENT,
    INSIDE,
    as_person,
)

ODD = ("\x00", "%", "_", "'", "\\", "\ud7ff", "\U0010ffff", "9" * 5000, "-1", "1e9", "²", "٣")


ASKED = ("q", "page", "sort", "view", "stage", "flag", "job", "level", "paper", "style", "text", "shop", "rows")


def not_broken_by_odd_questions(house, owner, asked, name, odds):
    for odd, words_of in odds:
        answer = owner.get(house.address(name), dict.fromkeys((*words_of, *asked), odd))
        assert answer.status_code in (200, 302, 404, 422), odd  # told what is wrong; a sheet nobody writes is not here


@pytest.mark.parametrize("name", [name for name in INSIDE if ROUTES[name].read])
def test_no_page_breaks_on_an_odd_question(house, owner, seen, name):
    """All that any page asks of its address with one odd value, what this one asks with one more: others by page."""
    asked = sorted(seen(name, Role.OWNER).asked)
    turn = INSIDE.index(name)
    some = [(ODD[(turn + 5) % len(ODD)], ())] if asked else []
    not_broken_by_odd_questions(house, owner, asked, name, [(ODD[turn % len(ODD)], ASKED), *some])


@pytest.mark.long
@pytest.mark.parametrize("name", [name for name in INSIDE if ROUTES[name].read])
def test_no_page_breaks_on_any_odd_question(house, owner, seen, name):
    asked = sorted(seen(name, Role.OWNER).asked)
    not_broken_by_odd_questions(house, owner, asked, name, [(odd, ()) for odd in ODD if asked])


def two_of_a_shape(forms):
    """A list has the same form in each of its lines: two of them stand for the rest."""
    kept = {}
    for boxes in forms:
        shape = frozenset(re.sub(r"\d+", "", box) for box in boxes)
        if len(kept.setdefault(shape, [])) < 2:
            kept[shape].append(boxes)
    return [boxes for alike in kept.values() for boxes in alike]


def oddly_filled(names, turn, times=1):
    """A third of the boxes, the rest as they were; then all of them: a value of its own for each, by turns."""
    odd = {box: [ODD[(n + turn + 5 * time) % len(ODD)] for time in range(times + 1)] for n, box in enumerate(names)}
    third = {box: odd[box][0] for box in names[turn % 3 :: 3]}
    full = [{box: odd[box][time] for box in names} for time in range(1, times + 1)]
    return [some for some in (third, *full) if some]


FORMS = [name for name in INSIDE if ROUTES[name].read and ROUTES[name].write]


@pytest.mark.parametrize("name", FORMS)
def test_no_form_breaks_on_an_odd_answer(house, owner, seen, name):
    not_broken_by_odd_answers(house, owner, seen, name)


@pytest.mark.long
@pytest.mark.parametrize("name", FORMS)
def test_no_form_breaks_on_any_odd_answer(house, owner, seen, name):
    not_broken_by_odd_answers(house, owner, seen, name, times=len(ODD))


def not_broken_by_odd_answers(house, owner, seen, name, times=1):
    shown = [boxes for action, boxes in forms_of(seen(name, Role.OWNER).answer) if (action or "")[:1] in ("", "?")]
    assert shown, "the page has no form of its own"
    for boxes in two_of_a_shape(shown):
        names = [box for box in boxes if box != "csrfmiddlewaretoken"]
        for filled in oddly_filled(names, INSIDE.index(name), times):
            with taken_back():
                answer = owner.post(house.address(name), boxes | filled)
            assert answer.status_code in (200, 302, 404, 409, 422), filled


def test_a_token_nobody_has_can_not_be_ended(house):
    client = as_person(house.people[Role.VIEWER].user)
    for odd in (*ODD, ABSENT, ""):
        assert client.post(house.address("own_tokens"), {"end": odd}).status_code == 404
