"""Whom a room waits for, as other parts say it of a room and take it back. Knows no reason to wait."""

from django.conf import settings
from django.utils import timezone, translation

from projects.jobs.models import Room


def wait_for(room, whom):
    """From now on the room waits for whom (translated words), unless it waits for somebody already."""
    Room.objects.of(room.shop_id).filter(pk=room.pk, waits_for="").update(
        waits_for=str(whom), updated_at=timezone.now()
    )


def wait_no_more(room, whom):
    """It has come. What people wrote over it meanwhile stays."""
    Room.objects.of(room.shop_id).filter(pk=room.pk, waits_for__in=_in_every_language(whom)).update(waits_for="")


def _in_every_language(words):
    """Who answers may read another language than who asked: it is stored as that one reads."""
    said = set()
    for language, _name in settings.LANGUAGES:
        with translation.override(language):
            said.add(str(words))
    return said
