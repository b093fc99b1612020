"""What was kept, as pages and the paper show it: pictures, words, the table. No query."""

from decimal import Decimal

from django.utils.safestring import mark_safe

from reports.approvals.pictures import door_svg, plan_svg
from reports.approvals.words import rows_of, what_it_gets
from reports.bids.money_words import amount_said


def shown(told, tape, *, key="room", points=()):
    """The context that page and paper share. Pictures are drawn by our own code from what was kept."""
    return {
        "plan": mark_safe(plan_svg(told, key=f"{key}-plan", points=points)),
        "view": mark_safe(told["view"] or door_svg(told, key=f"{key}-view")),
        "shaded": bool(told["view"]),
        "gets": what_it_gets(told, tape),
        "rows": rows_of(told, tape),
        "costs": _costs(told["costs"]),
    }


def _costs(costs):
    """(type, now, after rough-in, after drywall) as they are read; "" where that time is past."""
    if not costs:
        return []
    rough_in, drywall = costs["passed"]

    def said(row, key, past):
        return "" if past else amount_said(Decimal(row[key]), costs["currency"])

    return [
        (row["type"], said(row, "now", False), said(row, "rough_in", rough_in), said(row, "drywall", drywall))
        for row in costs["rows"]
    ]
