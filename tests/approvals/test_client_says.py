"""The client's page: it shows one revision, takes a name, a wish with a finger on the plan, or not yet.

The practice room is summed by hand in tests/layout/test_issue_revision.py: a cloud 150 1/2 x 77 1/4 in, which is
3823 x 1962 mm, its lights 12, 75 1/4 and 138 1/2 in along, 18 and 59 1/4 in across from the door's left corner.
"""

import datetime as dt
import io

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from layout.engine.lengths import mm
from layout.models import LayoutRevision
from layout.stage_guards import approved_by_name
from projects.platform.permissions import Role
from reports.approvals import pictures, services
from reports.approvals.contents import along_across, kept, nearest, on_plan
from reports.approvals.models import Answer, ApprovalLink
from tests.conftest import standing
from tests.factories import ApprovalLinkFactory, ClientAnswerFactory, PieceFactory, ShopFactory
from tests.shops import fresh, issue, people_of, practice_room, sign_in

TODAY = dt.date.today()


class Standing:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        room = practice_room(self.shop)
        PieceFactory(room=room, name="sofa", left=mm(1168))
        self.revision = issue(room, by=self.people[Role.OWNER])
        self.room = fresh(room)
        self.link = services.make_link(self.room, self.revision, by=self.people[Role.OWNER], days=30, message="Hello.")


everything = standing(Standing)


@pytest.fixture
def link(everything, db):
    return ApprovalLink.objects.of(everything.shop).get(pk=everything.link.pk)


@pytest.fixture
def client_():
    """Somebody who signed in nowhere."""
    return Client()


def address(link):
    return reverse("client_approval", args=[link.token])


def read(who, link):
    return who.get(address(link)).content.decode()


def say(who, link, do, **boxes):
    return who.post(address(link), {"do": do, "digest": link.digest, "on": TODAY.isoformat()} | boxes)


def test_the_page_shows_the_revision_and_no_price_and_is_kept_nowhere(client_, link):
    answer = client_.get(address(link))
    told = answer.content.decode()
    assert (answer["Cache-Control"], answer["X-Robots-Tag"]) == ("no-store", "noindex, nofollow")
    assert "6 lights" in told and "4 speakers" in told and "Laid out for the sofa here: A" in told
    assert '<input type="image" formnovalidate' in told  # the plan is pressed before anything is written
    assert "Hello." in told and "$" not in told and "comes to" not in told
    assert "No view from the door" in told  # its height was never taped


def test_a_name_accepts_the_revision_and_is_told_where_h1_asks(client_, client, everything, link):
    room = everything.room
    assert "Nobody has approved" in approved_by_name([room])[room.pk]
    assert say(client_, link, "yes", name="").status_code == 422
    assert say(client_, link, "yes", name="R. Client").status_code == 302
    assert say(client_, link, "yes", name="Somebody else").status_code == 302  # once is enough, the first name stands
    revision = LayoutRevision.objects.of(everything.shop).get(pk=everything.revision.pk)
    assert (revision.approved_name, revision.approved_by) == ("R. Client", None)
    assert approved_by_name([room]) == {}
    office = sign_in(client, everything.people[Role.ESTIMATOR])
    for page in (reverse("room", args=[room.pk]), reverse("revision", args=[room.pk, 1])):
        assert "R. Client" in office.get(page).content.decode()
    assert "Accepted by R. Client" in office.get(reverse("room_client", args=[room.pk])).content.decode()
    printed = client_.get(reverse("approval_copy", args=[link.token]))
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(printed.content)).pages)
    assert "R. Client" in text and "A6" in text and link.digest[:12] in text


def test_a_finger_on_the_plan_is_kept_as_the_ceilings_own_place(client_, client, everything, link):
    """Pressed in the middle of the picture: half of 3823 mm and half of 1962 mm, to the pixel of some 14 mm."""
    told = kept(link)
    assert (told["wide"], told["deep"]) == (3823, 1962)
    wide, high = pictures.size_of(told)
    middle = {"at.x": str(wide // 2), "at.y": str((high - pictures.DOOR) // 2), "words": "Not over the table"}
    pressed = client_.post(address(link), {"digest": link.digest} | middle)
    assert pressed.status_code == 200 and "You pointed at" in pressed.content.decode()
    assert "Not over the table" in pressed.content.decode() and not Answer.objects.of(everything.shop).exists()
    form = pressed.context["change"]
    x, y = form["x"].value(), form["y"].value()
    assert abs(x - 3823 // 2) <= 15 and abs(y - 1962 // 2) <= 15
    assert say(client_, link, "change", words="Not over the table", x=x, y=y).status_code == 302
    said = Answer.objects.of(everything.shop).get()
    assert (said.along, said.across) == (mm(x), mm(y))  # rows run left to right, zero at the door's left corner
    office = sign_in(client, everything.people[Role.OWNER])
    page = office.get(reverse("room_client", args=[everything.room.pk])).content.decode()
    assert "Not over the table" in page and "1 on the plan" in page and 'class="finger"' in page
    office.post(reverse("see_to_answer", args=[said.pk]))
    assert "the shop has seen to it" in read(client_, link)


@pytest.mark.parametrize("zero", [("left", "door"), ("right", "door"), ("left", "far"), ("right", "far")])
@pytest.mark.parametrize("run", ["left_right", "door_far"])
def test_a_place_on_the_plan_comes_back_from_any_zero_corner(run, zero):
    told = {"turn": [run, *zero], "wide": 4000, "deep": 3000, "marks": [
        {"id": "A1", "x": 0, "y": 0}, {"id": "A2", "x": 4000, "y": 3000},
    ]}  # fmt: skip
    assert on_plan(told, *along_across(told, 1200, 700)) == (1200, 700)
    along, across = along_across(told, 1200, 700)
    from_x = 1200 if zero[0] == "left" else 2800
    from_y = 700 if zero[1] == "door" else 2300
    assert {along, across} == {mm(from_x), mm(from_y)} and (along == mm(from_x)) is (run == "left_right")
    assert nearest(told, 1200, 700) == "A1"


def test_a_mark_named_instead_of_pressed_is_its_place(client_, everything, link):
    assert say(client_, link, "change", words="Too near", mark="A6").status_code == 302
    said = Answer.objects.of(everything.shop).get()
    assert (round(said.along.mm), round(said.across.mm)) == (3518, 1505)  # 138 1/2 and 59 1/4 in


def test_what_cannot_be_answered_says_why_and_keeps_nothing(client_, everything, link):
    assert say(client_, link, "change", words="").status_code == 422
    assert say(client_, link, "yes", name="R.", digest="0" * 64).status_code == 409
    services.close_link(link)
    assert "This link was closed" in read(client_, link)
    assert say(client_, link, "yes", name="R.").status_code == 409
    ApprovalLink.objects.of(everything.shop).update(revoked_at=None, expires_on=TODAY - dt.timedelta(days=1))
    assert "open too long" in read(client_, link) and say(client_, link, "yes", name="R.").status_code == 409
    assert not Answer.objects.of(everything.shop).exists()
    assert client_.get(reverse("client_approval", args=["nobody"])).status_code == 404


def test_a_later_revision_is_said_before_and_after_a_yes(client_, everything, link):
    say(client_, link, "not_yet", words="My sister has to see it")
    issue(everything.room, by=everything.people[Role.OWNER])
    told = read(client_, link)
    assert "A later revision took the place" in told and "6 lights" not in told
    assert say(client_, link, "yes", name="R.").status_code == 409
    assert approved_by_name([everything.room])  # H1 asks for the newest
    ClientAnswerFactory(link=link, says="yes", name="R.")
    told = read(client_, link)
    assert "This is not the latest" in told and "6 lights" in told


def test_prices_are_shown_when_the_office_ticked_them_and_never_guessed(everything, db):
    with pytest.raises(services.NotDone, match="wage"):
        services.make_link(everything.room, everything.revision, by=None, days=5, costs=True)


def test_only_the_office_asks_clients(client, everything, link):
    lead = sign_in(client, everything.people[Role.CREW_LEAD])
    assert lead.get(reverse("room_client", args=[everything.room.pk])).status_code == 403
    assert lead.get(reverse("client_answers")).status_code == 403
    assert "Ask the client" not in lead.get(reverse("room", args=[everything.room.pk])).content.decode()


def test_a_view_from_the_door_is_drawn_where_the_height_is_known(client_, db):
    """The two lights of the drawn room are 1 m and 3 m along: as far left of the middle as right of it."""
    link = ApprovalLinkFactory()
    told = read(client_, link)
    assert "From the door, in plain lines" in told
    drawn = pictures.door_svg(kept(link))
    rings = [part for part in drawn.split("<path ")[1:] if part.count("L") == pictures.CORNERS - 1]
    middles = []
    for ring in rings:
        points = ring.split('d="M')[1].split("Z")[0].split("L")
        middles.append(sum(float(point.split()[0]) for point in points) / len(points))
    assert len(middles) == 2 and sum(middles) == pytest.approx(pictures.VIEW_WIDE, abs=0.1)
