"""A sofa the lights are laid out for: which marks are, what a revision keeps of it, and what moving it breaks.

The practice room is summed by hand in tests/layout/test_issue_revision.py: a cloud 150 1/2 x 77 1/4 in with
lights 12, 75 1/4 and 138 1/2 in along and 18 and 59 1/4 in across. It was built 1/2 and 1/4 in larger than 6 in
off the finished walls, so it stands 5 3/4 and 5 7/8 in off them: from the walls the lights are at 17 3/4, 81 and
144 1/4 in, and at 23 7/8 and 65 1/8 in. The sofa's middle is put under the middle column: 46 + 35 = 81 and 6 + 18 = 24
in.
"""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.furniture.places import away, marks_on_plan, near
from layout.services import thawed
from projects.platform.permissions import Role
from tests.conftest import standing
from tests.factories import PieceFactory, ShopFactory
from tests.shops import fresh, issue, people_of, practice_room, sign_in


class Standing:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        room = practice_room(self.shop)
        self.sofa = PieceFactory(room=room, left=inches(46), door=inches(6), wide=inches(70), deep=inches(36))
        self.revision = issue(room, by=self.people[Role.OWNER])
        self.room = fresh(room)


everything = standing(Standing)


@pytest.fixture
def lead(client, everything, db):
    return sign_in(client, everything.people[Role.CREW_LEAD])


def page(client, everything):
    return client.get(reverse("furniture", args=[everything.room.pk])).content.decode().replace("&quot;", '"')


def move(client, everything, **to):
    sofa = everything.room.furniture.get()
    boxes = {"name": "sofa", "left": "46", "door": "6", "wide": "70", "deep": "36", "reach": "24"} | to
    return client.post(reverse("piece", args=[everything.room.pk, sofa.pk]), boxes | {"version": sofa.version})


def settle(client, everything, do):
    sofa = everything.room.furniture.get()
    boxes = {"do": do, "version": sofa.version}
    return client.post(reverse("settle_piece", args=[everything.room.pk, sofa.pk]), boxes)


def test_how_far_a_mark_is_from_a_piece_is_measured_from_its_nearest_side(everything, db):
    """By hand: 12 in beside it; over it; 3-4-5 off its corner; a round table of 40 in from its rim."""
    sofa = everything.sofa
    assert away(sofa, (inches(34), inches(20))) == inches(12)
    assert away(sofa, (inches(81), inches(24))) == inches(0)
    assert away(sofa, (inches(119), inches(46))) == inches(5)
    table = PieceFactory.build(room=None, shop=None, round=True, left=inches(0), door=inches(0), wide=inches(40),
                               deep=inches(40))  # fmt: skip
    assert away(table, (inches(50), inches(60))) == inches(30)  # 30-40-50 from its middle, less 20


def test_a_revision_keeps_the_sofa_and_the_marks_laid_out_for_it(everything, db):
    """24 in of reach: 28 1/4 in to the outer columns is too far, 65 1/8 - 42 = 23 1/8 in to the second row is not."""
    marks = marks_on_plan(thawed(everything.revision))
    lights = {ident: at for ident, at in marks.items() if ident.startswith("A")}
    assert min((x.inches, y.inches) for x, y in lights.values()) == (17.75, 23.875)
    kept = everything.revision.furniture.get()
    assert (kept.name, kept.left, kept.piece) == ("sofa", inches(46), everything.sofa)
    reached = sorted((x.inches, y.inches) for ident, (x, y) in lights.items() if ident in kept.idents)
    assert reached == [(81, 23.875), (81, 65.125)]
    assert set(near(everything.sofa, marks, everything.sofa.reach)) == set(kept.idents)


def test_a_sofa_that_moves_lists_its_marks_and_leave_it_comes_first(lead, everything):
    assert "no longer agree" not in page(lead, everything)
    assert move(lead, everything, left="52").status_code == 302
    told = page(lead, everything)
    assert "sofa and revision 1 no longer agree" in told
    assert "from its middle: 1/8\" nearer the door" in told  # 23 7/8 against 24
    assert "from its middle: 6\" left, 1/8\" nearer the door" in told
    assert told.index("Leave it") < told.index("Put the piece back")
    settle(lead, everything, "leave")
    told = page(lead, everything)
    assert "no longer agree" not in told and "left as it is by" in told
    move(lead, everything, left="56")  # moved again, it is asked again
    assert "no longer agree" in page(lead, everything)
    settle(lead, everything, "back")
    assert everything.room.furniture.get().left == inches(46)
    assert "no longer agree" not in page(lead, everything)


def test_a_sofa_carried_out_leaves_the_revision_as_it_was(lead, everything):
    settle(lead, everything, "out")
    assert not everything.room.furniture.exists()
    assert everything.revision.furniture.get().name == "sofa"


def test_what_two_people_type_and_bad_sizes_are_told(lead, everything):
    sofa = everything.room.furniture.get()
    move(lead, everything, left="52")
    boxes = {"name": "sofa", "left": "44", "door": "6", "wide": "70", "deep": "36", "reach": "24", "version": 1}
    assert lead.post(reverse("piece", args=[everything.room.pk, sofa.pk]), boxes).status_code == 409
    new = {"name": "sofa", "left": "1", "door": "1", "wide": "30", "deep": "", "reach": "24", "version": 1}
    answer = lead.post(reverse("furniture", args=[everything.room.pk]), new)
    assert answer.status_code == 422 and "Give its size from door to far" in answer.content.decode()
    answer = lead.post(reverse("furniture", args=[everything.room.pk]), new | {"round": "on"})
    assert answer.status_code == 422 and "has that name" in answer.content.decode()


def test_crew_reads_it_and_moves_nothing(client, everything, db):
    crew = sign_in(client, everything.people[Role.CREW])
    told = page(crew, everything)
    assert "sofa" in told and "Another piece" not in told
    assert move(crew, everything, left="52").status_code == 403
