"""The plan editor's page without scripts, its live answer, and its save: the same form, the same rules."""

import json
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.models import Draft
from layout.services import draft_of
from projects.catalogue.tables import clearances
from projects.ceilings.models import Region
from projects.ceilings.services import ceiling_of, change_ceiling
from projects.ceilings.values import entered
from projects.platform.permissions import Role
from tests.factories import ShopFactory
from tests.shops import fresh, issue, on_page, people_of, practice_room, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    shop = ShopFactory()
    shop.people = people_of(shop)
    return shop


@pytest.fixture
def room(shop):
    """150 1/2 along by 77 1/4 across at its edge: columns at 12, 75 1/4 and 138 1/2, rows at 18 and 59 1/4."""
    return practice_room(shop)


@pytest.fixture
def lead(client, shop):
    return sign_in(client, shop.people[Role.CREW_LEAD])


def page(client, room):
    return client.get(reverse("plan", args=[room.pk]))


def boxes(client, room, **typed):
    return on_page(page(client, room), "draft_version") | typed


def live(client, room, **typed):
    answer = client.post(reverse("plan_live", args=[room.pk]), boxes(client, room, **typed))
    assert answer.status_code == 200
    return answer.json()


def keep(client, room, **typed):
    return client.post(reverse("plan", args=[room.pk]), boxes(client, room, **typed) | {"keep": "1"})


def held(room):
    return draft_of(fresh(room)).held()


def test_the_page_shows_the_plan_and_a_box_for_every_line_and_mark(lead, room):
    shown = on_page(page(lead, room), "draft_version")
    assert {"column-1", "column-2", "column-3", "row-1", "row-2"} <= set(shown)
    assert {"moved-light-1-1-along", "moved-light-2-3-across", "moved-speaker-1-1-along"} <= set(shown)


def test_a_box_that_is_filled_holds_a_column_and_its_twin_as_far_off_the_other_end(lead, room):
    """Column 1 at 15 in: the last one 15 in from the far end, 150 1/2 - 15 = 135 1/2, and the middle one stays."""
    assert keep(lead, room, **{"column-1": "15"}).status_code == 302
    pins, moved = held(room)
    assert set(pins) == {Pin(Line.COLUMN, 1, inches(15)), Pin(Line.COLUMN, 3, inches("135 1/2"))}
    assert moved == ()


def test_symmetry_is_left_when_asked(lead, room):
    without = {name: value for name, value in boxes(lead, room, **{"column-1": "15"}).items() if name != "symmetric"}
    lead.post(reverse("plan", args=[room.pk]), without | {"keep": "1"})
    assert held(room)[0] == (Pin(Line.COLUMN, 1, inches(15)),)


def test_a_twin_with_a_number_of_its_own_keeps_it(lead, room):
    keep(lead, room, **{"row-1": "20", "row-2": "50"})
    assert set(held(room)[0]) == {Pin(Line.ROW, 1, inches(20)), Pin(Line.ROW, 2, inches(50))}


def test_emptying_the_boxes_lets_go(lead, room):
    keep(lead, room, **{"column-1": "15"})
    keep(lead, room, **{"column-1": "", "column-3": ""})
    assert held(room) == ((), ())


def test_one_mark_is_moved_off_its_line_by_two_numbers(lead, room):
    keep(lead, room, **{"moved-light-2-1-along": "14 1/2", "moved-light-2-1-across": "50"})
    assert held(room)[1] == (Moved(Kind.LIGHT, 2, 1, inches("14 1/2"), inches(50)),)


def test_one_number_alone_does_not_move_a_mark(lead, room):
    answer = keep(lead, room, **{"moved-light-2-1-along": "14 1/2"})
    assert answer.status_code == 422
    assert "along and across" in answer.content.decode()
    assert held(room) == ((), ())


JOIST = {
    "joist-count": "1", "joist-0-first_from": "left", "joist-0-datum": "finished", "joist-0-first": "8",
    "joist-0-first_to": "center", "joist-0-spacing": "16", "joist-0-width": "1 1/2",
}  # fmt: skip
BOX = {
    "thing-count": "1", "thing-0-name": "main", "thing-0-x": "60", "thing-0-y": "40",
    "thing-0-datum": "edge", "thing-0-wide": "8", "thing-0-deep": "20",
}  # fmt: skip


@pytest.fixture
def thing():
    return BOX | {"thing-0-what": next(iter(clearances()))}


def test_joists_and_a_thing_are_kept_with_the_plan(lead, room, thing):
    assert keep(lead, room, **JOIST, **thing).status_code == 302
    ceiling = ceiling_of(fresh(room))
    assert [(run.first, run.spacing) for run in ceiling.joists.all()] == [(inches(8), inches(16))]
    assert [(one.name, one.x, one.wide) for one in ceiling.things.all()] == [("main", inches(60), inches(8))]
    assert ceiling.looked, "who enters joists has looked"
    again = boxes(lead, room)
    assert again["joist-0-spacing"] and again["thing-0-name"] == "main"


def test_a_row_taken_out_is_gone(lead, room, thing):
    keep(lead, room, **thing)
    keep(lead, room, **{"thing-0-drop": "on"})
    assert not ceiling_of(fresh(room)).things.exists()


def test_add_gives_one_more_empty_row_and_stores_nothing(lead, room):
    answer = lead.post(reverse("plan", args=[room.pk]), boxes(lead, room) | {"add": "joist"})
    assert on_page(answer, "draft_version")["joist-count"] == "1"
    assert not Draft.objects.of(room.shop).filter(room=room, pins__isnull=False).exists()
    assert ceiling_of(fresh(room)).pk is None


def walls(*each):
    typed = {"wall-count": str(len(each)), "toward": "far"}
    for number, (length, turn) in enumerate(each):
        typed |= {f"wall-{number}-length": length, f"wall-{number}-turn": turn}
    return typed


ELL = walls(("77 1/4", "right"), ("90 1/2", "right"), ("37 1/4", "left"), ("60", "right"), ("40", "right"),
            ("150 1/2", "right"))  # fmt: skip


def test_walls_walked_in_order_become_the_outline(lead, room):
    """Up the left wall 77 1/4, right 90 1/2, back 37 1/4, right 60, back 40, and home along 150 1/2."""
    assert keep(lead, room, **ELL).status_code == 302
    corners = {(corner.x, corner.y) for corner in ceiling_of(fresh(room)).corners.all()}
    assert corners == {
        (inches(0), inches(0)), (inches(0), inches("77 1/4")), (inches("90 1/2"), inches("77 1/4")),
        (inches("90 1/2"), inches(40)), (inches("150 1/2"), inches(40)), (inches("150 1/2"), inches(0)),
    }  # fmt: skip


def test_walls_that_do_not_close_are_told_and_not_kept(lead, room):
    """The last wall taped 2 in short."""
    short = ELL | {"wall-5-length": "148 1/2"}
    assert "do not close" in live(lead, room, **short)["closing"]
    told = live(lead, room, **short)["findings"]
    assert "No ceiling yet" in told
    assert "keep your limits" not in told  # nobody knows yet: there is no ceiling to hold them to
    assert keep(lead, room, **short).status_code == 422
    assert ceiling_of(fresh(room)).pk is None


def test_an_outline_that_crosses_itself_is_refused_with_both_edges(lead, room):
    crossed = {"corner-count": "4"}
    for number, (x, y) in enumerate([("0", "0"), ("100", "60"), ("100", "0"), ("0", "60")]):
        crossed |= {f"corner-{number}-x": x, f"corner-{number}-y": y}
    answer = keep(lead, room, **crossed)
    assert answer.status_code == 422
    assert "Edges 1 and 3" in answer.content.decode()


def test_a_tray_is_kept_as_a_part_with_its_height(lead, room):
    tray = {"part-count": "1", "part-0-name": "tray", "part-0-rise": "8", "part-0-x": "30", "part-0-y": "15",
            "part-0-wide": "60", "part-0-deep": "30"}  # fmt: skip
    assert keep(lead, room, **tray).status_code == 302
    (region,) = ceiling_of(fresh(room)).regions.all()
    assert (region.rise, region.corners.count()) == (inches(8), 4)
    assert boxes(lead, room)["part-0-name"] == "tray"


# The live answer


def test_the_live_answer_draws_what_is_typed_and_stores_nothing(lead, room):
    """Column 1 held at 15 in. The printed numbers of the draft stay as they were."""
    answer = live(lead, room, **{"column-1": "15"})
    assert answer["ok"] and answer["svg"].startswith("<svg") and 'class="pin"' in answer["svg"]
    assert answer["facts"]["columns"] == [int(inches(at)) for at in ("15", "75 1/4", "135 1/2")]
    assert held(room) == ((), ())


def test_it_says_what_won_t_fit(lead, room):
    """A joist's center at 12 in is where the first light's is."""
    answer = live(lead, room, **JOIST | {"joist-0-first": "12"})
    assert "fit" in answer["findings"] and "joist" in answer["findings"]
    assert answer["broken"] >= 1


def test_it_dots_where_what_is_moved_may_stand(lead, room):
    assert 'class="stand"' in live(lead, room, **JOIST, legal="column-1")["svg"]
    assert 'class="stand"' in live(lead, room, **JOIST, legal="mark-A1")["svg"]
    assert 'class="stand"' not in live(lead, room, **JOIST)["svg"]


def test_it_shows_the_last_revision_as_a_ghost_once_the_plan_differs(lead, room):
    issue(room)
    assert 'class="ghost"' not in live(lead, room)["svg"]
    assert 'class="ghost"' in live(lead, room, **{"column-1": "15"})["svg"]


@pytest.mark.parametrize("typed", [{"column-1": "fifteen"}, {"joist-count": "99999999999"}, {"legal": "column-99"},
                                   {"column-1": "-3"}, {"column-9": "5"}, {"moved-light-9-9-along": "1"},
                                   {"legal": "mark-<script>"}, {"toward": "up"}, {"thing-count": "3"}])  # fmt: skip
def test_whatever_is_sent_it_answers(lead, room, typed):
    answer = live(lead, room, **typed)
    assert set(answer) >= {"ok", "svg", "findings"}
    assert "<script>" not in json.dumps(answer)


# The save behind the page


def keep_quietly(client, room, **typed):
    return client.post(reverse("plan_keep", args=[room.pk]), boxes(client, room, **typed))


def test_the_draft_is_kept_behind_the_page_and_its_versions_come_back(lead, room):
    first = keep_quietly(lead, room, **{"column-1": "15"})
    assert first.json() == {"ok": True, "draft_version": 2, "ceiling_version": 1}
    assert keep_quietly(lead, room).json()["draft_version"] == 2, "nothing changed, nothing is written"


def test_a_save_that_would_go_over_someone_else_s_is_refused(lead, room):
    mine = boxes(lead, room, **{"column-1": "15"})
    keep(lead, room, **{"column-1": "20"})
    quiet = lead.post(reverse("plan_keep", args=[room.pk]), mine)
    assert quiet.status_code == 409 and quiet.json()["stale"]
    shown = lead.post(reverse("plan", args=[room.pk]), mine | {"keep": "1"})
    assert shown.status_code == 409
    assert "Someone else changed this room" in shown.content.decode()
    assert on_page(shown, "draft_version")["column-1"].startswith("15"), "what was typed is still there"
    assert {pin.at for pin in held(room)[0]} >= {inches(20)}


def test_neither_half_is_kept_when_the_other_is_refused(lead, room, thing):
    """The ceiling changed meanwhile: the pin that came with it is not kept either."""
    mine = boxes(lead, room, **thing, **{"column-1": "15"})
    keep(lead, room, **JOIST)
    assert lead.post(reverse("plan_keep", args=[room.pk]), mine).status_code == 409
    assert held(room) == ((), ())


# Who may


def test_a_viewer_sees_the_plan_and_may_try_but_not_keep(client, shop, room):
    viewer = sign_in(client, shop.people[Role.VIEWER])
    assert b"Keep this plan" not in page(viewer, room).content
    assert live(viewer, room, **{"column-1": "15"})["ok"]
    assert keep(viewer, room, **{"column-1": "15"}).status_code == 403
    assert keep_quietly(viewer, room, **{"column-1": "15"}).status_code == 403


@pytest.mark.parametrize("name", ["plan", "plan_live", "plan_keep", "plan_picture_upload"])
def test_a_stranger_s_room_does_not_exist(client, room, name):
    other = ShopFactory()
    stranger = sign_in(client, people_of(other)[Role.OWNER])
    assert stranger.post(reverse(name, args=[room.pk])).status_code == 404


class _Scripts(HTMLParser):
    inline = False

    def handle_starttag(self, tag, attrs):
        has = dict(attrs)
        self.inline |= (tag == "script" and "src" not in has) or "style" in has or any(n.startswith("on") for n in has)


def test_nothing_on_the_page_is_inline(lead, room):
    found = _Scripts()
    found.feed(page(lead, room).content.decode())
    assert not found.inline


def test_what_was_kept_is_drawn_when_the_page_is_opened_again(lead, room, thing):
    keep(lead, room, **JOIST, **thing, **{"column-1": "15"})
    shown = page(lead, room).content.decode()
    assert 'class="pin"' in shown and 'class="member"' in shown and 'class="thing' in shown


def test_a_plan_held_out_of_symmetry_stays_so_when_it_is_kept_again(lead, room):
    without = {name: value for name, value in boxes(lead, room, **{"column-1": "15"}).items() if name != "symmetric"}
    lead.post(reverse("plan", args=[room.pk]), without | {"keep": "1"})
    assert "symmetric" not in boxes(lead, room)
    keep(lead, room)
    assert held(room)[0] == (Pin(Line.COLUMN, 1, inches(15)),)


def test_a_number_half_typed_lets_nothing_else_go(lead, room):
    answer = live(lead, room, **{"column-1": "15", "row-1": "18 1/"})
    assert answer["facts"]["columns"][0] == int(inches(15))
    assert "Row 1" in answer["findings"]


def test_what_is_half_typed_is_not_kept_behind_the_page_and_says_why(lead, room):
    answer = keep_quietly(lead, room, **{"column-1": "fifteen"}).json()
    assert not answer["ok"] and "Column 1" in answer["said"]
    assert held(room) == ((), ())


def test_walls_that_stay_open_are_drawn_as_far_as_they_go(lead, room):
    """Three walls of an L: two corners turned, and where the third one ends."""
    svg = live(lead, room, **walls(("77 1/4", "right"), ("90 1/2", "right"), ("30", "right")))["svg"]
    assert 'class="walked"' in svg and 'class="wall" ' in svg


def test_a_ceiling_full_of_things_is_kept_whole(lead, room, thing):
    """A hundred of them, some eleven boxes each: more than a form usually has."""
    many = {"thing-count": "100"}
    for number in range(100):
        many |= {name.replace("thing-0", f"thing-{number}"): text for name, text in thing.items() if "-0-" in name}
        many |= {f"thing-{number}-above": "", f"thing-{number}-clear": "", f"thing-{number}-leaves": "",
                 f"thing-{number}-note": "", f"thing-{number}-name": f"head {number}"}  # fmt: skip
    assert len(many) > 1000
    assert keep(lead, room, **many).status_code == 302
    assert ceiling_of(fresh(room)).things.count() == 100
    assert keep(lead, room).status_code == 302
    assert ceiling_of(fresh(room)).things.count() == 100


def test_a_part_of_another_shape_is_left_as_it_is(lead, room):
    ceiling = ceiling_of(fresh(room))
    triangle = tuple((inches(x), inches(y)) for x, y in ((10, 10), (60, 10), (10, 50)))
    entry = replace(entered(ceiling), regions=((Region(name="bay", rise=inches(6)), triangle),))
    change_ceiling(ceiling, ceiling.version, entry)
    keep(lead, room, **{"column-1": "15"})
    (region,) = ceiling_of(fresh(room)).regions.all()
    assert (region.name, region.corners.count()) == ("bay", 3)
