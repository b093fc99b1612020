"""The languages people read, and the words of two of them at once on paper. Knows no page.

Spanish is that of the crews: Mexican number and date forms, so that 3.5 stays 3.5.
"""

from contextlib import contextmanager

from django.utils import translation
from django.utils.translation import trans_real

ENGLISH, SPANISH, BOTH = "en-us", "es-mx", "both"


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
    """A catalog that answers in English, and in Spanish behind a stroke where the two differ."""

    def __init__(self):
        self._spanish = trans_real.translation(SPANISH)
        self._english = trans_real.translation(ENGLISH)

    def __getattr__(self, name):
        return getattr(self._english, name)

    def gettext(self, message):
        return _side_by_side(self._english.gettext(message), self._spanish.gettext(message))

    def pgettext(self, context, message):
        return _side_by_side(self._english.pgettext(context, message), self._spanish.pgettext(context, message))

    def ngettext(self, singular, plural, number):
        return _side_by_side(
            self._english.ngettext(singular, plural, number), self._spanish.ngettext(singular, plural, number)
        )


def _side_by_side(english, spanish):
    return english if spanish == english or not english.strip() else f"{english} / {spanish}"


@contextmanager
def printed_in(language):
    """What is drawn inside is in this language, or in both: `with printed_in(BOTH): card_pdf(…)`."""
    if language != BOTH:
        with translation.override(language):
            yield
        return
    with translation.override(ENGLISH):
        trans_real._active.value = Bilingual()
        yield
