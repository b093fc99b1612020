"""A figure's results as rows people read: lengths on the tape and in the other unit, counts line by line. No rules."""

from dataclasses import dataclass
from fractions import Fraction

from django.utils.translation import gettext as _

from layout.engine.lengths import Distance, echo
from reports.figures import surveying
from reports.figures.figure import ANY_UNIT, FEET, INCHES
from reports.figures.forms import unit_length


@dataclass(frozen=True, slots=True)
class Row:
    """One result: what it is, and what it says; table when it is many things."""

    label: str
    said: str = ""
    head: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()


def rows(figure, found, tape):
    """What wasn't asked for is None, and has no row."""
    told = [result for result in figure.results if found[result.name] is not None]
    return [_row(figure, result, found[result.name], tape) for result in told]


def _row(figure, result, value, tape):
    label = _(result.label)
    if result.name == "counted":
        head = (_("What"), _("Gauge"), _("Count"), _("Each, in³"), _("in³"), _("Why"))
        table = tuple(
            (
                _(line["what"]),
                str(line["awg"]),
                f"{line['count']:g}",
                f"{line['in3_each']:g}",
                f"{line['in3']:g}",
                _(line["why"]),
            )
            for line in value
        )
        return Row(label, "", head, table)
    if result.name == "packs":
        head = (_("Pack"), _("Price"), _("Pieces"), _("Left"))
        table = tuple(
            (f"{one['length']:g}", one["price"], ", ".join(f"{each:g}" for each in one["pieces"]), f"{one['left']:g}")
            for one in value
        )
        return Row(label, "", head, table)
    if result.name == "hops":
        return Row(label, ", ".join(f"{one} to {other}" for one, other in value))
    if isinstance(value, list):
        return Row(label, ("; " if result.name == "boxes" else ", ").join(str(one) for one in value) or _("none"))
    if isinstance(value, bool):
        return Row(label, _("yes") if value else _("no"))
    if _on_tape(figure, result):
        return Row(label, _length(value, unit_length(result.unit, tape), tape))
    said = f"{value:,.7g}" if isinstance(value, float) else str(value)
    plain = "" if result.unit in (ANY_UNIT, "money") else result.unit
    return Row(label, f"{said} {_(plain) if plain else ''}".strip())


def _on_tape(figure, result):
    return result.unit in (FEET, INCHES) or (result.unit == ANY_UNIT and figure.group == surveying.GROUP)


def _length(value, unit, tape):
    """With a minus where it is below zero: a shift to the left, a hole that lacks so much."""
    length = Distance(Fraction(str(value)) * unit.nm)
    return f"-{echo(-length, tape)}" if length.nm < 0 else echo(length, tape)
