"""Each person reads their own language, wherever they sign in; paper is had in one or in both."""

import pytest
from django.test import Client
from django.utils import translation
from django.utils.translation import gettext as _

from projects.platform.languages import BOTH, ENGLISH, SPANISH, paper_language, printed_in, side_by_side
from tests.factories import MemberFactory


@pytest.fixture
def crew(db):
    client = Client()
    client.member = MemberFactory(role="crew")
    client.force_login(client.member.user)
    return client


def language_of(answer):
    return answer.content.decode().split('lang="', 1)[1].split('"', 1)[0]


def test_a_language_is_a_persons_own_and_goes_before_the_browsers(crew):
    assert language_of(crew.get("/rooms/")) == ENGLISH
    came_from = {"referer": "http://testserver/jobs/?page=2"}
    assert crew.post("/language/", {"language": SPANISH}, headers=came_from).url == came_from["referer"]
    assert language_of(crew.get("/rooms/", headers={"accept-language": "en"})) == SPANISH
    again = Client()
    again.force_login(crew.member.user)
    assert language_of(again.get("/jobs/")) == SPANISH


def test_one_persons_language_is_not_the_next_ones(crew):
    crew.post("/language/", {"language": SPANISH})
    crew.get("/rooms/")
    other = Client()
    other.force_login(MemberFactory(shop=crew.member.shop, role="viewer").user)
    assert language_of(other.get("/rooms/")) == ENGLISH
    assert translation.get_language() == ENGLISH


def test_nobody_chosen_means_what_the_browser_asks_for(crew):
    assert language_of(crew.get("/rooms/", headers={"accept-language": "es"})) == SPANISH
    assert language_of(crew.get("/rooms/", headers={"accept-language": "fi"})) == ENGLISH


@pytest.mark.parametrize("odd", ["", "xx", "es", "\x00", "e" * 5000])
def test_a_language_nobody_offers_changes_nothing(crew, odd):
    crew.post("/language/", {"language": odd})
    crew.member.user.refresh_from_db()
    assert crew.member.user.language == ""


def test_it_goes_back_to_this_server_alone(crew):
    away = {"referer": "https://evil.example/"}
    assert crew.post("/language/", {"language": SPANISH}, headers=away).url == "/rooms/"


def test_paper_in_both_languages_has_each_word_once_where_they_are_alike():
    with printed_in(BOTH):
        assert side_by_side(_("Rooms")) == "Rooms / Cuartos"
        assert side_by_side(_("Ceilingbook of nobody")) == "Ceilingbook of nobody"
    with printed_in(SPANISH):
        assert _("Rooms") == "Cuartos"
    assert _("Rooms") == "Rooms"


def test_a_sentence_stands_whole_in_one_language_and_then_in_the_other():
    with printed_in(BOTH):
        wall = _("left wall")
        said = _("%(start)s to %(end)s") % {"start": wall, "end": _("right wall")}
    assert side_by_side(f"{said} 148") == "left wall to right wall / pared izquierda a pared derecha 148"


@pytest.mark.parametrize("cut", range(1, 24))
def test_a_sentence_cut_short_is_still_words(cut):
    with printed_in(BOTH):
        said = _("left wall")
    assert not set(side_by_side(said[:cut])) & set("\ue000\ue001\ue002")


def test_paper_nobody_chose_a_language_for_is_in_the_readers_own():
    assert [paper_language(asked) for asked in (None, "", "fi", BOTH)] == [ENGLISH, ENGLISH, ENGLISH, BOTH]
    with printed_in(SPANISH):
        assert paper_language("") == SPANISH
