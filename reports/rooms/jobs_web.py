"""Rooms as rows of jobs: the one screen for the owner of five to three hundred jobs, and the first screen's lines."""

from dataclasses import dataclass, field
from functools import lru_cache

from django.core.paginator import Paginator
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import get_script_prefix
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from projects.catalogue.tables import stages
from projects.platform.permissions import may
from reports.changes.queries import unsigned
from reports.rooms import asked as address
from reports.rooms.bar import bar
from reports.rooms.gather import look
from reports.rooms.job_rows import JobRow, Step, job_rows, ordered, steps_of
from reports.rooms.lines import MOST, lines, rooms_address, where_to
from reports.rooms.reds import Red, reds
from reports.rooms.rules import Rule, rules_of
from reports.rooms.views import views_of

JOBS_ON_A_PAGE = 25


def sees_money(request) -> bool:
    return may(request.member, "change contracts")


def seen_by(request, rules=None, job_id=None):
    """(the shop as it is, its rules, what is red), as far as the person may see; of one job where it is named."""
    rules = rules_of(request.shop) if rules is None else rules
    now = look(request.shop, money=sees_money(request), only=job_id)
    return now, rules, reds(now, rules)


def home(request):
    """The first screen: at most ten lines."""
    now, _rules, found = seen_by(request)
    said = lines(found, request.shop.currency, MOST)
    context = {"lines": said, "more": len(found) - MOST, "now": now, "any_room": bool(now.rooms)}
    return render(request, "overview/home.html", context)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A bar, and its stages with where each leads."""

    svg: str
    steps: list[tuple[Step, str]]


def drawn(steps: list[Step], key: str, job_id: int | None = None) -> SafeString:
    """The bar and its stages. Drawn once for the same steps: they are all that it is made of."""
    return _drawn(tuple(steps), key, job_id, get_language(), get_script_prefix())


@lru_cache(maxsize=1024)
def _drawn(steps, key, job_id, _language, _folder) -> SafeString:
    theirs = rooms_address(job_id)
    parts = Drawn(bar(steps, key), [(step, f"{theirs}&stage={step.number}") for step in steps])
    return render_to_string("overview/_stages.html", {"drawn": parts})


@dataclass(frozen=True, slots=True)
class Flagged:
    """A rule that is broken: in so many rooms (or jobs), and where they are."""

    rule: Rule
    count: int
    href: str


@dataclass(slots=True)
class Strip:
    """A row as its template takes it."""

    row: JobRow
    stages: SafeString
    flagged: list[Flagged] = field(default_factory=list)


def jobs_screen(request, asked, notes, job, jobs):
    now, rules, found = seen_by(request)
    rows = [row for row in job_rows(now, found) if fits(row, asked)]
    page = Paginator(ordered(rows, asked.sort), JOBS_ON_A_PAGE).get_page(asked.page)
    page.object_list = [strip(row) for row in page.object_list]
    context = {
        "asked": asked,
        "notes": notes,
        "job": job,
        "jobs": jobs,
        "page": page,
        "now": now,
        "whole": drawn(steps_of(room for row in rows for room in row.job.rooms), "bar-shop"),
        "whole_rooms": sum(len(row.job.rooms) for row in rows),
        "whole_reds": shop_flags([red for row in rows for red in row.reds]),
        "crew": crew_choices(now),
        "unsigned": unsigned(request.shop) if sees_money(request) else None,
        "any_room": bool(now.jobs or asked.narrowed),
        "views": [(key, label, key == asked.view) for key, label in address.VIEWS.items()],
        "selects": selects(asked, rules, sees_money(request)),
        "kept_views": views_of(request.member),
        "query": request.GET.urlencode(),
    }
    return render(request, "overview/jobs.html", context)


def fits(row: JobRow, asked) -> bool:
    """Is this row asked for?"""
    job = row.job
    told = ""
    if asked.words:
        told = " ".join([job.number, job.name, job.client, *(one.who for one in row.blocked)]).casefold()
    return (
        (asked.job_id is None or job.id == asked.job_id)
        and (asked.stage is None or any(step.number == asked.stage for step in row.steps))
        and (not asked.red or any(red.rule.key == asked.red for red in row.reds))
        and (asked.crew is None or asked.crew in job.crew)
        and all(word.casefold() in told for word in asked.words)
    )


def strip(row: JobRow) -> Strip:
    return Strip(row, drawn(row.steps, f"bar-{row.job.id}", row.job.id), flags_of(row.reds))


def flags_of(found: list[Red]) -> list[Flagged]:
    """One job's reds by rule: what waits for several people is one."""
    by_rule: dict[str, list[Red]] = {}
    for red in found:
        by_rule.setdefault(red.rule.key, []).append(red)
    return [_flagged(same) for same in by_rule.values()]


def _flagged(same: list[Red]) -> Flagged:
    rooms = sum(len(red.rooms) for red in same)
    return Flagged(same[0].rule, rooms or sum(red.count for red in same) or 1, where_to(same[0]))


def shop_flags(found: list[Red]) -> list[Flagged]:
    """The whole shop's reds by rule, each leading to its rooms, or to the jobs where it is theirs."""
    flagged = []
    by_rule: dict[str, list[Red]] = {}
    for red in found:
        by_rule.setdefault(red.rule.key, []).append(red)
    for key, same in by_rule.items():
        rooms = sum(len(red.rooms) for red in same)
        href = rooms_address(red=key) if rooms else f"?view=jobs&red={key}"
        flagged.append(Flagged(same[0].rule, rooms or len(same), href))
    return sorted(flagged, key=lambda each: -each.count)


def crew_choices(now):
    """(id, name) of everyone planned this week."""
    people = {member_id: name for job in now.jobs for member_id, name in job.crew.items()}
    return sorted(people.items(), key=lambda each: each[1].casefold())


def selects(asked, rules, money):
    """The form's choices: name, label, and options as (value, label, chosen)."""
    stage_names = {str(stage.number): f"{stage.number} {_(stage.name)}" for stage in stages()}
    told = {rule.key: rule.name for rule in rules.values() if money or not rule.money}
    chosen = "" if asked.stage is None else str(asked.stage)
    return [
        (name, label, [(key, text, key == now) for key, text in options.items()])
        for name, label, options, now in (
            ("stage", _("Has rooms at"), {"": _("any stage"), **stage_names}, chosen),
            ("red", _("Red by"), {"": _("any rule or none"), **told}, asked.red),
            ("sort", _("Order"), address.JOB_SORTS, asked.sort),
        )
    ]
