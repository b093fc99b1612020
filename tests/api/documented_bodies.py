"""For every operation of the API that changes something, a request that its description lets a program send.

A body is made from the description alone: its example, else each name that has to be there, by its kind. What the
description can't say (a key of this shop's list, a digest that was read, what has to be done first) stands in
`tests/api/documented_states.py`, by operation.
"""

from itertools import count

from tests.api.test_nobody_writes import DESCRIBED, JSON, resolved

FRESH = count(1)
METHODS = ("post", "put", "patch", "delete")
# Whose id a name in a body stands for.
IDS = {
    "room": "room_id", "rooms": "room_id", "neighbor": "room_id", "homerun_room": "room_id", "job": "job_id",
    "member": "member_id", "fixture_type": "type_id", "light_type": "type_id", "change": "change_id",
    "line": "line_id", "circuit": "circuit_id", "control_type": "control_id", "photometric": "file_id",
    "work": "work_id", "entry": "entry_id", "move": "move_id", "speaker_type": "type_id",
    "subwoofer_type": "type_id", "before": "revision_id", "after": "revision_id",
}  # fmt: skip


def operations():
    """{operationId: (METHOD, address, shape of its JSON body or None, its example)}, but for what takes files."""
    return {
        operation["operationId"]: (method.upper(), address, *_body(operation))
        for address, methods in DESCRIBED["paths"].items()
        for method, operation in methods.items()
        if method in METHODS
    }


def _body(operation):
    content = operation.get("requestBody", {}).get("content", {})
    said = content.get(JSON, {})
    return said.get("schema"), said.get("example"), bool(content) and JSON not in content


OPERATIONS = operations()
WITH_FILES = {name for name, (*_rest, files) in OPERATIONS.items() if files}


def body_of(operation, ids):
    """What the description asks for and no more; None where there is no body."""
    _method, _address, shape, example, _files = OPERATIONS[operation]
    if shape is None:
        return None
    return dict(example) if example else value("", resolved(shape), ids)


def value(name, shape, ids):
    shape = resolved(shape)
    for many in ("oneOf", "anyOf", "allOf"):
        if many in shape:
            one = [resolved(each) for each in shape[many]]
            return "24 in" if any("nm" in each.get("properties", {}) for each in one) else value(name, one[0], ids)
    kinds = shape.get("type", "string")
    kind = kinds if isinstance(kinds, str) else kinds[0]
    if shape.get("enum"):
        return next(each for each in shape["enum"] if each not in ("", None))
    if kind == "object":
        needed = shape.get("required", ())
        return {each: value(each, inner, ids) for each, inner in shape.get("properties", {}).items() if each in needed}
    if kind == "array":
        return [value(name, shape.get("items", {}), ids)]
    if kind == "integer":
        return ids.get(IDS[name], 1) if name in IDS else max(shape.get("minimum", 1), 1)
    if kind in ("boolean", "number"):
        return kind == "boolean"
    return words(name, shape)


def words(name, shape):
    """A day, a number, else words nobody used yet."""
    plain = {"date": "2026-05-03", "decimal": "10"}
    if shape.get("format") in plain:
        return plain[shape["format"]]
    return f"Own {next(FRESH)}"[: shape.get("maxLength", 80)]


# Ids that stand in a body

# Numbers that are no record's: counts, marks on a jacket, versions, and what is numbered within its own room or job.
NO_IDS = set("""
    awg band_hz base bay breaker_amps ceiling_percent ceiling_version color_ra columns count
    days dim_percent door_percent draft_version end_mark far_percent floor_percent format fraction from_x from_y gangs
    glare_ugr items leeway_deg left_percent lights_per_row lumens mark months nm number opacity percent pieces place
    quantity revision right_percent round_to row rows seen setup_version speaker_columns speaker_gaps speaker_rows
    speakers_between stage start_mark takeoff through_awg through_conductors times to_x to_y validity_days volts
    wall_percent year_built""".split())  # noqa: SIM905
WORDS_THAT_ARE_IDS = {"target_key": "target_key"}


def id_paths(operation):
    """[(path, name)] of every place in the body that may hold a record's id; a list's first row is 0.

    How many leftovers there are now is called a change, too.
    """
    _method, _address, shape, *_rest = OPERATIONS[operation]
    if shape is None:
        return []
    return [found for found in _ids_in(resolved(shape), ()) if (operation, found[1]) != ("count_leftovers", "change")]


def _ids_in(shape, path):
    shape = resolved(shape)
    name = next((step for step in reversed(path) if isinstance(step, str)), "")
    kinds = shape.get("type", ())
    if "integer" in ([kinds] if isinstance(kinds, str) else kinds) and name not in NO_IDS:
        yield path, name
    if name in WORDS_THAT_ARE_IDS and path[-1] == name:
        yield path, name
    for many in ("oneOf", "anyOf", "allOf"):
        for inner in shape.get(many, ()):
            yield from _ids_in(inner, path)
    for step, inner in shape.get("properties", {}).items():
        yield from _ids_in(inner, (*path, step))
    if "items" in shape:
        yield from _ids_in(shape["items"], (*path, 0))


def with_id(operation, body, path, number, ids):
    """The body with this id at that place; what has to stand around it there is made from the description."""
    _method, _address, shape, *_rest = OPERATIONS[operation]
    return _put(body, path, number, resolved(shape), ids)


def _put(body, path, number, shape, ids):
    if not path:
        return number
    shape = _holding(resolved(shape), path[0])
    step, rest = path[0], path[1:]
    if step == 0:
        inner = resolved(shape["items"])
        first = body[0] if isinstance(body, list) and body else value("", inner, ids)
        return [_put(first, rest, number, inner, ids), *(body[1:] if isinstance(body, list) else ())]
    inner = resolved(shape["properties"][step])
    kept = body if isinstance(body, dict) else value("", shape, ids)
    there = kept.get(step)
    return kept | {step: _put(there if there is not None else None, rest, number, inner, ids)}


def _holding(shape, step):
    """Of several shapes the one that has this step in it."""
    some = [resolved(each) for many in ("oneOf", "anyOf", "allOf") for each in shape.get(many, ())] or [shape]
    return next(each for each in some if (step == 0 and "items" in each) or step in each.get("properties", {}))
