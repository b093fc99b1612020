"""Log lines: JSON for machines that gather them, plain text for a desk. Neither carries what somebody typed.

A line has the id of the request it belongs to, and an address is told by its route, never by its path: paths carry
clients' links. E-mail addresses, tokens and the database's "DETAIL" (a whole row) are masked, control characters are
escaped, so that nobody writes a line of their own. Knows no Django: the web server's own log uses it too.
"""

import json
import logging
import re
import traceback
from datetime import UTC, datetime
from pathlib import Path

from projects.platform.speaking import speaker

ROOT = str(Path(__file__).resolve().parents[2]) + "/"
REQUESTS = "projects.requests"  # one line a request
PARTS = ("projects", "layout", "reports", "gunicorn.error")

_MASKS = (
    (re.compile(r"DETAIL:.*", re.DOTALL), "DETAIL: (left out)"),
    (re.compile(r"[^\s@\"'<>()\[\],;:=]+@[^\s@\"'<>()\[\],;]+\.[A-Za-z]{2,}"), "(e-mail)"),
    (re.compile(r"(?i)\b(bearer|basic|token)\s+\S+"), r"\1 (left out)"),
    (re.compile(r"(?i)\b(password|passwd|secret|token|cookie|sessionid|csrftoken|key)(['\"]?\s*[=:]\s*)\S+"), r"\1\2…"),
    # What is as long as a key and mixes digits and letters is one, or looks like one.
    (re.compile(r"(?<![\w-])(?=[\w-]*\d)(?=[\w-]*[A-Za-z])[\w-]{20,}(?![\w-])"), "(token)"),
)
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def scrubbed(text: str) -> str:
    """The text without addresses, tokens and control characters; at most 2,000 characters of it."""
    for pattern, instead in _MASKS:
        text = pattern.sub(instead, text)
    return _CONTROL.sub(lambda found: repr(found.group())[1:-1], text)[:2000]


def told(record: logging.LogRecord) -> str:
    """What the record says, with the route where it says a request's path."""
    text = record.getMessage()
    request = getattr(record, "request", None)
    for name in ("get_full_path", "path"):
        path = getattr(request, name, None)
        path = path() if callable(path) else path
        if path and path != "/":
            text = text.replace(path, route_of(request))
    return scrubbed(text)


def route_of(request: object) -> str:
    """The pattern that the request's address matched, such as rooms/<int:room_id>/."""
    match = getattr(request, "resolver_match", None)
    return "(no route)" if match is None else f"/{match.route.replace('^', '').replace('$', '')}"


def error_of(raised: BaseException) -> dict[str, object]:
    """Type, masked message and stack of an error, as plain values; what it came from below it."""
    frames = traceback.extract_tb(raised.__traceback__)
    said: dict[str, object] = {
        "type": f"{type(raised).__module__}.{type(raised).__qualname__}".removeprefix("builtins."),
        "message": scrubbed(str(raised)),
        "stack": [f"{frame.filename.removeprefix(ROOT)}:{frame.lineno} {frame.name}" for frame in frames],
    }
    came_from = raised.__cause__ or (None if raised.__suppress_context__ else raised.__context__)
    if came_from is not None:
        said["from"] = error_of(came_from)
    return said


class JsonLines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, object] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": told(record),
        }
        if request := getattr(record.__dict__.get("request"), "id", "") or speaker().request:
            line["request"] = request
        line |= getattr(record, "facts", {})
        if raised := record.exc_info and record.exc_info[1]:
            line["error"] = error_of(raised)
        return json.dumps(line, default=str, ensure_ascii=True)


class PlainLines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        request = getattr(record.__dict__.get("request"), "id", "") or speaker().request
        facts = " ".join(f"{name}={value}" for name, value in getattr(record, "facts", {}).items())
        parts = [f"{record.levelname} {record.name}: {told(record)}", facts, f"[{request}]" if request else ""]
        lines = [" ".join(part for part in parts if part)]
        if raised := record.exc_info and record.exc_info[1]:
            error: object = error_of(raised)
            while isinstance(error, dict):
                lines += [f"  {error['type']}: {error['message']}", *(f"    {frame}" for frame in error["stack"])]
                error = error.get("from")
        return "\n".join(lines)


def config(form: str, level: str) -> dict[str, object]:
    """The logging configuration. form: json or text; level: of our own parts, others speak from WARNING on."""
    lines = {"json": JsonLines, "text": PlainLines}[form]
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"lines": {"()": lines}},
        "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "lines"}},
        "root": {"handlers": ["console"], "level": "WARNING"},
        "loggers": {name: {"level": level, "propagate": True, "handlers": []} for name in PARTS},
    }
