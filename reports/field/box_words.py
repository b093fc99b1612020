"""What the boxes of entries, and what is chosen in them, are called: for whoever looks at an entry afterward."""

from django.utils.translation import gettext_lazy as _

from layout.as_built.models import Reason, Step
from projects.jobs.models import Instrument, LaserEdge, Subject, SurveyKind
from projects.photos.models import Purpose
from reports.checks.models import Outcome

LEFT_OUT = {"room", "face", "base", "version"}  # what the page filled in, not a person
MOST = 5  # readings of one kind
BOXES = {
    "text": _("Note"),
    "number": _("Number"),
    "outcome": _("Answer"),
    "reason": _("Why"),
    "idents": _("Marks"),
    "ident": _("Mark"),
    "mark": _("Mark"),
    "step": _("What is entered"),
    "along": _("Along"),
    "across": _("Across"),
    "alone": _("This one alone, out of its line"),
    "words": _("In words"),
    "purpose": _("What it shows"),
    "bay": _("Bay"),
    "caption": _("In words"),
    "kind": _("Taped"),
    "taken_on": _("On"),
    "taken_by": _("By"),
    "instrument": _("With"),
    "laser_edge": _("A laser measures"),
    "note": _("Note"),
}
CHOSEN = {
    "outcome": Outcome,
    "step": Step,
    "reason": Reason,
    "purpose": Purpose,
    "kind": SurveyKind,
    "instrument": Instrument,
    "laser_edge": LaserEdge,
}


def names():
    """{box: words}, in the reader's language."""
    taped = {
        f"{subject.value}_{n}": f"{subject.label} ({n})" if n > 1 else f"{subject.label}"
        for subject in Subject
        for n in range(1, MOST + 1)
    }
    heights = {f"{box}_at": f"{words}, {_('taken at height')}" for box, words in taped.items()}
    return {**taped, **heights, **{box: str(words) for box, words in BOXES.items()}}


def choices():
    """{box: {value: words}} of the boxes that are chosen in."""
    return {box: {value: str(label) for value, label in of.choices if value} for box, of in CHOSEN.items()}


def in_words(data):
    """[(box's name, what stands in it)] of what a person entered; empty boxes are left out."""
    called, chosen = names(), choices()
    return [
        (called.get(box, box), chosen.get(box, {}).get(value, value) if isinstance(value, str) else ", ".join(value))
        for box, value in data.items()
        if box not in LEFT_OUT and value not in ("", [])
    ]
