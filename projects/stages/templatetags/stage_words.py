"""Stages in words, for templates."""

from django import template

from projects.stages.order import name_of

register = template.Library()


@register.filter
def at_key(table, key):
    """{{ names|at_key:event.went_to }}; nothing for an absent key."""
    return table.get(key, "")


@register.filter
def stage_name(room):
    """{{ room|stage_name }}: as its kind of job calls it. The room has its job."""
    return name_of(room.stage, room.job)
