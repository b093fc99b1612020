"""One way to clean a name or a note that a person typed. Knows nothing of what it names."""

import unicodedata

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

JOINERS = {"\u200c", "\u200d"}  # needed inside real words and emoji
MOST_MARKS = 4  # combining marks in a row; more is not writing


def clean_name(text):
    """The name in NFC with single spaces. Raises ValidationError for hidden control characters or a blank name."""
    text = unicodedata.normalize("NFC", str(text))
    _refuse_hidden(text, also_breaks=True)
    text = " ".join(text.split())
    if not any(unicodedata.category(char)[0] not in "ZC" for char in text):
        raise ValidationError(_("Give it a name that can be seen: letters or digits."), code="blank")
    return text


def clean_note(text):
    """Like a name, but lines may break and it may be empty."""
    text = unicodedata.normalize("NFC", str(text)).replace("\r\n", "\n").replace("\r", "\n").strip()
    _refuse_hidden(text, also_breaks=False)
    return text


def _refuse_hidden(text, *, also_breaks):
    marks = 0
    for char in text:
        category = unicodedata.category(char)
        marks = marks + 1 if category == "Mn" else 0
        if marks > MOST_MARKS:
            raise ValidationError(_("Too many accents on one letter. Type it again plainly."), code="marks")
        if category in ("Cc", "Cf", "Cs", "Co") and char not in JOINERS and (also_breaks or char not in "\n\t"):
            raise ValidationError(
                _("There is a hidden character (%(code)s) in it. Type it again instead of pasting."),
                code="hidden",
                params={"code": f"U+{ord(char):04X}"},
            )
