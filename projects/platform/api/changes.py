"""What in an OpenAPI description would break a program that was written to an earlier one. Dicts in, sentences out.

More that may be sent, more that is answered and new addresses break nothing. Less of either, or more that has to be
sent, does.
"""

from typing import Any

METHODS = ("get", "post", "put", "patch", "delete")
WORDS = ("description", "title", "example", "examples")
NAMED = ("properties", "schemas", "paths", "responses", "content", "headers")
Description = dict[str, Any]


def breaking(before: Description, after: Description) -> list[str]:
    """Each change that breaks something, with the address and the place it is at."""
    found: list[str] = []
    for path, methods in before["paths"].items():
        for method, operation in methods.items():
            if method not in METHODS:
                continue
            where, now = f"{method.upper()} {path}", after["paths"].get(path, {}).get(method)
            if now is None:
                found.append(f"{where}: is there no more")
            else:
                found += [f"{where}: {said}" for said in _operation(before, after, operation, now)]
    return found


def without_words(node: Any, *, names: bool = False) -> Any:
    """A description, or a part, without what only people read. names: its keys are names somebody chose."""
    if isinstance(node, dict):
        return {
            key: without_words(value, names=key in NAMED)
            for key, value in node.items()
            if names or key not in WORDS
        }
    return [without_words(each) for each in node] if isinstance(node, list) else node


def _operation(before, after, old, new):
    yield from _parameters(before, after, old, new)
    yield from _bodies(before, after, old, new)
    for status, answer in old.get("responses", {}).items():
        told = new.get("responses", {}).get(status)
        if told is None:
            yield f"answers {status} no more"
            continue
        answer, told = _answer(before, answer), _answer(after, told)
        for kind, content in answer.get("content", {}).items():
            if kind not in told.get("content", {}):
                yield f"answers no more as {kind}"
            else:
                shapes = content.get("schema", {}), told["content"][kind].get("schema", {})
                yield from _Compared(before, after, sent=False).shapes(*shapes, f"answer {status}")


def _answer(description, answer):
    named = answer.get("$ref")
    return description["components"]["responses"][named.rsplit("/", 1)[1]] if named else answer


def _parameters(before, after, old, new):
    had = {(each["in"], each["name"]): each for each in old.get("parameters", ())}
    has = {(each["in"], each["name"]): each for each in new.get("parameters", ())}
    for key, parameter in had.items():
        if key not in has:
            yield f"takes {key[1]} in {key[0]} no more"
        else:
            shapes = parameter.get("schema", {}), has[key].get("schema", {})
            yield from _Compared(before, after, sent=True).shapes(*shapes, key[1])
    for key, parameter in has.items():
        if parameter.get("required") and not had.get(key, {}).get("required"):
            yield f"has to be sent {key[1]} in {key[0]}"


def _bodies(before, after, old, new):
    sent, taken = old.get("requestBody"), new.get("requestBody")
    if sent is None:
        if taken and taken.get("required"):
            yield "has to be sent a body"
        return
    for kind, content in sent.get("content", {}).items():
        if taken is None or kind not in taken.get("content", {}):
            yield f"takes no body of {kind} any more"
        else:
            shapes = content.get("schema", {}), taken["content"][kind].get("schema", {})
            yield from _Compared(before, after, sent=True).shapes(*shapes, "body")


class _Compared:
    """Two shapes, each in its own description. sent: of what a program sends; else of what it reads."""

    def __init__(self, before, after, *, sent):
        self.before, self.after, self.sent, self.seen = before, after, sent, set()

    def shapes(self, old, new, where):
        names = old.get("$ref"), new.get("$ref")
        if names in self.seen:
            return
        if any(names):
            self.seen.add(names)
        old, new = _resolved(self.before, old), _resolved(self.after, new)
        yield from self.types(old, new, where)
        yield from self.enums(old, new, where)
        yield from self.bounds(old, new, where)
        yield from self.fields(old, new, where)
        if "items" in old:
            yield from self.shapes(old["items"], new.get("items", {}), f"{where}[]")

    def types(self, old, new, where):
        had, has = _types(old), _types(new)
        if not had and not has:
            return
        if self.sent and has and not (had and had <= has | ({"integer"} if "number" in has else set())):
            yield f"{where}: takes {_said(has)}, and took {_said(had)}"
        if not self.sent and had and not (has and has <= had | ({"integer"} if "number" in had else set())):
            yield f"{where}: is {_said(has)}, and was {_said(had)}"

    def enums(self, old, new, where):
        had, has = old.get("enum"), new.get("enum")
        if self.sent and has is not None:
            gone = [each for each in had if each not in has] if had is not None else ["any other"]
            if gone:
                yield f"{where}: takes {', '.join(map(repr, gone))} no more"

    def bounds(self, old, new, where):
        if not self.sent:
            return
        for name, narrower in (
            ("maximum", min), ("maxLength", min), ("maxItems", min),
            ("minimum", max), ("minLength", max), ("minItems", max),
        ):  # fmt: skip
            if name in new and (name not in old or narrower(old[name], new[name]) != old[name]):
                yield f"{where}: {name} is {new[name]}, and was {old.get(name, 'open')}"

    def fields(self, old, new, where):
        had, has = old.get("properties", {}), new.get("properties", {})
        for name, shape in had.items():
            inside = f"{where}/{name}"
            if name in has:
                yield from self.shapes(shape, has[name], inside)
            elif not self.sent:
                yield f"{inside}: is answered no more"
            elif new.get("additionalProperties") is False:
                yield f"{inside}: is taken no more"
        must, had_to = set(new.get("required", ())), set(old.get("required", ()))
        if self.sent:
            yield from (f"{where}/{name}: has to be sent" for name in sorted(must - had_to))
        else:
            yield from (f"{where}/{name}: may be missing" for name in sorted((had_to - must) & has.keys()))


def _resolved(description, shape):
    """A shape with its references followed, and the parts of allOf put together."""
    while "$ref" in shape:
        shape = description["components"]["schemas"][shape["$ref"].rsplit("/", 1)[1]]
    if "allOf" in shape:
        whole: dict[str, Any] = {name: value for name, value in shape.items() if name != "allOf"}
        for part in shape["allOf"]:
            whole = _resolved(description, part) | whole
        return whole
    return shape


def _types(shape):
    told = shape.get("type")
    if told is None:
        return set()
    return set(told) if isinstance(told, list) else {told}


def _said(types):
    return " or ".join(sorted(types)) or "anything"
