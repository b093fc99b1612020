"""A card and a checklist in English, in Spanish, or in both side by side, read back from the PDF."""

import io
from dataclasses import replace

import pytest
from django.test import Client
from django.utils.translation import gettext as _
from pypdf import PdfReader

from projects.platform.languages import BOTH, ENGLISH, SPANISH, printed_in
from projects.platform.permissions import Role
from reports.documents.card import card_pdf
from reports.documents.sheet import CheckFirst, CheckLine
from reports.models import CardCopy
from tests.as_built.rooms import crew, marked_room
from tests.conftest import own_copy, standing
from tests.reports.cards import card, den

built = standing(lambda: marked_room(verified=False))


@pytest.fixture
def room(db, built):
    return own_copy(built)


@pytest.fixture
def lead(room):
    client = Client()
    client.force_login(crew(room, Role.CREW_LEAD).user)
    return client


def read(content):
    """(the PDF's language, its pages' text in one line each, in small letters: some of it is set in capitals)."""
    pdf = PdfReader(io.BytesIO(content))
    return pdf.trailer["/Root"]["/Lang"], [" ".join(page.extract_text().split()).lower() for page in pdf.pages]


def printed(lead, room, language, **more):
    said = {"held_by": "Abel", "datum": "framing", "paper": "letter", "language": language} | more
    return lead.post(f"/rooms/{room.pk}/revisions/1/card/print/", said).content


# The trade's words as a crew says them; common practice, no source.
SAID = {
    ENGLISH: ("en-us", "zero:", "center line:", "cutouts", "not verified: do not cut", "left wall"),
    SPANISH: ("es-mx", "cero:", "línea de centro:", "huecos", "sin comprobar: no cortar", "pared izquierda"),
}


@pytest.mark.parametrize("language", SAID)
def test_a_card_is_in_the_language_that_was_chosen(room, lead, language):
    lang, pages = read(printed(lead, room, language))
    own, *words = SAID[language]
    other = SAID[SPANISH if language == ENGLISH else ENGLISH][1:]
    assert lang == own and len(pages) == 1
    assert [word for word in words if word not in pages[0]] == []
    assert [word for word in other if word in pages[0]] == []
    assert CardCopy.objects.of(room.shop).get().language == language


def test_a_card_in_both_says_everything_twice_and_how_it_is_spread(room, lead):
    """Side by side this room's words take more than a page: one sheet in each language, each numbered and signed so."""
    _lang, pages = read(printed(lead, room, BOTH))
    for page, (own, other) in zip(pages, ((ENGLISH, SPANISH), (SPANISH, ENGLISH)), strict=True):
        assert [word for word in SAID[own][1:] if word not in page] == []
        assert [word for word in SAID[other][1:] if word in page] == []
    assert "one sheet in english and one in spanish" in pages[0] and "una hoja en inglés y una en español" in pages[1]


def test_a_card_with_little_to_say_has_both_languages_side_by_side_on_its_page():
    check = CheckFirst((CheckLine("length", "206 3/8"),), "1/4", "Tape it again.")
    sheet = card(den(2, 1, 0), check=check, cautions=())
    with printed_in(BOTH):
        _lang, pages = read(card_pdf(replace(sheet, zero=_("left wall"))))
    assert len(pages) == 1 and "zero: left wall / cero: pared izquierda" in pages[0]
    assert "check first / revise primero" in pages[0]


@pytest.mark.parametrize("language", SAID)
def test_marking_cards_are_had_in_either_language_too(room, lead, language):
    said = {"card": "floor", "held_by": "Abel", "paper": "letter", "language": language}
    lang, pages = read(lead.post(f"/rooms/{room.pk}/marking/card/", said).content)
    assert lang == SAID[language][0] and SAID[language][1] in pages[0]


def test_a_checklist_is_had_in_both_and_says_each_item_twice(room, lead):
    address = f"/rooms/{room.pk}/revisions/1/checklist/?language={BOTH}"
    shown = lead.get(address).content.decode()
    twice = "Every mark is clear of members, ducts and pipes. / Cada marca está libre de viguetas, ductos y tubos."
    assert twice in " ".join(shown.split()) and not set(shown) & set("\ue000\ue001\ue002")
    lang, pages = read(lead.get(f"{address}&paper=letter").content)
    assert lang == "en-us" and twice.lower() in " ".join(pages)
    lang, pages = read(lead.get(f"{address}&paper=letter".replace(BOTH, SPANISH)).content)
    assert lang == "es-mx" and "cada marca" in " ".join(pages) and "every mark" not in " ".join(pages)
