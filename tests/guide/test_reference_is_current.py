"""The guide's reference is what the code says, and tells each command, action and problem."""

from django.core.management import CommandError, call_command, get_commands

from projects.platform.api.problem_types import TYPES
from projects.platform.parts import PARTS
from projects.platform.permissions import ACTIONS, SCOPES
from projects.platform.reference import QUIET
from tests.guide.pages import GUIDE, anchors, text_of

PAGE = GUIDE / "reference.md"


def test_the_kept_page_is_current():
    call_command("reference", "--check")


def test_a_page_that_says_something_else_is_told(monkeypatch, tmp_path):
    other = tmp_path / "reference.md"
    other.write_text(text_of(PAGE).replace("| `stale` | 412 |", "| `stale` | 409 |"))
    monkeypatch.setattr("projects.platform.management.commands.reference.KEPT", other)
    try:
        call_command("reference", "--check")
    except CommandError as said:
        assert "not current" in str(said)
    else:
        raise AssertionError("a changed page was taken for current")


def test_each_of_our_commands_action_scope_and_problem_is_in_it():
    ours = {name for name, app in get_commands().items() if app.split(".")[0] in PARTS} - QUIET
    assert ours <= anchors(PAGE)
    text = text_of(PAGE)
    for word in (*ACTIONS, *(f"`{scope}`" for scope in SCOPES), *(f"`{one.slug}`" for one in TYPES.values())):
        assert f"| {word} |" in text, word
