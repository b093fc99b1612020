"""The phone's worker, and the pages it shows when nothing can be fetched. None of them says anything of a shop."""

import json
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse

SHELLS = ("field_no_signal", "field_cannot_tell", "field_waiting")
PARTS = (
    "field/field.css",
    "field/field.js",
    "field/queue.js",
    "field/entry-forms.js",
    "field/looks.js",
    "field/cannot-tell.js",
    "marking/mark-out.css",
    "marking/mark-out.js",
    "platform/js/theme.js",
    "platform/favicon.svg",
    "fonts/inter-latin-400-normal.woff2",
    "fonts/inter-latin-700-normal.woff2",
)
HERE = Path(__file__).resolve().parent


def worker(request):
    """The service worker. Switched off, it is one that takes itself and the pages away, never what waits to be sent."""
    if settings.FIELD_WORKER:
        body = _text("sw.js").replace("VERSION-HERE", version()).replace('["SHELL-HERE"]', json.dumps(shell()))
    else:
        body = _text("sw-off.js")
    answer = HttpResponse(body, content_type="text/javascript; charset=utf-8")
    answer["Cache-Control"] = "no-cache"
    return answer


def _text(name):
    return (HERE / "templates" / "field" / name).read_text()


def shell():
    """What is kept for good: the pages without a shop, and what they are drawn with, under each name it is asked by."""
    files = {static(part) for part in PARTS} | {f"/{settings.STATIC_URL.strip('/')}/{part}" for part in PARTS}
    return [*(reverse(name) for name in SHELLS), *sorted(files)]


@lru_cache(maxsize=1)
def version():
    """Of everything the worker keeps for good: another program, another shelf."""
    told = sha256()
    for folder in ("static", "templates"):
        for file in sorted((HERE / folder).rglob("*")):
            if file.is_file():
                told.update(file.read_bytes())
    return told.hexdigest()[:12]


def no_signal(request):
    return render(request, "field/no_signal.html")


def cannot_tell(request):
    """Behind a card's QR when there is no signal: never green."""
    return render(request, "field/cannot_tell.html")


def waiting(request):
    """Signing out with entries that were not sent. The worker puts their number in."""
    return render(request, "field/waiting.html")
