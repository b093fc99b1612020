"""What the documents say is there: links, files, tests, settings, pages' words; and what they must not say."""

import re
from functools import cache

import pytest
from django.core.management import get_commands
from PIL import Image

from tests.guide.pages import GUIDE, PAGES, ROOT, anchors, boxes, links, name_of, prose, text_of

pages = pytest.mark.parametrize("page", PAGES, ids=name_of)
SET_BY_COMMANDS = {"CEILINGBOOK_RESTARTED", "CEILINGBOOK_DRILL"}
OUTSIDE_OF_SETTINGS = {"DATABASE_URL"}
TELL_OF_SCREENS = [GUIDE / name for name in ("tutorial.md", "how-to.md", "api.md")]
TOP = ("projects/", "layout/", "reports/", "tests/", "fixtures/", ".ci/")


@pages
def test_a_link_leads_somewhere(page):
    for link in links(page):
        if link.startswith("https://"):
            continue  # somebody else's page is not asked
        path, _, anchor = link.partition("#")
        there = (page.parent / path).resolve() if path else page
        assert there.is_file(), link
        assert not anchor or anchor in anchors(there), link


def test_every_page_of_the_guide_is_in_its_contents():
    told = {link.partition("#")[0] for link in links(GUIDE / "index.md")}
    assert told >= {page.name for page in GUIDE.glob("*.md")} - {"index.md"}
    assert any(link == "projects/guide/index.md" for link in links(ROOT / "README.md"))


@pages
def test_a_file_that_is_named_is_there(page):
    for named in re.findall(r"`([\w./*-]+/[\w./*-]*)`", prose(page)):
        if named.startswith(TOP) and "*" not in named:
            assert (ROOT / named).exists(), named


@pages
def test_a_test_that_is_named_is_there(page):
    for path, test in re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", prose(page)):
        assert f"def {test}" in (ROOT / path).read_text(), f"{path}::{test}"


@pages
def test_a_command_that_is_named_is_there(page):
    named = re.findall(r"manage\.py ([a-z_]+)", text_of(page))
    assert set(named) <= set(get_commands()) | {"help"}


@pages
def test_no_page_says_of_a_design_that_it_complies(page):
    for found in re.finditer(r"\b(compl(?:y|ies|iant|iance)|certified)\b", text_of(page), re.IGNORECASE):
        before = text_of(page)[max(found.start() - 80, 0) : found.start()]
        assert re.search(r"\b(never|nothing|not|no)\b", before, re.IGNORECASE), before + found[0]


@pages
def test_a_page_has_one_title_and_says_it_first(page):
    assert text_of(page).startswith("# ")
    assert len(re.findall(r"^# ", prose(page), re.MULTILINE)) == 1


@cache
def read_by_code():
    """Every variable of ours that Python, shell or the deployment's files read."""
    places = [*ROOT.glob("*.py"), *(ROOT / ".ci").iterdir()]
    for part in ("projects", "layout", "reports"):
        places += [path for path in (ROOT / part).rglob("*.*") if path.suffix in (".py", ".sh")]
    return {name for path in places for name in re.findall(r"CEILINGBOOK_[A-Z_]*[A-Z]", path.read_text())}


def test_every_setting_that_code_reads_is_told_with_what_it_is_when_unset():
    rows = re.findall(r"^\| (`[^|]+) \| [^|]+ \| [^|]+ \|$", text_of(GUIDE / "settings.md"), re.MULTILINE)
    told = {name for row in rows for name in re.findall(r"`([A-Z_]+)`", row)}
    assert told == (read_by_code() - SET_BY_COMMANDS) | OUTSIDE_OF_SETTINGS


def test_a_server_s_example_sets_nothing_that_is_not_told():
    example = (ROOT / "projects/deploy/env.example").read_text()
    assert set(re.findall(r"^#?\s?([A-Z_]{6,})=", example, re.MULTILINE)) <= read_by_code() | OUTSIDE_OF_SETTINGS


@cache
def words_on_screens():
    catalog = (ROOT / "projects/locale/es/LC_MESSAGES/django.po").read_text()
    return set(re.findall(r'^msgid "(.+)"$', catalog, re.MULTILINE))


@pytest.mark.parametrize("page", TELL_OF_SCREENS, ids=name_of)
def test_what_is_pressed_is_called_as_on_the_screen(page):
    told = set(re.findall(r"\*\*([^*]+)\*\*", prose(page)))
    assert told and told <= words_on_screens(), told - words_on_screens()


@pages
def test_a_picture_is_small_and_says_what_it_shows(page):
    for words, path in re.findall(r"!\[([^\]]*)\]\(([^)]+)\)", prose(page)):
        picture = (page.parent / path).resolve()
        assert len(words) > 10 and picture.stat().st_size < 300_000, path
        with Image.open(picture) as opened:
            assert min(opened.size) >= 400


@pages
def test_a_box_is_of_a_kind_that_is_tried(page):
    assert {language for language, _ in boxes(page)} <= {"", "json", "python"}
