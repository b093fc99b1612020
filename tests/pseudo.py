"""A language nobody speaks: each message in brackets, accented and a third longer; what isn't one stands out."""

import html
import re

from django.utils.translation import trans_real

SPANISH = "es-mx"  # the language whose place it takes
OPEN, CLOSE = "⟦", "⟧"
ACCENTED = str.maketrans("aeiouyAEIOUYcn", "àéîöúýÀÉÎÖÚÝçñ")
HELD = re.compile(r"%\(\w+(?:-\w+)?\)[a-z0-9.]+|%%|%[a-z]|\{\w+\}|<[^>]+>|&\w+;")


def said(message):
    """'Rooms' is '⟦Röömsàé⟧'. Placeholders and tags stay as they are."""
    kept = HELD.findall(message)
    parts = [part.translate(ACCENTED) for part in HELD.split(message)]
    text = "".join(part + hold for part, hold in zip(parts, [*kept, ""], strict=True))
    longer = max(1, len(message) // 6)
    more = "àé" * min(longer, 4) + " àéàéàéàé" * ((longer - 4) // 4)
    return f"{OPEN}{text}{more}{CLOSE}" if message.strip() else message


class Pseudo:
    """Takes a catalog's place; dates and numbers stay that language's."""

    def __init__(self, real):
        self._real = real

    def __getattr__(self, name):
        return getattr(self._real, name)

    def gettext(self, message):
        return said(message) if message else self._real.gettext(message)

    def pgettext(self, context, message):
        return said(message)

    def ngettext(self, singular, plural, number):
        return said(singular if number == 1 else plural)


def spoken(monkeypatch):
    """From now on whoever reads Spanish reads this."""
    monkeypatch.setitem(trans_real._translations, SPANISH, Pseudo(trans_real.translation(SPANISH)))


TAGS = re.compile(r"<!--.*?-->|<(script|style|title|svg)\b.*?</\1>|<[^>]*>", re.DOTALL)
NAMED = re.compile(r'\b(?:aria-label|alt|placeholder|title)="([^"]*)"')
TOLD = re.compile(r'\bdata-(?!person|made|field-)[\w-]+="([^"]*)"')  # what a script says


def unsaid(page, data):
    """Words on a page that went through no catalog, but for those that are the shop's own data."""
    text = TAGS.sub("\n", page) + "\n" + "\n".join(NAMED.findall(re.sub(r"<input[^>]*>", "", page)))
    text = re.sub(r"\b[0-9A-F]{6}\b", "", html.unescape(text))  # a revision's short hash
    while (shorter := re.sub(rf"{OPEN}[^{OPEN}{CLOSE}]*{CLOSE}", "", text)) != text:
        text = shorter
    for own in sorted(data, key=len, reverse=True):
        text = text.replace(own, "")
    return sorted({line.strip() for line in text.splitlines() if re.search(r"[^\W\d_]{3}", line)})
