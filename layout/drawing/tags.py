"""The IDs of a row told together, for a drawing too small to give each mark its own. Knows no geometry."""

from __future__ import annotations

from collections.abc import Iterator

from layout.drawing.values import PlanMark


def tags_of(marks: tuple[PlanMark, ...]) -> dict[int, str]:
    """By row: 'A1–A8, SP1'."""
    rows: dict[int, list[PlanMark]] = {}
    for one in marks:
        rows.setdefault(one.mark.row, []).append(one)
    return {row: ", ".join(_ranges(held)) for row, held in sorted(rows.items())}


def _ranges(row: list[PlanMark]) -> Iterator[str]:
    runs: list[list[str]] = []
    for one in row:
        if runs and _follows(runs[-1][-1], one.mark.id):
            runs[-1].append(one.mark.id)
        else:
            runs.append([one.mark.id])
    return (run[0] if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)


def _follows(before: str, ident: str) -> bool:
    letters = ident.rstrip("0123456789")
    return before.rstrip("0123456789") == letters and int(ident[len(letters) :]) == int(before[len(letters) :]) + 1
