"""What the address of the Rooms screen asks for. What it doesn't know is left out and said. Nothing here queries."""

from dataclasses import dataclass, replace

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.catalogue.tables import stages
from reports.rooms.rules import usual_rules

JOBS, WALL, TABLE = "jobs", "wall", "table"
VIEWS = {JOBS: gettext_lazy("Jobs"), WALL: gettext_lazy("Wall of tags"), TABLE: gettext_lazy("Table")}
EVERY = "every"
WHICH_JOBS = {EVERY: gettext_lazy("every job ever")}

FILLS = {
    "not_started": gettext_lazy("not started"),
    "in_hand": gettext_lazy("in hand"),
    "waiting": gettext_lazy("waiting"),
    "done": gettext_lazy("done"),
}
OPEN, CANCELLED = "open", "cancelled"
STATES = {**FILLS, OPEN: gettext_lazy("anything but done"), CANCELLED: gettext_lazy("cancelled")}

FLAGS = {
    "waits": gettext_lazy("waits for someone"),
    "old_card": gettext_lazy("printed card out of date"),
    "no_layout": gettext_lazy("no layout"),
    "unverified": gettext_lazy("cutout not verified"),
}

SORTS = {
    "newest": gettext_lazy("Newest job first"),
    "job": gettext_lazy("Job number"),
    "room": gettext_lazy("Room"),
    "level": gettext_lazy("Level"),
    "stage": gettext_lazy("Stage, earliest first"),
    "-stage": gettext_lazy("Stage, latest first"),
    "-lights": gettext_lazy("Most lights"),
    "-speakers": gettext_lazy("Most speakers"),
    "-revision": gettext_lazy("Most revisions"),
    "stood": gettext_lazy("Longest at its stage"),
    "updated": gettext_lazy("Longest untouched"),
    "-updated": gettext_lazy("Latest change"),
}

JOB_SORTS = {
    "loss": gettext_lazy("Most to lose first"),
    "next": gettext_lazy("Next day due"),
    "oldest": gettext_lazy("Oldest room first"),
    "newest": gettext_lazy("Newest job first"),
    "job": gettext_lazy("Job number"),
}
HOLDS = {stage.hold_point: gettext_lazy(stage.hold_label) for stage in stages() if stage.hold_point}
# Over every job a shop ever had, these would be looked for in each of half a million rooms.
SLOW_SORTS = ("-lights", "-speakers", "-revision")

LONGEST_SEARCH = 100  # characters: a job's name is at most 120
MOST_WORDS = 6
LONGEST_ID = 18  # digits: what a database id can hold


@dataclass(frozen=True, slots=True)
class Asked:
    """A read address. Empty text and None: not asked for. notes: what was asked for and isn't here, for people."""

    view: str
    job_id: int | None
    stage: int | None
    state: str
    flag: str
    sort: str
    words: tuple[str, ...]
    page: int
    notes: tuple[str, ...]
    red: str = ""
    who: str = ""  # for whom the rooms wait
    hold: str = ""  # the hold point they come to next
    crew: int | None = None
    every: bool = False  # jobs long closed too, not only those under way

    @property
    def narrowed(self) -> bool:
        by_number = (self.job_id, self.stage, self.crew)
        return any(number is not None for number in by_number) or bool(
            self.state or self.flag or self.words or self.red or self.who or self.hold or self.every
        )

    @property
    def told_by_now(self) -> bool:
        """Is something asked for that only the shop as it is can tell?"""
        return bool(self.red or self.who or self.hold)

    @property
    def whole_past(self) -> bool:
        """Is every room asked for that the shop ever had? Then only what an index knows is counted and sorted by."""
        return self.every and self.job_id is None


def read(query) -> Asked:
    """From the address's query (a QueryDict, or any mapping of text). Never raises for what a person can type there."""
    notes: list[str] = []
    known_stages = {str(stage.number): _(stage.name) for stage in stages()}
    stage = _one_of(query, "stage", known_stages, _("stage"), notes)
    view = _one_of(query, "view", VIEWS, _("view"), notes) or JOBS
    sorts = JOB_SORTS if view == JOBS else SORTS
    asked = Asked(
        view=view,
        job_id=_id(query.get("job", ""), _("job"), notes),
        stage=int(stage) if stage else None,
        state=_one_of(query, "state", STATES, _("state"), notes),
        flag=_one_of(query, "flag", FLAGS, _("mark"), notes),
        sort=_one_of(query, "sort", sorts, _("order"), notes) or next(iter(sorts)),
        words=_words(query.get("q", "")),
        page=_page(query.get("page", "")),
        notes=tuple(notes),
        red=_one_of(query, "red", usual_rules(), _("rule"), notes),
        who=" ".join(_words(query.get("who", ""), most=30)),
        hold=_one_of(query, "hold", HOLDS, _("hold point"), notes),
        crew=_id(query.get("crew", ""), _("person"), notes),
        every=_one_of(query, "jobs", WHICH_JOBS, _("choice of jobs"), notes) == EVERY,
    )
    asked, more = _within_reach(asked)
    return replace(asked, notes=(*notes, *more))


def _within_reach(asked: Asked) -> tuple[Asked, list[str]]:
    """Without what a view can't answer, and what is said about that."""
    notes = []
    if asked.view == JOBS and (asked.state or asked.flag or asked.every):
        notes.append(_("Rows of jobs show what is under way. Choose the wall or the table to narrow by state or mark."))
        asked = replace(asked, state="", flag="", every=False)
    if asked.whole_past and (asked.flag or asked.told_by_now or asked.crew is not None or asked.sort in SLOW_SORTS):
        notes.append(_("Marks, red rules, crew and lights are told for jobs under way, or for one job: choose it."))
        sort = "newest" if asked.sort in SLOW_SORTS else asked.sort
        asked = replace(asked, flag="", red="", who="", hold="", crew=None, sort=sort)
    return asked, notes


def unknown(what: str, given: str) -> str:
    """The note for something the address asks for that isn't here."""
    return _("There is no %(what)s “%(given)s” here, so it was left out.") % {"what": what, "given": given[:40]}


def _one_of(query, name: str, choices: dict[str, str | Promise], what: str, notes: list[str]) -> str:
    given = query.get(name, "").strip()
    if not given or given in choices:
        return given
    notes.append(unknown(what, given))
    return ""


def _id(given: str, what: str, notes: list[str]) -> int | None:
    given = given.strip()
    if not given:
        return None
    if given.isascii() and given.isdecimal() and len(given) <= LONGEST_ID:
        return int(given)
    notes.append(unknown(what, given))
    return None


def _words(given: str, most: int = MOST_WORDS) -> tuple[str, ...]:
    """Up to six words, or so many. A character that can't be seen (PostgreSQL refuses NUL) ends a word."""
    seen = "".join(char if char.isprintable() else " " for char in given[:LONGEST_SEARCH])
    return tuple(seen.split()[:most])


def _page(given: str) -> int:
    return max(1, int(given)) if given.isascii() and given.isdecimal() and len(given) <= LONGEST_ID else 1
