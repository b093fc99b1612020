"""The question on a room's page: what would another number off the wall do to the light? Nothing is kept."""

from __future__ import annotations

from dataclasses import dataclass

from layout.light.forms import InsteadForm
from layout.light.instead import Asked, instead_words
from layout.light.services import setup_of

PREFIX = "instead"


@dataclass(frozen=True, slots=True)
class Instead:
    form: InsteadForm
    answers: tuple[str, ...] = ()


def asked_of(room, draft, layout, data) -> Instead:
    """Unless it is asked, nothing is computed and no query is made."""
    asked = any(data.get(f"{PREFIX}-{name}") for name in InsteadForm.base_fields)
    form = InsteadForm(data if asked else None, tape=room.job.tape, prefix=PREFIX)
    if not asked or layout is None or not form.is_valid():
        return Instead(form)
    setup = setup_of(room)
    told = [
        instead_words(room, draft, layout, setup, Asked(along=name == "end", off=off))
        for name, off in form.cleaned_data.items()
        if off is not None
    ]
    return Instead(form, tuple(told))
