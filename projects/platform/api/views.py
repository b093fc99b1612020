"""What every view of the API stands on: who may pass, pages of a list, and edits that say what they were made from."""

from typing import Any

from django.utils.cache import patch_cache_control, patch_vary_headers
from django.utils.http import parse_etags
from rest_framework.exceptions import APIException
from rest_framework.pagination import PageNumberPagination
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.serializers import ModelSerializer
from rest_framework.views import APIView

from projects.platform.api.access import PermissionTable, SignedInAuthentication, TokenAuthentication
from projects.platform.api.lengths import LengthOut
from projects.platform.api.problems import Refused
from projects.platform.api.strict_json import StrictJSONParser
from projects.platform.fields import LengthField
from projects.platform.tenancy import StaleVersion

MOST_PER_PAGE = 200


class Pages(PageNumberPagination):
    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = MOST_PER_PAGE
    invalid_page_message = "There is no such page."


class Record(ModelSerializer):
    """A record as it is read. Every field is read only: what is written goes through a Body."""

    serializer_field_mapping = {**ModelSerializer.serializer_field_mapping, LengthField: LengthOut}


class PreconditionRequired(APIException):
    status_code = 428
    default_detail = "Read the record first, then send its ETag with If-Match, so that nobody's change is lost."
    default_code = "precondition_required"


class Stale(APIException):
    """Carries both versions: `yours` as sent, `theirs` as stored, field by field."""

    status_code = 412
    default_detail = "This was changed by someone else since you read it. Look at both, then send again."
    default_code = "stale"

    def __init__(self, sent, stored, tag):
        super().__init__()
        yours = sent if isinstance(sent, dict) else {}
        theirs = {name: stored[name] for name in yours if name in stored}
        self.more = {"current": tag, "yours": yours, "theirs": theirs}


def etag(record):
    return f'"{record.pk}-{record.version}"'


class ApiView(APIView):
    """Behind the permission table a view finds request.member and request.shop, as a page does."""

    authentication_classes = [TokenAuthentication, SignedInAuthentication]
    permission_classes = [PermissionTable]
    parser_classes = [StrictJSONParser]
    renderer_classes = [JSONRenderer]
    pagination_class: type[Pages] | None = Pages
    metadata_class = None
    http_method_names = ["get", "head", "post", "put", "patch", "delete"]
    questions: tuple[str, ...] = ()  # what a list's address may ask beside its page

    def finalize_response(self, request, response, *args, **kwargs):
        response = super().finalize_response(request, response, *args, **kwargs)
        patch_cache_control(response, private=True, no_cache=True)
        patch_vary_headers(response, ("Authorization", "Cookie"))
        return response

    # Answers

    def paged(self, rows, out=None, **context):
        """One page of rows through the serializer `out`, or as they are. Raises NotFound for a page not there."""
        self.refuse_unknown_questions(self.request.query_params)
        pages = Pages()
        page = pages.paginate_queryset(rows, self.request, view=self)
        return pages.get_paginated_response(out(page, many=True, context=context).data if out else page)

    def refuse_unknown_questions(self, asked):
        known = {*self.questions, Pages.page_query_param, Pages.page_size_query_param, "format"}
        if unknown := [name for name in asked if name not in known]:
            said = f"Not known here. Known: {', '.join(sorted(known))}."
            raise Refused([{"parameter": name, "detail": said, "code": "unknown"} for name in unknown])

    def told(self, record, value, *, status=200, headers=None):
        """A versioned record's value with its ETag; 304 when the asker has it already."""
        tag = etag(record)
        headers = {"ETag": tag, **(headers or {})}
        if self.request.method in ("GET", "HEAD"):
            held = parse_etags(self.request.headers.get("If-None-Match", ""))
            # RFC 9110 13.1.2: compared weakly, so W/ counts as the same.
            if held == ["*"] or tag in (each.removeprefix("W/") for each in held):
                return Response(status=304, headers=headers)
        return Response(value, status=status, headers=headers)

    # Edits

    def seen_version(self, record, value):
        """The version an edit was made from. Raises PreconditionRequired, Stale.

        RFC 9110 13.1.1: compared strongly, a weak tag never matches; * is whatever is stored.
        """
        header = self.request.headers.get("If-Match")
        if header is None:
            raise PreconditionRequired
        tags = parse_etags(header)
        if tags != ["*"] and etag(record) not in tags:
            raise Stale(self.request.data, value, etag(record))
        return record.version

    def change(self, record, body, show, save, *, start=None, **form_kwargs: Any):
        """One edit from the version that was seen. show(record): as read; save(form, seen): the service.

        Returns the record as stored. Raises PreconditionRequired, Stale, Refused.
        """
        sent = self.request.data
        seen = self.seen_version(record, show(record))
        form = body.fill(sent, start=start, version=seen, **form_kwargs)
        try:
            return save(form, seen)
        except StaleVersion as stale:
            raise Stale(sent, show(stale.theirs), etag(stale.theirs)) from stale


def taken(path, error):
    """A name or number that is used already, as a refusal that names its field."""
    return Refused([{"pointer": path, "detail": str(error), "code": "taken"}])
