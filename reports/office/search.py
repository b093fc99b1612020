"""One question over jobs, rooms, the catalog and the price list: every word has to be in it somewhere.

The words of a room are its own and its job's. What shows money is looked for only where the person may see it.
"""

from dataclasses import dataclass

from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.catalogue.models import ControlType, FixtureType
from projects.jobs.models import Job, Room
from projects.platform.permissions import may
from reports.prices.models import Item

MOST = 20  # of a kind on one page
MOST_WORDS = 6
LONGEST = 80


@dataclass(frozen=True, slots=True)
class Found:
    """One thing that was found: what it is called, what stands beside it, and its page."""

    name: str
    beside: str
    address: str


@dataclass(frozen=True, slots=True)
class Group:
    title: str
    found: list[Found]
    more: bool


def words_of(text: str) -> list[str]:
    """At most MOST_WORDS words of what was typed."""
    return text[:LONGEST].split()[:MOST_WORDS]


def search(member, words) -> list[Group]:
    """Groups with something in them, in the order jobs, rooms, catalog, price list. One query each."""
    if not words:
        return []
    asked = [_jobs, _rooms, _types, _controls]
    if may(member, "see prices"):
        asked.append(_items)
    groups = [ask(member.shop, words) for ask in asked]
    return [group for group in groups if group.found]


def _with(words, *columns):
    wanted = Q()
    for word in words:
        there = Q()
        for column in columns:
            there |= Q(**{f"{column}__icontains": word})
        wanted &= there
    return wanted


def _group(title, rows, told):
    rows = list(rows[: MOST + 1])
    return Group(str(title), [told(row) for row in rows[:MOST]], len(rows) > MOST)


def _jobs(shop, words):
    rows = Job.objects.of(shop).filter(_with(words, "number", "name", "client", "site")).order_by("-pk")
    return _group(gettext_lazy("Jobs"), rows, lambda job: Found(
        str(job), " · ".join(filter(None, (job.client, job.site))), reverse("job", args=[job.pk])
    ))  # fmt: skip


def _rooms(shop, words):
    rows = Room.objects.of(shop).filter(_with(words, "name", "level", "job__number", "job__name", "job__client"))
    rows = rows.filter(_one_of_its_own(words)).select_related("job").order_by("-pk")
    return _group(gettext_lazy("Rooms"), rows, lambda room: Found(
        room.name, " · ".join(filter(None, (room.level, str(room.job), _("stage %(n)s") % {"n": room.stage}))),
        reverse("room", args=[room.pk]),
    ))  # fmt: skip


def _one_of_its_own(words):
    """A job's name alone finds the job, not every room of it."""
    own = Q()
    for word in words:
        own |= Q(name__icontains=word) | Q(level__icontains=word)
    return own


def _types(shop, words):
    rows = FixtureType.objects.of(shop).filter(_with(words, "name", "key")).order_by("retired", "name", "pk")
    return _group(gettext_lazy("Catalog"), rows, lambda one: Found(
        one.name, _("retired") if one.retired else one.get_kind_display(), reverse("fixture_type", args=[one.pk])
    ))  # fmt: skip


def _controls(shop, words):
    rows = ControlType.objects.of(shop).filter(_with(words, "name")).order_by("name", "pk")
    return _group(gettext_lazy("Switches and dimmers"), rows, lambda one: Found(
        one.name, "", reverse("control_type", args=[one.pk])
    ))  # fmt: skip


def _items(shop, words):
    rows = Item.objects.of(shop).filter(_with(words, "name", "key")).order_by("retired", "name", "pk")
    return _group(gettext_lazy("Price list"), rows, lambda one: Found(
        one.name, _("retired") if one.retired else "", reverse("price_item", args=[one.pk])
    ))  # fmt: skip
