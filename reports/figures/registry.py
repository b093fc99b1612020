"""Every figure there is, by name, in the order of the work. A new group of figures joins by one line here."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches

from reports.figures import boxes, drops, light, light_rooms, money, sound, sound_rooms, speakers, surveying, wires
from reports.figures.figure import Figure, FigureError
from reports.figures.kinds import said

GROUPS = (surveying, wires, drops, boxes, light, light_rooms, speakers, sound, sound_rooms, money)
FIGURES: Mapping[str, Figure] = {figure.name: figure for group in GROUPS for figure in group.FIGURES}


def figure_named(name: object) -> Figure:
    """Raises FigureError naming the nearest there is."""
    found = FIGURES.get(name) if isinstance(name, str) else None
    if found is None:
        near = get_close_matches(str(name), FIGURES, 1) if isinstance(name, str) else []
        meant = f"Did you mean {near[0]}?" if near else "reckon --list names them all."
        raise FigureError(f"there is no figure {said(name)}. {meant}", "figure")
    return found


def reckon(name: object, inputs: object) -> dict[str, object]:
    """One figure's results. Raises FigureError."""
    return figure_named(name).answer(inputs)


def listed() -> list[dict[str, object]]:
    """Every figure with what it takes and gives, as JSON can hold it."""
    return [
        {
            "figure": figure.name,
            "what": figure.title,
            "inputs": [
                {
                    "name": one.name,
                    "what": one.label,
                    "gives": one.kind.wants,
                    "unit": one.unit,
                    **({"when_left_out": one.usual if one.usual != () else []} if one.optional else {}),
                    "example": one.example,
                }
                for one in figure.inputs
            ],
            "results": [{"name": one.name, "what": one.label, "unit": one.unit} for one in figure.results],
            "rule": figure.rule,
            "source": figure.source,
            **({"cautions": list(figure.cautions)} if figure.cautions else {}),
        }
        for figure in FIGURES.values()
    ]
