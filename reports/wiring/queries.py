"""Reads of runs by hand, opened reels and pulls: each through its shop, each in a fixed number of queries."""

from django.core.paginator import Paginator
from django.http import Http404

from layout.engine.lengths import ZERO
from reports.estimating.cable_schedule import Opened
from reports.wiring.models import HandRun, Pull, Reel

PAGE = 50


def reel_of(shop, reel_id):
    reel = Reel.objects.of(shop).filter(pk=reel_id).first()
    if reel is None:
        raise Http404
    return reel


def reels_of(shop):
    return Reel.objects.of(shop).order_by("cable", "-left", "pk")


def page_of_reels(shop, number):
    return Paginator(reels_of(shop), PAGE).get_page(number)


def pulls_of(reel):
    return reel.pulls.select_related("room", "by__user", "undone_by").order_by("-pk")


def page_of_pulls(reel, number):
    return Paginator(pulls_of(reel), PAGE).get_page(number)


def pull_of(reel, pull_id):
    found = reel.pulls.filter(pk=pull_id).first()
    if found is None:
        raise Http404
    return found


def opened_reels(shop):
    """What is left on opened reels, by cable: {cable: [Opened]}, the fullest first."""
    found = {}
    for reel in Reel.objects.of(shop).filter(left__gt=0).order_by("cable", "-left", "pk"):
        found.setdefault(reel.cable, []).append(Opened(reel.name, reel.left, reel.pk))
    return found


def _standing(shop, rooms):
    """Pulls of these rooms, by their pks, that were not taken back."""
    return Pull.objects.of(shop).filter(room_id__in=list(rooms), undoes=None, undone_by=None)


def pulled_runs(shop, rooms):
    """{(room's pk, run key): pull} of runs whose cable is in, the newest where one was pulled twice."""
    rows = _standing(shop, rooms).exclude(kind="").select_related("reel").order_by("pk")
    return {(row.room_id, row.key): row for row in rows}


def feet_pulled(shop, rooms):
    """{room's pk: {cable: Distance}} as the jackets say: what rooms (pks) really took."""
    found = {}
    for row in _standing(shop, rooms).select_related("reel"):
        by_cable = found.setdefault(row.room_id, {})
        by_cable[row.reel.cable] = by_cable.get(row.reel.cable, ZERO) + row.used
    return found


def hand_runs_of(room):
    return HandRun.objects.of(room.shop_id).filter(room=room).select_related("by__user").order_by("pk")
