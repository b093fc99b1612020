"""What is too near to what stands overhead or too deep for it, told as findings: the worst place, and how many more."""

from __future__ import annotations

from collections.abc import Iterable

from layout.engine.checks import worst_of_each
from layout.engine.findings import Code, Finding
from layout.engine.overhead.check import Conflict
from layout.engine.overhead.depth import TooDeep


def told(conflicts: Iterable[Conflict], deep: Iterable[TooDeep] = ()) -> tuple[Finding, ...]:
    """Framing together, each thing by itself; what a safety rule forbids first.

    A fixture under a duct that leaves too little is said to be too deep, not too near as well.
    """
    deep = tuple(deep)
    under = {(each.mark, each.under) for each in deep}
    groups: dict[str, list[Finding]] = {}
    for conflict in conflicts:
        if (conflict.mark, conflict.what) in under:
            continue
        framing = not conflict.entry
        groups.setdefault("" if framing else conflict.what, []).append(
            Finding(
                Code.ON_A_JOIST if framing else Code.NEAR_A_THING,
                conflict.mark,
                conflict.short_by,
                conflict.clear,
                near=conflict.what,
                part=conflict.part,
                fixed=conflict.fixed,
                source=conflict.source,
                note=conflict.note,
            )
        )
    too_deep = [
        Finding(Code.TOO_DEEP, one.mark, one.short_by, one.free, near=_where(one), fixed=one.fixed) for one in deep
    ]
    found = worst_of_each((*groups.values(), too_deep))
    return tuple(sorted(found, key=lambda each: not each.fixed))


def _where(deep: TooDeep) -> str:
    parts = (f"under the {deep.under}" if deep.under else "", f"bay between {deep.bay}" if deep.bay else "")
    return ", ".join(part for part in parts if part)
