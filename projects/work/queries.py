"""Reads of a shop's long work: only the kinds a person may do. An absent id and another's answer alike."""

from django.core.paginator import Paginator
from django.http import Http404

from projects.platform.permissions import may
from projects.work.kinds import KINDS
from projects.work.models import Work

PAGE = 50


def works_of(member):
    """The shop's work that this person may see, the newest first."""
    kinds = [kind.name for kind in KINDS.values() if may(member, kind.may)]
    return Work.objects.of(member.shop_id).filter(kind__in=kinds).select_related("asked_by__user").order_by("-pk")


def page_of_work(member, number):
    return Paginator(works_of(member), PAGE).get_page(number)


def work_of(member, work_id):
    work = works_of(member).filter(pk=work_id).first()
    if work is None:
        raise Http404
    return work


def where(work):
    """The page of what came out; empty while there is none."""
    kind = KINDS.get(work.kind)
    return kind.where(work) if kind and work.state == "done" else ""
