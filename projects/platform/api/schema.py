"""The OpenAPI description: who may ask, and that every error is a problem. Knows no particular route."""

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.renderers import OpenApiJsonRenderer, OpenApiJsonRenderer2, OpenApiYamlRenderer
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularAPIView

from projects.platform.api.problems import PROBLEM_JSON
from projects.platform.api.views import ApiView


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
                },
                "required": ["detail"],
            },
        },
        "current": {"type": "string"},
        "yours": {"type": "object", "additionalProperties": True},
        "theirs": {"type": "object", "additionalProperties": True},
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
    return result


class Schema(ApiView, SpectacularAPIView):
    renderer_classes = [OpenApiJsonRenderer2, OpenApiJsonRenderer, OpenApiYamlRenderer]
    pagination_class = None

    @extend_schema(exclude=True)
    def get(self, request, *args, **kwargs):
        return super().get(request, *args, **kwargs)
