"""What every view of the API stands on: who may pass, pages of a list, and edits that say what they were made from."""

import hashlib
import re
from typing import Any

from django.utils.cache import patch_cache_control, patch_vary_headers
from django.utils.http import parse_etags
from rest_framework.exceptions import APIException
from rest_framework.pagination import PageNumberPagination
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer, ModelSerializer
from rest_framework.utils.urls import replace_query_param
from rest_framework.views import APIView

from projects.platform.api.access import PermissionTable, SignedInAuthentication, TokenAuthentication
from projects.platform.api.bulk import ITEMS, all_or_none, listed
from projects.platform.api.keyed import answers_once
from projects.platform.api.lengths import LengthOut
from projects.platform.api.limits import count_known, count_unknown
from projects.platform.api.lists import CURSOR, Cursor, Listing, refuse_cursor_with
from projects.platform.api.problems import Refused, pointer
from projects.platform.api.strict_json import StrictJSONParser
from projects.platform.fields import LengthField
from projects.platform.tenancy import StaleVersion

MOST_PER_PAGE = 200


class Pages(PageNumberPagination):
    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = MOST_PER_PAGE
    invalid_page_message = "There is no such page."
    page_query_description = "From 1 on"
    page_size_query_description = f"Rows of a page; over {MOST_PER_PAGE} counts as {MOST_PER_PAGE}"
    last_page_strings = ()

    def get_page_size(self, request):
        asked = request.query_params.get(self.page_size_query_param)
        if asked is None:
            return self.page_size
        if not (asked.isascii() and asked.isdecimal() and asked.strip("0")):
            raise Refused([{"parameter": self.page_size_query_param, "detail": "From 1 on.", "code": "invalid"}])
        return min(int(asked[:9]), self.max_page_size)

    def get_schema_operation_parameters(self, view):
        told = super().get_schema_operation_parameters(view)
        return [each | {"schema": {"type": "integer", "minimum": 1}} for each in told]

    def get_paginated_response_schema(self, schema):
        told = super().get_paginated_response_schema(schema)
        told["properties"]["count"] = {"type": ["integer", "null"], "description": "Not counted with a cursor"}
        told["required"] = ["count", "next", "previous", "results"]
        return told


class Record(ModelSerializer):
    """A record as it is read. Every field is read only: what is written goes through a Body."""

    serializer_field_mapping = {**ModelSerializer.serializer_field_mapping, LengthField: LengthOut}

    def include_extra_kwargs(self, kwargs, extra_kwargs):
        """A choice that may be left open is told as '': the description has to say so of what is only read too."""
        open_ = kwargs.get("allow_blank") and "choices" in kwargs
        kwargs = super().include_extra_kwargs(kwargs, extra_kwargs)
        return kwargs | {"allow_blank": True} if open_ else kwargs


class PreconditionRequired(APIException):
    status_code = 428
    default_detail = "Read the record first, then send its ETag with If-Match, so that nobody's change is lost."
    default_code = "precondition_required"


class Stale(APIException):
    """Carries both versions, `yours` as sent and `theirs` as stored, and where they differ, field by field."""

    status_code = 412
    default_detail = "This was changed by someone else since you read it. Look at both, then send again."
    default_code = "stale"

    def __init__(self, sent, stored, tag):
        super().__init__()
        yours = sent if isinstance(sent, dict) else {}
        theirs = {name: stored[name] for name in yours if name in stored}
        difference = list(_differences(yours, theirs))
        self.more = {"current": tag, "yours": yours, "theirs": theirs, "difference": difference}


def _differences(yours, theirs, path=()):
    for name, sent in yours.items():
        if name not in theirs:
            continue
        stored = theirs[name]
        if isinstance(sent, dict) and isinstance(stored, dict) and "nm" not in stored:
            yield from _differences(sent, stored, (*path, name))
        elif sent != stored and not (isinstance(stored, dict) and sent == stored.get("text")):
            yield {"pointer": pointer(*path, name), "yours": sent, "theirs": stored}


def _shown(page, out, context):
    return out(page, many=True, context=context).data if out else page


def etag(record, value=None):
    """A record's tag: which version it is and, of what is read, a digest of all that is said.

    Who is told other fields is told another tag, and what is reckoned from elsewhere changes it too. An edit asks for
    the version alone.
    """
    digest = f"-{_digest(JSONRenderer().render(value))}" if value is not None else ""
    return f'"{record.pk}-{record.version}{digest}"'


def _digest(content):
    return hashlib.sha256(content).hexdigest()[:16]


def _is_version(tag, record):
    return re.sub(r'-[0-9a-f]{16}"$', '"', tag) == etag(record)


class ApiView(APIView):
    """Behind the permission table a view finds request.member and request.shop, as a page does."""

    authentication_classes = [TokenAuthentication, SignedInAuthentication]
    permission_classes = [PermissionTable]
    parser_classes = [StrictJSONParser]
    renderer_classes = [JSONRenderer]
    pagination_class: type[Pages] | None = Pages
    metadata_class = None
    http_method_names = ["get", "head", "post", "put", "patch", "delete"]
    listing: Listing | None = None  # what its list may be asked
    questions: tuple[str, ...] = ()  # what its address may be asked beside that
    versioned = True  # what it changes or takes away has a version that the request names
    keyed = True  # its POST changes something, and so is done once for each Idempotency-Key
    key_required = False
    unkept: tuple[str, ...] = ()  # fields of an answer that are shown once and kept nowhere

    def initial(self, request, *args, **kwargs):
        super().initial(request, *args, **kwargs)
        if request.method == "POST" and self.keyed:
            self.post = answers_once(self, self.post)

    def perform_authentication(self, request):
        try:
            super().perform_authentication(request)
        except APIException:
            count_unknown(request)
            raise
        if request.user.is_authenticated:
            count_known(request)
        else:
            count_unknown(request)

    def finalize_response(self, request, response, *args, **kwargs):
        response = super().finalize_response(request, response, *args, **kwargs)
        is_read = request.method in ("GET", "HEAD") and response.status_code == 200
        if is_read and isinstance(response, Response) and "ETag" not in response:
            response.add_post_render_callback(self._tag_what_is_read)
        patch_cache_control(response, private=True, no_cache=True)
        patch_vary_headers(response, ("Authorization", "Cookie"))
        return response

    # Answers

    def paged(self, rows, out=None, **context):
        """One page of rows through the serializer `out`, or as they are. Raises Refused, and NotFound for no page."""
        self.refuse_unknown_questions(self.request.query_params)
        listing, asked = self.listing or Listing(), self.request.query_params.dict()
        rows = listing.narrowed(rows, asked)
        if CURSOR in asked:
            return self._from_cursor(listing, rows, asked, out, context)
        pages = Pages()
        page = pages.paginate_queryset(rows, self.request, view=self)
        return pages.get_paginated_response(_shown(page, out, context))

    def _from_cursor(self, listing, rows, asked, out, context):
        refuse_cursor_with(asked, listing)
        size = Pages().get_page_size(self.request)
        place = Cursor(self.request.shop, self.request.path, asked, besides=(Pages.page_size_query_param, "format"))
        page, after = place.page(rows, size)
        here = self.request.build_absolute_uri()
        following = replace_query_param(here, CURSOR, after) if after else None
        return Response({"count": None, "next": following, "previous": None, "results": _shown(page, out, context)})

    def refuse_unknown_questions(self, asked):
        """asked: the address's QueryDict. Raises Refused for a name nobody knows, and for one that stands twice."""
        more = self.listing.names if self.listing else ()
        known = {*self.questions, *more, Pages.page_query_param, Pages.page_size_query_param, "format"}
        said = f"Not known here. Known: {', '.join(sorted(known))}."
        errors = [{"parameter": name, "detail": said, "code": "unknown"} for name in asked if name not in known]
        errors += [
            {"parameter": name, "detail": "Stands here more than once. Ask it once.", "code": "twice"}
            for name, values in asked.lists()
            if len(values) > 1
        ]
        if errors:
            raise Refused(errors)

    def bulk(self, do, *, status=201):
        """All of the body's items or none. do(item): as the answer shows it. Raises Refused, BulkRefused."""
        return Response({ITEMS: all_or_none(listed(self.request.data), do)}, status=status)

    def told(self, record, value, *, status=200, headers=None):
        """A versioned record's value with its ETag; 304 when the asker has it already."""
        tag = etag(record, value)
        headers = {"ETag": tag, **(headers or {})}
        if self.request.method in ("GET", "HEAD") and self._has(tag):
            return Response(status=304, headers=headers)
        return Response(value, status=status, headers=headers)

    def _has(self, tag):
        """RFC 9110 13.1.2: compared weakly, so W/ counts as the same."""
        held = parse_etags(self.request.headers.get("If-None-Match", ""))
        return held == ["*"] or tag in (each.removeprefix("W/") for each in held)

    def _tag_what_is_read(self, response):
        """What has no version of its own is tagged by its bytes: lists, and what is reckoned."""
        tag = f'"{_digest(response.content)}"'
        response["ETag"] = tag
        if self._has(tag):
            response.status_code = 304
            response.content = b""

    # Edits

    def seen_version(self, record, value):
        """The version an edit was made from. Raises PreconditionRequired, Stale.

        RFC 9110 13.1.1: compared strongly, a weak tag never matches; * is whatever is stored.
        """
        header = self.request.headers.get("If-Match")
        if header is None:
            raise PreconditionRequired
        tags = parse_etags(header)
        if tags != ["*"] and not any(_is_version(tag, record) for tag in tags):
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

    def take_away(self, record, show, do):
        """A DELETE from the version that was seen. do(seen): the service. Raises PreconditionRequired, Stale."""
        seen = self.seen_version(record, show(record))
        try:
            do(seen)
        except StaleVersion as stale:
            raise Stale(self.request.data, show(stale.theirs), etag(stale.theirs)) from stale
        return Response(status=204)


class RecordView(ApiView):
    """Records that are shown in one way, by `out` or by `show`: made, read, changed, taken away."""

    out: type[BaseSerializer]

    def show(self, record):
        return self.out(record).data

    def answer(self, record):
        """The record as it is shown, with its tag."""
        return self.told(record, self.show(record))

    def made(self, record, at):
        """The same of a new one. at: its address."""
        return self.told(record, self.show(record), status=201, headers={"Location": at})

    def edit(self, record, body, save, **form):
        """As `change`, and the answer is what save(form, seen) returns: the record as it is stored then."""
        return self.answer(self.change(record, body, self.show, save, **form))

    def remove(self, record, do):
        return self.take_away(record, self.show, do)


def taken(path, error):
    """A name or number that is used already, as a refusal that names its field."""
    return Refused([{"pointer": path, "detail": str(error), "code": "taken"}])
