"""The OpenAPI description: who may ask, and that every error is a problem. Knows no particular route."""

import json
import re
from copy import deepcopy
from functools import cache, lru_cache
from pathlib import Path

from django.urls import resolve
from django.utils.translation import get_language, override
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer, OpenApiJsonRenderer2, OpenApiYamlRenderer
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from projects.platform.api.keyed import LONGEST
from projects.platform.api.money import SEES_IT
from projects.platform.api.problems import PROBLEM_JSON
from projects.platform.api.views import ApiView
from projects.platform.permissions import API_ROUTES, MONEY, may

EXAMPLES = json.loads((Path(__file__).parent / "examples.json").read_text())


class TokenScheme(OpenApiAuthenticationExtension):
    target_class = "projects.platform.api.access.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema):
        return {"type": "http", "scheme": "bearer", "description": "A token of your own, made at /tokens/."}


class SignedInScheme(OpenApiAuthenticationExtension):
    target_class = "projects.platform.api.access.SignedInAuthentication"
    name = "session"

    def get_security_definition(self, auto_schema):
        return {
            "type": "apiKey",
            "in": "cookie",
            "name": "sessionid",
            "description": "A signed-in browser; writes also carry the header X-CSRFToken.",
        }


PROBLEM = {
    "type": "object",
    "description": "RFC 9457. errors names each field by JSON Pointer; current, yours and theirs come with 412.",
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "pointer": {"type": "string"},
                    "parameter": {"type": "string"},
                    "detail": {"type": "string"},
                    "code": {"type": "string"},
                    "readings": {"type": "array", "items": {"type": "string"}},
                    "understood": {"type": ["string", "null"], "description": "Of a length: what was read"},
                    "example": {"type": "string", "description": "Of a length: one that would be taken"},
                },
                "required": ["detail"],
            },
        },
        "current": {"type": "string"},
        "yours": {"type": "object", "additionalProperties": True},
        "theirs": {"type": "object", "additionalProperties": True},
        "difference": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {"pointer": {"type": "string"}, "yours": {}, "theirs": {}},
                "required": ["pointer", "yours", "theirs"],
            },
        },
        "items": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "index": {"type": "integer"},
                    "status": {"type": "integer"},
                    "detail": {"type": "string"},
                },
                "required": ["index", "status", "detail"],
            },
        },
        "request_id": {"type": "string"},
    },
    "required": ["type", "title", "status", "detail"],
}
ANSWER = {
    "description": "What is wrong, and the remedy",
    "content": {PROBLEM_JSON: {"schema": {"$ref": "#/components/schemas/Problem"}}},
}


IF_MATCH = {
    "name": "If-Match",
    "in": "header",
    "required": True,
    "schema": {"type": "string"},
    "description": "The record's ETag as it was read. Without it 428; changed meanwhile 412, with both values.",
}
IDEMPOTENCY_KEY = {
    "name": "Idempotency-Key",
    "in": "header",
    "schema": {"type": "string", "minLength": 1, "maxLength": LONGEST, "pattern": "^[\\x21-\\x7e]+$"},
    "description": "A text of your own, new for each request, such as a UUID. Sent again with it, the request is done "
    "once and answered as the first time. Kept for 72 hours.",
    "example": "9c0f3a6e-51b4-4a0a-9a52-6f5f0c1d7b1e",
}
IF_NONE_MATCH = {
    "name": "If-None-Match",
    "in": "header",
    "schema": {"type": "string"},
    "description": "The ETag one has: 304 without a body where it is still the same.",
}
TOO_OFTEN = {
    "description": "Too much in one minute: 600 requests of a token or a person, 60 of an address that nobody knows, "
    "unless whoever runs the server chose otherwise",
    "headers": {"Retry-After": {"schema": {"type": "integer"}, "description": "Seconds to wait"}},
    "content": {PROBLEM_JSON: {"schema": {"$ref": "#/components/schemas/Problem"}}},
}
SHARED = "#/components/responses/"
EVERYWHERE = {"429": "TooOften", "4XX": "Problem", "5XX": "Problem"}
NOT_MODIFIED = {"description": "What you have is still the same"}


def with_what_is_shared(result, generator, request, public):
    """drf-spectacular's postprocessing hook: problems, preconditions, and that a body takes no unknown field."""
    schemas = result.setdefault("components", {}).setdefault("schemas", {})
    for name, schema in schemas.items():
        if "Body" in name:
            schema["additionalProperties"] = False
        else:
            _left_out_for_some(schema)
    schemas["Problem"] = PROBLEM
    result["components"]["responses"] = {"Problem": ANSWER, "TooOften": TOO_OFTEN, "NotModified": NOT_MODIFIED}
    for address, path in result["paths"].items():
        for method, operation in path.items():
            operation["responses"] |= {status: {"$ref": f"{SHARED}{name}"} for status, name in EVERYWHERE.items()}
            _headers(operation, method, _view_of(address))
            _examples(operation)
    return result


def _left_out_for_some(schema):
    """An amount is there for who may see it: nobody can count on it."""
    if "required" in schema:
        known = schema["properties"]
        schema["required"] = [name for name in schema["required"] if not known[name].get("x-money")]


def _view_of(address):
    return resolve(re.sub(r"{[^}]+}", "1", address)).func.cls


def _headers(operation, method, view):
    """Those that every view takes by itself, as they stand on the view."""
    told = operation.setdefault("parameters", [])
    if method in ("put", "patch") or "If-Match" in operation["description"]:
        told.append(IF_MATCH)
    elif method == "delete":
        told += [IF_MATCH] if view.versioned else []
    elif method == "get":
        told.append(IF_NONE_MATCH)
        operation["responses"]["304"] = {"$ref": f"{SHARED}NotModified"}
    if method == "post" and view.keyed:
        told.append({**IDEMPOTENCY_KEY, "required": view.key_required})


def _examples(operation):
    """What is kept beside this file, and sent by a test."""
    example = EXAMPLES.get(operation["operationId"])
    if example is not None:
        operation["requestBody"]["content"]["application/json"]["example"] = example


def without_money(result, allowed):
    """As who may do these actions may read it: no operation behind prices they may not see, and no shape of one."""
    for path, operations in list(result["paths"].items()):
        route = API_ROUTES[resolve(re.sub(r"{[^}]+}", "1", path)).url_name]
        for method in list(operations):
            action = route.action(method.upper())
            if action in MONEY and action not in allowed:
                del operations[method]
        if not operations:
            del result["paths"][path]
    schemas = result["components"]["schemas"]
    if SEES_IT not in allowed:
        for schema in schemas.values():
            _without_amounts(schema)
    named, waiting = set(), ["Problem", *_references(result["paths"])]
    while waiting:
        name = waiting.pop()
        if name not in named:
            named.add(name)
            waiting += _references(schemas.get(name, {}))
    result["components"]["schemas"] = {name: schema for name, schema in schemas.items() if name in named}
    return result


def _without_amounts(schema):
    """Takes the amounts of money out of a shape that others read too."""
    amounts = [name for name, each in schema.get("properties", {}).items() if each.get("x-money")]
    for name in amounts:
        del schema["properties"][name]
    if "required" in schema:
        schema["required"] = [name for name in schema["required"] if name not in amounts]


REFERENCE = "#/components/schemas/"


def _references(node):
    """The names of the shapes that a piece of the description points at."""
    if isinstance(node, dict):
        for key, inside in node.items():
            if key == "$ref":
                yield inside.removeprefix(REFERENCE)
            else:
                yield from _references(inside)
    elif isinstance(node, list | tuple):
        for inside in node:
            yield from _references(inside)


@cache
def _whole(language):
    """Seconds of work, the same for everyone: done once in a process."""
    with override(language):
        return SchemaGenerator().get_schema(request=None, public=True)


@lru_cache(maxsize=8)
def described_to(allowed, language):
    """The description for who may do these actions, of those that show money. To be read only: others get the same."""
    return without_money(deepcopy(_whole(language)), allowed)


class Schema(ApiView):
    renderer_classes = [OpenApiJsonRenderer2, OpenApiJsonRenderer, OpenApiYamlRenderer]
    pagination_class = None

    @extend_schema(exclude=True)
    def get(self, request):
        allowed = frozenset(action for action in MONEY if may(request.member, action))
        name = f"ceilingbook.{request.accepted_renderer.format}"
        return Response(
            described_to(allowed, get_language()), headers={"Content-Disposition": f'inline; filename="{name}"'}
        )
