"""The kinds of problem the API tells, each once: its code, its status, its title, what it means and what to do.

A problem's `type` is the address of its page, /problems/<code>/, so that whoever meets one can read about it.
"""

from dataclasses import dataclass

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class ProblemType:
    """title, means and remedy in words for people; in an answer the title is always in English."""

    code: str
    status: int
    title: str
    means: str
    remedy: str

    @property
    def slug(self):
        return self.code.replace("_", "-")

    @property
    def english(self):
        with translation.override("en-us"):
            return str(self.title)

    @property
    def address(self):
        return f"{settings.PUBLIC_URL}/problems/{self.slug}/"


_ALL = (
    ProblemType(
        "parse_error", 400, _("The request can't be read"),
        _("The body is no plain JSON in UTF-8, or says something in two ways: a key twice, a number without end."),
        _("Send one JSON value, as the detail says."),
    ),
    ProblemType(
        "refused", 400, _("What was sent can't be taken"),
        _("It was read, but something in it is missing, unknown or out of bounds. Nothing was changed."),
        _("Each entry of errors points at a field or a question of the address, and says what would be taken. For a "
          "length it also gives what was understood and an example."),
    ),
    ProblemType(
        "bulk_refused", 400, _("Not all of it can be taken"),
        _("Of several things sent at once one or more can't be taken, so none was. Nothing was changed."),
        _("Each entry of items says how its own thing stands; errors points into the body. Mend those and send all of "
          "it again."),
    ),
    ProblemType(
        "key_missing", 400, _("A key is needed"),
        _("This request makes several things at once: sent twice by accident, it would make them twice."),
        _("Send Idempotency-Key with a text of your own that is new for each request, such as a UUID."),
    ),
    ProblemType(
        "not_authenticated", 401, _("Sign in first"),
        _("There is neither a token nor a signed-in browser behind the request."),
        _("Send your token: Authorization: Bearer followed by the token. Tokens are made on the page Tokens."),
    ),
    ProblemType(
        "authentication_failed", 401, _("The token opens nothing"),
        _("The token is not known, was ended, or its time is over."),
        _("Make a new one on the page Tokens."),
    ),
    ProblemType(
        "permission_denied", 403, _("Your role does not include this"),
        _("The person or the token may not do this in this shop."),
        _("The owner can change a role; a token's scope is chosen when it is made."),
    ),
    ProblemType(
        "password_again", 403, _("Type the password again"),
        _("What an owner does is done only shortly after the password was typed."),
        _("Type it again on the page Password again, then send the request once more; or use a token."),
    ),
    ProblemType(
        "not_found", 404, _("There is nothing here"),
        _("No record of this shop has this address. Another shop's record and one that never was are told alike."),
        _("Read the list it belongs to, and follow the addresses given there."),
    ),
    ProblemType(
        "method_not_allowed", 405, _("This is not done here"),
        _("The address is right, the method is not."),
        _("The header Allow says which methods there are."),
    ),
    ProblemType(
        "not_acceptable", 406, _("Not in this form"),
        _("The address does not answer in the form that the header Accept asks for."),
        _("Leave Accept out, or ask for application/json."),
    ),
    ProblemType(
        "conflict", 409, _("Something else stands in the way"),
        _("What is asked goes against what is stored now."),
        _("Read the record again; the detail says what stands in the way."),
    ),
    ProblemType(
        "in_flight", 409, _("The same request is being worked on"),
        _("A request with this Idempotency-Key came before and has no answer yet."),
        _("Wait as many seconds as Retry-After says and send it again: the first one's answer is given."),
    ),
    ProblemType(
        "gone", 410, _("This was here once"),
        _("It was used up, taken back, or deleted for good."),
        _("Ask for a new one where it came from."),
    ),
    ProblemType(
        "stale", 412, _("Changed since you read it"),
        _("Somebody saved the record after it was read, so that your change would undo theirs. Nothing was changed."),
        _("difference shows each field as you sent it and as it is stored. Choose, then send again with the tag in "
          "current."),
    ),
    ProblemType(
        "too_large", 413, _("Too large"),
        _("The body has more bytes than this address takes."),
        _("Send it in parts."),
    ),
    ProblemType(
        "unsupported_media_type", 415, _("Not in this type"),
        _("The body is of a type that this address does not read."),
        _("Send JSON, with Content-Type: application/json; files as multipart/form-data."),
    ),
    ProblemType(
        "cannot_be_done", 422, _("It can't be done as things stand"),
        _("The request is in order and allowed, but what is stored does not permit it: a room nobody taped, a layout "
          "with no mark."),
        _("The detail says what is missing. Do that first, then send it again."),
    ),
    ProblemType(
        "key_used_otherwise", 422, _("This key came with another request"),
        _("The same Idempotency-Key came before, with another body or for another address."),
        _("Send a new key for a new request, and an old one only with the same request."),
    ),
    ProblemType(
        "precondition_required", 428, _("Say what you read"),
        _("A record is changed only by who says which version was read, so that nobody's change is lost."),
        _("Read the record and send its ETag with If-Match."),
    ),
    ProblemType(
        "throttled", 429, _("Too often"),
        _("More was asked in a minute than one token, person or address may ask."),
        _("Wait as many seconds as Retry-After says. Ask lists by the page and with updated_since instead of record by "
          "record."),
    ),
    ProblemType(
        "error", 500, _("Something went wrong here"),
        _("The fault is in this server, not in what was sent. It is in the log, under request_id."),
        _("Send it again later, with the same Idempotency-Key. If it happens again, tell whoever runs the server."),
    ),
    ProblemType(
        "unavailable", 503, _("Not just now"),
        _("Something that is needed is busy or away."),
        _("Wait as many seconds as Retry-After says, or a minute, and send it again."),
    ),
    ProblemType(
        "no_room", 507, _("There is no room left"),
        _("The shop keeps as much in files as it may."),
        _("Delete photos or packets that are no longer needed, or ask whoever runs the server for more room."),
    ),
)  # fmt: skip
TYPES = {one.code: one for one in _ALL}

# For a status without a code of its own.
_USUAL = {
    400: "parse_error", 401: "not_authenticated", 403: "permission_denied", 404: "not_found", 405: "method_not_allowed",
    406: "not_acceptable", 409: "conflict", 410: "gone", 412: "stale", 413: "too_large", 415: "unsupported_media_type",
    422: "cannot_be_done", 428: "precondition_required", 429: "throttled", 500: "error", 503: "unavailable",
    507: "no_room",
}  # fmt: skip


def type_of(code, status):
    """The kind with this code, where its status is the same; else the usual one of the status."""
    found = TYPES.get(code)
    return found if found and found.status == status else TYPES[_USUAL[status]]
