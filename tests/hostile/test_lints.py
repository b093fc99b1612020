"""What the code itself must not hold: each of these has let a stranger in somewhere else."""

import ast
from functools import cache
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
PARTS = ("projects", "layout", "reports")
# Where SVG or HTML of our own goes into a page as it is; the words in it are escaped where they are put in.
MARKED_SAFE = {
    "layout/as_built/page.py", "layout/editor/web.py", "layout/furniture/page.py", "layout/offers/ways.py",
    "layout/room_page.py", "layout/sound/example.py", "layout/switching/page.py", "projects/catalogue/light_showing.py",
    "reports/approvals/showing.py", "reports/bids/papers_web.py", "reports/bids/showing.py", "reports/cables/web.py",
    "reports/days/web.py", "reports/documents/packet.py", "reports/documents/qr.py", "reports/field/room_web.py",
    "reports/marking/hole.py", "reports/marking/since.py", "reports/marking/web.py", "reports/rooms/lines.py",
    "reports/takeoffs/web.py", "reports/web.py",
}  # fmt: skip
SAFE_IN_TEMPLATES = {
    "layout/light/templates/light/_picture.html", "layout/templates/layout/sound/_picture.html",
    "reports/rooms/templates/overview/_stages.html", "reports/rooms/templates/overview/numbers.html",
    "reports/templates/reports/_light_picture.html",
}  # fmt: skip
# Where SQL is written by hand: whole-database work, triggers and locks; no word of a person goes into a statement.
SQL_BY_HAND = (
    "projects/history/", "projects/keeping/", "projects/platform/health.py", "projects/walls/",
)  # fmt: skip
GIVEN = {"GET", "POST", "data", "query_params", "FILES", "COOKIES", "headers", "META"}


@cache
def sources():
    paths = [path for part in PARTS for path in (TOP / part).rglob("*.py")]
    return {str(path.relative_to(TOP)): ast.parse(path.read_text()) for path in paths if "migrations" not in path.parts}


@cache
def nodes(tree):
    return list(ast.walk(tree))


@cache
def templates():
    return {str(path.relative_to(TOP)): path.read_text() for part in PARTS for path in (TOP / part).rglob("*.html")}


def calls(tree, *names):
    """Lines on which a function of one of these names is called."""
    return [
        node.lineno
        for node in nodes(tree)
        if isinstance(node, ast.Call)
        and (getattr(node.func, "attr", None) in names or getattr(node.func, "id", None) in names)
    ]


def spread(tree):
    """Lines on which what a request brought goes into a call as names of its own: f(**request.GET)."""
    return [
        node.value.lineno
        for node in nodes(tree)
        if isinstance(node, ast.keyword) and node.arg is None and _given(node.value)
    ]


def _given(value):
    """What a request brought, as it is: not what a form made of it."""
    match value:
        case ast.Attribute(attr=name):
            return name in GIVEN
        case ast.Call(func=ast.Attribute(value=inner, attr="dict" | "items" | "copy")):
            return _given(inner)
        case ast.Call(func=ast.Name(id="dict"), args=[inner]):
            return _given(inner)
        case ast.DictComp(generators=loops):
            return any(_given(loop.iter) for loop in loops)
    return False


def by_hand(tree):
    """Lines that write SQL: a cursor, raw(), extra(), RawSQL."""
    return calls(tree, "RawSQL") + [
        node.lineno
        for node in nodes(tree)
        if isinstance(node, ast.Call) and getattr(node.func, "attr", None) in ("raw", "extra", "cursor")
    ]


def where(lines_of):
    return {f"{path}:{line}" for path, tree in sources().items() for line in lines_of(tree)}


def test_no_shape_is_mended_by_a_library():
    """make_valid takes minutes over a scribble, and changes a dimension in silence."""
    assert where(lambda tree: calls(tree, "make_valid", "buffer")) == set()


def test_printing_never_uses_the_printer_s_own_fetcher():
    assert where(lambda tree: calls(tree, "default_url_fetcher")) == set()
    printing = {path for path, tree in sources().items() if calls(tree, "URLFetcher") or _imports(tree, "weasyprint")}
    assert printing == {"reports/documents/press_child.py"}


def _imports(tree, package):
    return any(
        (isinstance(node, ast.Import) and any(one.name.split(".")[0] == package for one in node.names))
        or (isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == package)
        for node in nodes(tree)
    )


def test_what_a_request_brought_is_never_spread_into_a_call():
    assert where(spread) == set()


def test_text_is_marked_as_html_in_named_places_only():
    found = {path for path, tree in sources().items() if calls(tree, "mark_safe", "SafeString", "SafeText")}
    assert found - MARKED_SAFE == set()
    assert MARKED_SAFE - found == set(), "no longer needed"


def test_templates_let_html_through_in_named_places_only():
    found = {path for path, text in templates().items() if "|safe" in text or "autoescape off" in text}
    assert found == SAFE_IN_TEMPLATES


def test_sql_is_written_by_hand_in_named_places_only():
    assert {place for place in where(by_hand) if not place.startswith(SQL_BY_HAND)} == set()


def test_nothing_is_unpickled_or_evaluated():
    unpickled = where(lambda tree: calls(tree, "eval", "exec", "Unpickler", "load_module"))
    assert unpickled == set()
    assert {path for path, tree in sources().items() if _imports(tree, "pickle") or _imports(tree, "shelve")} == set()


def _system(tree):
    return [node.lineno for node in nodes(tree) if isinstance(node, ast.Attribute) and node.attr == "system" and
            getattr(node.value, "id", "") == "os"]  # fmt: skip


def test_no_command_goes_through_a_shell():
    shells = {
        f"{path}:{node.lineno}"
        for path, tree in sources().items()
        for node in nodes(tree)
        if isinstance(node, ast.keyword) and node.arg == "shell"
    }
    assert shells == set() and where(lambda tree: calls(tree, "popen")) == set()
    assert where(_system) == set()


@pytest.mark.parametrize(
    ("rule", "code"),
    [
        (spread, "rows.filter(**request.GET.dict())"),
        (spread, "rows.filter(**{k: v for k, v in self.request.query_params.items()})"),
        (spread, "rows.filter(**dict(request.data))"),
        (by_hand, "rows.raw('SELECT 1')"),
        (by_hand, "connection.cursor()"),
        (lambda tree: calls(tree, "mark_safe"), "mark_safe(name)"),
        (lambda tree: calls(tree, "make_valid"), "shapely.make_valid(ring)"),
    ],
)
def test_each_rule_can_be_broken(rule, code):
    assert rule(ast.parse(code)) == [1]


DAYS_OF_THEIR_OWN = {  # each with a bound of its own, narrower or for another reason
    "projects/history/forms.py", "projects/joining/forms.py", "projects/platform/forms.py", "reports/changes/forms.py",
    "reports/close_out/forms.py", "reports/prices/forms.py", "reports/purchasing/forms.py",
}  # fmt: skip


def test_row_70_no_form_takes_a_day_without_a_first_and_a_last():
    bare = {path for path, tree in sources().items() if _days(tree)}
    assert bare - DAYS_OF_THEIR_OWN == set()


def _days(tree):
    """Boxes for a day made of the plain class, and classes of their own made of it."""
    called = [node for node in nodes(tree) if isinstance(node, ast.Call)]
    return [node for node in called if ast.unparse(node.func) == "forms.DateField"] + _day_classes(tree)


def _day_classes(tree):
    return [
        node.name
        for node in nodes(tree)
        if isinstance(node, ast.ClassDef) and any(ast.unparse(base) == "forms.DateField" for base in node.bases)
    ]
