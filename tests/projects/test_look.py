"""What every page looks like: contrast, nothing inline, nothing from outside, the trade's spelling."""

import ast
import re
from itertools import product
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

ROOT = Path(__file__).resolve().parents[2]
PARTS = ("projects", "layout", "reports")
APP_CSS = ROOT / "projects/platform/static/platform/css/app.css"

TEXT = ("ink", "pencil", "accent", "good", "warn", "bad")
GROUNDS = ("paper", "sheet", "lit")


def files(*suffixes):
    return sorted(path for part in PARTS for path in (ROOT / part).rglob("*") if path.suffix in suffixes)


def short(path):
    return str(path.relative_to(ROOT))


def tokens(selector):
    """The color tokens of the first rule with this selector that holds any, as {name: "#rrggbb"}."""
    for block in re.findall(re.escape(selector) + r"\s*{([^}]*)}", APP_CSS.read_text()):
        if found := dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", block)):
            return found
    raise AssertionError(f"{selector} holds no colors")


LIGHT = tokens(":root")
DARK = tokens(':root[data-theme="dark"]')
DARK_BY_SYSTEM = tokens(':root:not([data-theme="light"])')
THEMES = {"light": LIGHT, "dark": DARK}


def luminance(color):
    """Relative luminance of "#rrggbb". Source: WCAG 2.2, definition of relative luminance, from memory."""
    channels = (int(color[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    """Source: WCAG 2.2, definition of contrast ratio, from memory."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_the_contrast_of_known_pairs_is_the_published_one():
    """Black on white is 21:1 (WCAG 2.2); #767676 is known as the lightest gray that passes on white (from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("theme", THEMES)
def test_text_can_be_read_on_every_ground(theme):
    """4.5:1 for text of any size (WCAG 2.2, 1.4.3)."""
    colors = THEMES[theme]
    faint = {pair: contrast(colors[pair[0]], colors[pair[1]]) for pair in product(TEXT, GROUNDS)}
    assert {pair: round(ratio, 2) for pair, ratio in faint.items() if ratio < 4.5} == {}


@pytest.mark.parametrize("theme", THEMES)
def test_boxes_and_lines_can_be_seen_on_every_ground(theme):
    """3:1 for the edges of controls, and for what shows focus (WCAG 2.2, 1.4.11)."""
    colors = THEMES[theme]
    pairs = [*product(("rule",), ("paper", "sheet")), *product(("accent",), GROUNDS)]
    assert [pair for pair in pairs if contrast(colors[pair[0]], colors[pair[1]]) < 3] == []


def test_dark_is_the_same_whether_the_system_or_the_person_asks():
    assert DARK == DARK_BY_SYSTEM
    assert DARK.keys() == LIGHT.keys()


# --- nothing inline, nothing from outside: the content security policy would silence it, or a site without signal


def inline(text):
    """What the policy refuses in a template: style attributes and elements, scripts without src, on… handlers."""
    text = re.sub(r"{#.*?#}|{% comment %}.*?{% endcomment %}", "", text, flags=re.S)
    patterns = (r"\sstyle\s*=", r"<style\b", r"<script\b(?![^>]*\bsrc=)[^>]*>", r"<[^>]*\son[a-z]+\s*=", r"javascript:")
    return [found.group() for pattern in patterns for found in re.finditer(pattern, text, re.I)]


def outside(text):
    """Hosts named in a file; the name of an XML namespace is no host."""
    text = re.sub(r"http://www\.w3\.org/\d{4}/\w+", "", text)
    return re.findall(r"""(?:https?:)?//[\w-]+\.[\w.-]+""", text)


@pytest.mark.parametrize(
    "text",
    [
        '<p style="color:red">',
        "<style>p{}</style>",
        "<script>go()</script>",
        '<a onclick="go()">',
        '<a href="javascript:go()">',
    ],
)
def test_each_kind_of_inline_is_seen(text):
    assert inline(text)


@pytest.mark.parametrize("text", ['src="https://fonts.example.com/a.css"', "url(//cdn.example.com/x.png)"])
def test_each_kind_of_outside_host_is_seen(text):
    assert outside(text)


def for_a_browser(text):
    """The template without the sheet size that a document for the printer alone (its styles are asset:) has to set."""
    return re.sub(r"<style>@page {.*}</style>", "", text) if 'href="asset:' in text else text


def test_no_template_carries_a_style_or_a_script_of_its_own():
    texts = {short(path): for_a_browser(path.read_text()) for path in files(".html")}
    assert {name: found for name, text in texts.items() if (found := inline(text))} == {}


def test_pages_styles_and_scripts_name_no_outside_host():
    assert {short(p): found for p in files(".html", ".css", ".js", ".svg") if (found := outside(p.read_text()))} == {}


def test_every_static_file_a_page_or_a_style_names_is_there():
    static = re.compile(r"{% static [\"']([^\"']+)[\"'] %}")
    named = {name for path in files(".html") for name in static.findall(path.read_text())}
    assert named
    assert [name for name in sorted(named) if finders.find(name) is None] == []
    for path in files(".css"):
        for name in re.findall(r"url\(\"?([^\")]+)\"?\)", path.read_text()):
            if "static/platform" in short(path):
                assert (path.parent / name).is_file(), f"{short(path)} names {name}"


# --- spelling and words

OTHER_SPELLING = re.compile(r"\b(?:colour|centre|metre|millimetre|labour|aluminium|grey)", re.I)
SOLVER_WORDS = re.compile(r"\b(?:infeasib|objective|unevenness|repair)", re.I)
SPEAKS = {"_", "gettext", "gettext_lazy", "ngettext", "ngettext_lazy", "pgettext", "pgettext_lazy"}


def said(source):
    """The strings in Python code that people will read: those given to gettext, and those of raised errors."""
    for node in ast.walk(ast.parse(source)):
        called = isinstance(node, ast.Call) and getattr(node.func, "id", getattr(node.func, "attr", "")) in SPEAKS
        if called or isinstance(node, ast.Raise):
            for part in ast.walk(node):
                if isinstance(part, ast.Constant) and isinstance(part.value, str):
                    yield part.value


def test_what_people_read_in_code_is_found():
    assert [*said('x = _("the centre")')] == ["the centre"]
    assert [*said('raise ValueError(f"no repair for {x}")')] == ["no repair for "]


@pytest.fixture(scope="module")
def read():
    """What people read, by the file it stands in."""
    shown = {short(p): p.read_text() for p in files(".html", ".js", ".css")}
    return shown | {short(p): "\n".join(said(p.read_text())) for p in files(".py")}


@pytest.mark.parametrize("words", [OTHER_SPELLING, SOLVER_WORDS], ids=["other spelling", "solver words"])
def test_what_people_read_is_spelled_as_the_trade_does_here(read, words):
    wrong = {path: words.findall(text) for path, text in read.items()}
    assert {path: found for path, found in wrong.items() if found} == {}


@pytest.mark.parametrize("page", ["400.html", "403.html", "403_csrf.html", "404.html", "500.html"])
def test_an_error_page_stands_without_a_person_a_shop_or_a_request_and_says_what_to_do(page):
    html = render_to_string(page)
    assert "<h1>" in html
    assert re.search(r"Go back|Look for it|can give you", html)
    assert 'class="who"' not in html
