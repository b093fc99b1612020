"""The languages people read, and the words of two of them side by side on paper. Knows no page.

Spanish is that of the crews: Mexican number and date forms, so that 3.5 stays 3.5.
"""

import re
from contextlib import contextmanager
from dataclasses import fields, is_dataclass, replace

from django.utils import translation
from django.utils.translation import gettext_lazy, trans_real

ENGLISH, SPANISH, BOTH = "en-us", "es-mx", "both"
PAPER = ((ENGLISH, "English"), (SPANISH, "Español"), (BOTH, gettext_lazy("both, side by side")))
BETWEEN = " / "
# A message said in both languages at once, until side_by_side makes words of it; Unicode leaves these to whoever uses
# them. What is filled into a message may be such a one itself.
_BEGIN, _MIDDLE, _END = "\ue000", "\ue001", "\ue002"
_INNERMOST = re.compile(f"{_BEGIN}([^{_BEGIN}{_END}]*){_MIDDLE}([^{_BEGIN}{_END}]*){_END}")
_MARKS = re.compile(f"[{_BEGIN}{_MIDDLE}{_END}]")


class Language:
    """After sign-in: a person's own language goes before the browser's."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        chosen = getattr(request.user, "language", "") if request.user.is_authenticated else ""
        if not chosen:
            return self.get_response(request)
        before = translation.get_language()
        translation.activate(chosen)
        request.LANGUAGE_CODE = chosen
        try:
            return self.get_response(request)
        finally:
            translation.activate(before)


class Bilingual:
    """A catalog that answers in English and Spanish at once, where the two differ. side_by_side makes words of it."""

    def __init__(self):
        self._spanish = trans_real.translation(SPANISH)
        self._english = trans_real.translation(ENGLISH)

    def __getattr__(self, name):
        return getattr(self._english, name)

    def gettext(self, message):
        return _both(self._english.gettext(message), self._spanish.gettext(message))

    def pgettext(self, context, message):
        return _both(self._english.pgettext(context, message), self._spanish.pgettext(context, message))

    def ngettext(self, singular, plural, number):
        return _both(self._english.ngettext(singular, plural, number), self._spanish.ngettext(singular, plural, number))


def _both(english, spanish):
    return english if spanish == english or not english.strip() else Twice(english, spanish)


class Twice(str):
    """A message in both languages, in one text. What is filled in is filled into each."""

    def __new__(cls, english, spanish):
        made = super().__new__(cls, f"{_BEGIN}{english}{_MIDDLE}{spanish}{_END}")
        made._sides = english, spanish
        return made

    def __mod__(self, values):
        return Twice(*(side % values for side in self._sides))


def side_by_side(text):
    """'Left wall / Pared izquierda' of what was said in both languages; any other text as it is.

    A whole sentence stands in one language and then in the other, whatever was filled into it.
    """
    parts, depth, begun = [], 0, 0
    for mark in _MARKS.finditer(text):
        if mark[0] == _BEGIN:
            if not depth:
                parts.append(text[begun : mark.start()])
                begun = mark.start()
            depth += 1
        elif mark[0] == _END and depth:
            depth -= 1
            if not depth:
                parts.append(_read(text[begun : mark.end()]))
                begun = mark.end()
    return _MARKS.sub("", "".join(parts) + text[begun:])


def each_alone(value):
    """(the value in English, the same in Spanish) of one made in both: a text, a tuple, or a dataclass of these."""
    return _alone(value, 1), _alone(value, 2)


def said_in_both(value):
    """Whether any of its texts says something in both languages."""
    return each_alone(value)[0] != value


def _alone(value, side):
    if isinstance(value, str) and type(value) in (str, Twice):
        return _MARKS.sub("", _one_language(str(value), side))
    if type(value) is tuple:
        return tuple(_alone(one, side) for one in value)
    if is_dataclass(value) and not isinstance(value, type):
        changed = {}
        for one in fields(value):
            before = getattr(value, one.name)
            if one.init and (after := _alone(before, side)) != before:
                changed[one.name] = after
        return replace(value, **changed) if changed else value
    return value


def _read(group):
    english, spanish = (_one_language(group, side) for side in (1, 2))
    if english == spanish:
        return english
    said, room = english.rstrip(), english[len(english.rstrip()) :]
    return f"{said}{BETWEEN}{spanish.strip()}{room}"


def _one_language(group, side):
    while (shorter := _INNERMOST.sub(lambda found: found[side], group)) != group:
        group = shorter
    return group


def paper_language(asked=""):
    """One of PAPER: what was asked for, else the reader's own."""
    return asked if asked in dict(PAPER) else translation.get_language()


@contextmanager
def printed_in(language):
    """What is said inside is in this language, or in both: `with printed_in(BOTH): pdf = card_pdf(…)`.

    What is said in both goes through side_by_side before anyone reads it; a PDF does that by itself.
    """
    if language != BOTH:
        with translation.override(language):
            yield
        return
    with translation.override(ENGLISH):
        trans_real._active.value = Bilingual()
        yield
