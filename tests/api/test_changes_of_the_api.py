"""The description in the repository is the one that is served, and what would break a program is found."""

import copy
import io
import json

import pytest
from django.core.management import CommandError, call_command

from projects.platform.api.changes import breaking, without_words
from projects.platform.management.commands import api_changes

ROOM = {
    "type": "object",
    "properties": {
        "id": {"type": "integer"},
        "name": {"type": "string", "maxLength": 80},
        "kind": {"type": "string", "enum": ["board", "tile"]},
        "note": {"type": ["string", "null"]},
        "title": {"type": "string"},
    },
    "required": ["id", "name"],
}
BODY = {
    "type": "object",
    "properties": {
        "name": {"type": "string", "maxLength": 80},
        "kind": {"type": "string", "enum": ["board", "tile"]},
        "count": {"type": "integer", "minimum": 1},
    },
    "required": ["name"],
    "additionalProperties": False,
}


def answer(shape):
    return {"description": "It", "content": {"application/json": {"schema": shape}}}


def described():
    return {
        "paths": {
            "/rooms/": {
                "get": {
                    "operationId": "rooms",
                    "parameters": [{"name": "stage", "in": "query", "schema": {"type": "integer", "maximum": 9}}],
                    "responses": {
                        "200": answer({"type": "array", "items": {"$ref": "#/components/schemas/Room"}}),
                        "4XX": {"$ref": "#/components/responses/Problem"},
                    },
                },
                "post": {
                    "operationId": "add_room",
                    "requestBody": {"content": {"application/json": {"schema": {"$ref": "#/components/schemas/Body"}}}},
                    "responses": {"201": answer({"$ref": "#/components/schemas/Room"})},
                },
            }
        },
        "components": {
            "schemas": {"Room": copy.deepcopy(ROOM), "Body": copy.deepcopy(BODY)},
            "responses": {"Problem": answer({"type": "object"})},
        },
    }


def after(change):
    now = described()
    change(now, now["paths"]["/rooms/"], now["components"]["schemas"]["Room"], now["components"]["schemas"]["Body"])
    return breaking(described(), now)


BREAKS = {
    "an address is gone": lambda all, rooms, room, body: all["paths"].clear(),
    "a method is gone": lambda all, rooms, room, body: rooms.pop("post"),
    "a question is gone": lambda all, rooms, room, body: rooms["get"]["parameters"].clear(),
    "a question takes less": lambda all, rooms, room, body: rooms["get"]["parameters"][0]["schema"].update(maximum=5),
    "a question has to be asked": lambda all, rooms, room, body: rooms["get"]["parameters"][0].update(required=True),
    "a header has to be sent": lambda all, rooms, room, body: rooms["post"].update(
        parameters=[{"name": "If-Match", "in": "header", "required": True, "schema": {"type": "string"}}]
    ),
    "an answer is gone": lambda all, rooms, room, body: rooms["post"]["responses"].pop("201"),
    "a field is answered no more": lambda all, rooms, room, body: room["properties"].pop("kind"),
    "a field may be missing": lambda all, rooms, room, body: room["required"].remove("name"),
    "a field is of another type": lambda all, rooms, room, body: room["properties"].update(id={"type": "string"}),
    "a field may be null": lambda all, rooms, room, body: room["properties"].update(name={"type": ["string", "null"]}),
    "a field is taken no more": lambda all, rooms, room, body: body["properties"].pop("count"),
    "a field has to be sent": lambda all, rooms, room, body: body["required"].append("count"),
    "a choice is gone": lambda all, rooms, room, body: body["properties"]["kind"]["enum"].remove("tile"),
    "a text is to be shorter": lambda all, rooms, room, body: body["properties"]["name"].update(maxLength=40),
    "a number is to be larger": lambda all, rooms, room, body: body["properties"]["count"].update(minimum=2),
    "a field takes another type": lambda all, rooms, room, body: body["properties"].update(count={"type": "string"}),
    "JSON is taken no more": lambda all, rooms, room, body: rooms["post"]["requestBody"].update(
        content={"text/csv": {}}
    ),
}
BREAKS_NOTHING = {
    "nothing changed": lambda all, rooms, room, body: None,
    "a new address": lambda all, rooms, room, body: all["paths"].update({"/jobs/": {"get": {"responses": {}}}}),
    "a new question": lambda all, rooms, room, body: rooms["get"]["parameters"].append(
        {"name": "level", "in": "query", "schema": {"type": "string"}}
    ),
    "a question takes more": lambda all, rooms, room, body: rooms["get"]["parameters"][0]["schema"].update(maximum=20),
    "a new field in an answer": lambda all, rooms, room, body: room["properties"].update(size={"type": "integer"}),
    "an answer says less in a field": lambda all, rooms, room, body: room["properties"].update(note={"type": "string"}),
    "a new field that may be sent": lambda all, rooms, room, body: body["properties"].update(note={"type": "string"}),
    "a new choice": lambda all, rooms, room, body: body["properties"]["kind"]["enum"].append("stretch"),
    "a field need not be sent": lambda all, rooms, room, body: body["required"].clear(),
    "a field takes more types": lambda all, rooms, room, body: body["properties"].update(
        count={"type": ["integer", "null"]}
    ),
    "other words": lambda all, rooms, room, body: room.update(description="A room"),
}


@pytest.mark.parametrize("change", BREAKS.values(), ids=BREAKS)
def test_what_a_program_written_before_would_trip_over_is_told_once(change):
    said = after(change)
    assert said and all("/rooms/" in each for each in said)


@pytest.mark.parametrize("change", BREAKS_NOTHING.values(), ids=BREAKS_NOTHING)
def test_what_it_need_not_know_of_is_not_told(change):
    assert after(change) == []


def test_without_the_words_for_people_the_same_is_found():
    told = without_words(described())
    assert told["components"]["schemas"]["Room"]["properties"].keys() == ROOM["properties"].keys()
    assert breaking(told, described()) == [] == breaking(described(), told)


@pytest.fixture(scope="module")
def now():
    return api_changes.written()


def test_the_description_in_the_repository_is_the_one_that_is_served(now):
    """After a change: manage.py api_changes --keep."""
    if api_changes.KEPT.read_text() != now:
        pytest.fail("not current: manage.py api_changes --keep")


def test_nothing_since_the_last_release_breaks_a_program(now):
    """On purpose: manage.py api_changes --release, with a line in the changelog."""
    assert breaking(json.loads(api_changes.RELEASED.read_text()), json.loads(now)) == []


def test_the_command_ends_with_an_error_where_something_breaks(monkeypatch, tmp_path):
    before, less = described(), described()
    del less["paths"]["/rooms/"]["post"]
    for name, told in (("RELEASED", before), ("KEPT", less)):
        monkeypatch.setattr(api_changes, name, tmp_path / name)
        (tmp_path / name).write_text(json.dumps(told))
    monkeypatch.setattr(api_changes, "written", lambda: json.dumps(less))
    out = io.StringIO()
    with pytest.raises(CommandError, match="1 changes"):
        call_command("api_changes", "--json", stdout=out)
    assert json.loads(out.getvalue()) == {"breaking": ["POST /rooms/: is there no more"], "kept_is_current": True}


def test_it_is_the_same_in_each_process_and_each_language(now):
    from django.utils import translation

    with translation.override("es"):
        assert api_changes.written() == now
