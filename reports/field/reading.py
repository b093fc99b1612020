"""A phone's request read into an entry: sizes, types and shapes. Must not know what any kind of entry means."""

import json
import re

from django.utils.translation import gettext as _

from reports.field.entries import ENTRIES
from reports.field.models import LAST_VERSION
from reports.field.services import Sent, age_between

KEY = re.compile(r"[0-9a-f]{32}")  # 128 bits
MOST_DATA = 64 * 1024
MOST_BOXES = 300
MOST_PICTURE = 12 * 1024 * 1024


class Unreadable(Exception):
    """What came is no entry. Says what was wrong with it."""


def sent_by(request):
    """Raises Unreadable."""
    post = request.POST
    return Sent(
        key=_key(post.get("key"), _("The key is 32 hexadecimal digits.")),
        kind=_kind(post.get("kind")),
        room_id=_whole(post.get("room"), "room"),
        base=_whole(post.get("base") or "0", "base"),
        data=_data(post.get("data")),
        after=_key(post["after"], _("after is a key of 32 hexadecimal digits.")) if post.get("after") else "",
        said_at="".join(letter for letter in post.get("at", "")[:40] if letter.isprintable()),
        waited=age_between(post.get("at"), post.get("now")),
        picture=_picture(request.FILES.get("file")),
        phone=ident_of(post.get("phone")),
        left=_whole(post["left"], "left") if post.get("left") else None,
    )


def ident_of(text):
    return text if KEY.fullmatch(text or "") else ""


def _key(text, wrong):
    if not KEY.fullmatch(text or ""):
        raise Unreadable(wrong)
    return text


def _kind(name):
    if name not in ENTRIES:
        raise Unreadable(_("This server knows no such entry. Open the page again, with signal, and enter it there."))
    return name


def _whole(text, name):
    if not (text and text.isascii() and text.isdigit() and len(text) < 11 and int(text) <= LAST_VERSION):
        raise Unreadable(_("%(name)s is a whole number.") % {"name": name})
    return int(text)


def _data(text):
    """Boxes as a form sends them: a text each, or a list of texts."""
    if len(text or "") > MOST_DATA:
        raise Unreadable(_("The entry is longer than 64 kB. Split it."))
    try:
        data = json.loads(text or "{}", parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise Unreadable(_("The data is no JSON.")) from None
    if not isinstance(data, dict) or len(data) > MOST_BOXES or not all(_is_box(value) for value in data.values()):
        raise Unreadable(_("The data is an object of texts and lists of texts."))
    if "\0" in text or "\\u0000" in text:
        raise Unreadable(_("The data holds a null character."))
    if not _is_writing(data):
        raise Unreadable(_("The data holds half a character. Type it again."))
    return data


def _is_writing(data):
    """JSON can name halves of a character (RFC 8259, 8.2) that no database takes."""
    try:
        json.dumps(data, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        return False
    return True


def _no_number(_name):
    raise ValueError


def _is_box(value):
    if isinstance(value, list):
        return all(isinstance(one, str) for one in value)
    return isinstance(value, str)


def _picture(file):
    if file is None:
        return None
    if file.size > MOST_PICTURE:
        raise Unreadable(_("The photo is over 12 MB. Take it smaller."))
    return file.read()
