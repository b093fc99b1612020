"""Spanish is whole: every message has its words and the same holes to fill, and what is served is what is read."""

import re

import pytest

from projects.platform import catalogs

HOLES = re.compile(r"%\(\w+(?:-\w+)?\)[a-z]|(?<!%)%[a-z]|\{\w+\}")


def holes(text):
    return sorted(HOLES.findall(text.replace("%%", "")))


@pytest.fixture(scope="module")
def messages():
    """All that is said anywhere: every file of the product is read for it, once for these tests."""
    return catalogs.messages()


def test_every_message_is_said_in_spanish(messages):
    assert catalogs.untranslated("es", messages) == []


def test_what_is_filled_into_a_message_is_filled_into_its_spanish_too():
    for entry in catalogs.catalog("es"):
        if entry.id and any(entry.string):
            pairs = zip(entry.id, entry.string, strict=True) if entry.pluralizable else [(entry.id, entry.string)]
            for english, spanish in pairs:
                assert holes(spanish) == holes(english), english
                assert (spanish[0] == " ", spanish[-1] == " ") == (english[0] == " ", english[-1] == " "), english


def test_nothing_is_kept_that_nobody_says_any_more(messages):
    found = {message if isinstance(message, str) else message[0] for message in messages}
    kept = {entry.id if isinstance(entry.id, str) else entry.id[0] for entry in catalogs.catalog("es") if entry.id}
    assert kept - found == set()


def test_the_catalog_that_is_served_is_the_one_that_is_read():
    assert catalogs.po_path("es").with_suffix(".mo").read_bytes() == catalogs.compiled("es")


# The trade's own words, as a crew says them. Common practice, no source; a native speaker is to look them over.
GLOSSARY = {
    "joist": "vigueta",
    "speaker": "bocina",
    "center": "centro",
    "wall": "pared|muro",
    "drywall": "panel de yeso",
    "zero corner": "esquina cero",
}


@pytest.mark.parametrize(("english", "spanish"), GLOSSARY.items())
def test_a_word_of_the_trade_is_always_the_same_word(english, spanish):
    word = re.compile(rf"(?<![\w-]){english}s?(?![\w-])", re.IGNORECASE)
    wrong = [
        entry.id
        for entry in catalogs.catalog("es")
        if isinstance(entry.id, str) and entry.string and word.search(HOLES.sub("", entry.id))
        and not re.search(rf"\b(?:{spanish})", entry.string, re.IGNORECASE)
    ]  # fmt: skip
    assert wrong == []
