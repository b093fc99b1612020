"""The documents that people read, and what stands in them: boxes of commands, links, tables."""

import re
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GUIDE = ROOT / "projects" / "guide"
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(GUIDE.glob("*.md"))]
BOX = re.compile(r"^( *)```(\w*)\n(.*?)^\1```$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")


def name_of(page):
    return page.relative_to(ROOT).as_posix()


@cache
def text_of(page):
    return page.read_text()


def boxes(page):
    """(language, text) of each fenced box, its indent taken off."""
    return [
        (language, "\n".join(line.removeprefix(indent) for line in body.splitlines()))
        for indent, language, body in BOX.findall(text_of(page))
    ]


def commands(page):
    """The lines of the boxes without a language, what is said behind a # taken off."""
    lines = [line for language, body in boxes(page) if not language for line in body.splitlines()]
    return [line for line in (re.sub(r"\s+#.*$", "", line).strip() for line in lines) if line]


def prose(page):
    """The page without its boxes."""
    return BOX.sub("", text_of(page))


def links(page):
    return LINK.findall(prose(page))


def anchors(page):
    """As renderers make them of headings: small letters, hyphens, no punctuation."""
    heads = re.findall(r"^#+ (.+)$", prose(page), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).strip().replace(" ", "-") for head in heads}
