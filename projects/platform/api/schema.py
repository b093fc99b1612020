"""The OpenAPI description: who may ask, and that every error is a problem. Knows no particular route."""

import re

from django.urls import resolve
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.renderers import OpenApiJsonRenderer, OpenApiJsonRenderer2, OpenApiYamlRenderer
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularAPIView

from projects.platform.api.money import SEES_IT
from projects.platform.api.problems import PROBLEM_JSON
from projects.platform.api.views import ApiView
from projects.platform.permissions import API_ROUTES, MONEY, may


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
CONDITIONAL_POSTS = ("verify_cutout", "take_way", "found_on_site")


def with_what_is_shared(result, generator, request, public):
    """drf-spectacular's postprocessing hook: problems, preconditions, and that a body takes no unknown field."""
    schemas = result.setdefault("components", {}).setdefault("schemas", {})
    for name, schema in schemas.items():
        if "Body" in name:
            schema["additionalProperties"] = False
    schemas["Problem"] = PROBLEM
    for path in result["paths"].values():
        for method, operation in path.items():
            operation["responses"] |= {"4XX": ANSWER, "5XX": ANSWER}
            if method in ("put", "patch") or operation["operationId"] in CONDITIONAL_POSTS:
                operation.setdefault("parameters", []).append(IF_MATCH)
    member = getattr(request, "member", None)
    return result if member is None else without_money(result, member)


def without_money(result, member):
    """The description as this member may read it: no operation behind prices they may not see, and no shape of one."""
    for path, operations in list(result["paths"].items()):
        route = API_ROUTES[resolve(re.sub(r"{[^}]+}", "1", path)).url_name]
        for method in list(operations):
            action = route.action(method.upper())
            if action in MONEY and not may(member, action):
                del operations[method]
        if not operations:
            del result["paths"][path]
    schemas = result["components"]["schemas"]
    if not may(member, SEES_IT):
        for schema in schemas.values():
            _without_amounts(schema)
    named, waiting = set(), list(_references(result["paths"]))
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


class Schema(ApiView, SpectacularAPIView):
    renderer_classes = [OpenApiJsonRenderer2, OpenApiJsonRenderer, OpenApiYamlRenderer]
    pagination_class = None

    @extend_schema(exclude=True)
    def get(self, request, *args, **kwargs):
        return super().get(request, *args, **kwargs)
