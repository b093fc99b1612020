"""The guide's reference as text: what the code itself says of its commands, permissions and problems. A test keeps it.

Knows no records and no part above it: commands and, where there are any, events are read from what is registered.
"""

import argparse
from importlib import import_module

from django.apps import apps
from django.core.management import get_commands, load_command_class
from django.utils import translation

from projects.platform.api.problem_types import TYPES
from projects.platform.parts import PARTS
from projects.platform.permissions import ACTIONS, MONEY, PERSONAL, SCOPES, Role

QUIET = {"flush"}  # the framework's own, told to the history too
OTHERS = {
    "test": "Run the tests; everything after it goes to pytest.",
    "migrate": "Bring the database's tables up to date.",
    "collectstatic": "Put the pages' own files where a server hands them out.",
    "check": "Look over settings and code; with `--deploy`, as a server needs them.",
    "createsuperuser": "Not used: an account is made by an invitation, platform staff by `platform_staff`.",
}
HEAD = """# Reference

Made by `manage.py reference --keep` from what the code says; a test holds it current. Don't edit it by hand.

Settings are in [settings.md](settings.md). Every operation of the API, with its fields and examples, is described at
`/api/v1/schema/` of a running server and kept in `projects/platform/api/openapi.json`.
"""


def text() -> str:
    """The whole page, in English."""
    with translation.override("en-us"):
        parts = [HEAD, commands(), permissions(), scopes(), problems(), events()]
    return "\n".join(part for part in parts if part)


def commands() -> str:
    lines = ["## Commands", "", "Each is run as `python3 manage.py NAME`; `--help` says the same.", ""]
    for name, app in sorted(get_commands().items()):
        if app.split(".")[0] in PARTS and name not in QUIET:
            lines += _command(name, load_command_class(app, name))
    lines += ["Of the framework's own:", "", *_table(("command", "what it is for"), _code(OTHERS.items())), ""]
    return "\n".join(lines)


def _command(name, command):
    parser = command.create_parser("manage.py", name)
    base = {action.dest for action in _plain(name)._actions}
    own = [action for action in parser._actions if action.dest not in base or action.dest == "args"]
    lines = [f"### {name}", "", " ".join((command.help or "").split()), ""]
    if own:
        lines += [*_table(("with", "what it does"), [(_called(one), _said(one)) for one in own]), ""]
    return lines


def _plain(name):
    """A parser with nothing but what every command takes."""
    from django.core.management.base import BaseCommand

    return BaseCommand().create_parser("manage.py", name)


def _called(action):
    value = action.metavar or action.dest.upper()
    value = " ".join(value) if isinstance(value, tuple) else value
    if not action.option_strings:
        return f"`{value}`"
    takes = "" if action.nargs == 0 or isinstance(action, argparse._StoreTrueAction) else f" {value}"
    return f"`{action.option_strings[-1]}{takes}`"


def _said(action):
    if not action.help or action.help == argparse.SUPPRESS:
        return ""
    return " ".join(str(action.help).replace("%%", "%").split())


def permissions() -> str:
    head = ("action", *(role.value.replace("_", " ") for role in Role))
    rows = [(action, *("yes" if role in roles else "" for role in Role)) for action, roles in sorted(ACTIONS.items())]
    given = ", ".join(sorted(PERSONAL))
    money = ", ".join(sorted(MONEY))
    return "\n".join([
        "## Permissions", "", "What each role may do (`projects/platform/permissions.py`).", "",
        *_table(head, rows), "",
        f"Given by the owner to a person, whatever the role: {given}.",
        f"Of what shows money others aren't told that it exists: {money}.", "",
    ])  # fmt: skip


def scopes() -> str:
    rows = [(f"`{scope}`", ", ".join(sorted(actions))) for scope, actions in SCOPES.items()]
    return "\n".join([
        "## What a token may be made for", "",
        "Its person's role still decides within it; every token has `read`.", "",
        *_table(("scope", "actions"), rows), "",
    ])  # fmt: skip


def problems() -> str:
    rows = [(f"`{one.slug}`", one.status, one.means, one.remedy) for one in TYPES.values()]
    lines = _table(("type", "status", "what it means", "what to do"), sorted(rows, key=lambda row: (row[1], row[0])))
    head = "The last part of a problem's `type`; each has a page at `/problems/`."
    return "\n".join(["## Problems", "", head, "", *lines, ""])


def events() -> str:
    """What a shop's other programs are told, where this installation tells them: EVENTS of projects.webhooks.events."""
    if not apps.is_installed("projects.webhooks"):
        return ""
    try:
        told = import_module("projects.webhooks.events")
        found = dict(told.EVENTS) | {told.PING: "the endpoint was tried from its page"}
    except (ImportError, AttributeError):
        return ""
    rows = [(f"`{name}`", getattr(said, "words", said)) for name, said in sorted(found.items())]
    return "\n".join(["## Events", "", "What an endpoint of a shop can be told.", "",
                      *_table(("event", "when"), rows), ""])  # fmt: skip


def _code(pairs):
    return [(f"`{name}`", said) for name, said in pairs]


def _table(head, rows):
    def line(cells):
        return "| " + " | ".join(str(cell).replace("|", "\\|").replace("\n", " ") for cell in cells) + " |"

    return [line(head), "|" + "---|" * len(head), *map(line, rows)]
