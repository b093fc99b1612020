"""What a page can't work out, and what it would take: said in one sentence each, with the page where it is entered."""

from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _


@dataclass(frozen=True, slots=True)
class Missing:
    """cannot: what isn't told. takes: what is needed. link, where: the page to enter it on."""

    cannot: str
    takes: str
    link: str = ""
    where: str = ""


def layout(heard):
    return Missing(_("Nothing can be placed."), heard.refused, reverse("room", args=[heard.room.pk]), _("To the room"))


def height(heard):
    return Missing(
        _("No level and no angle upward can be told: the room's height isn't taped."),
        _("Tape it floor to framing, and enter the build-up."),
        reverse("measurements", args=[heard.room.pk]),
        _("Readings"),
    )


def low_ceiling(heard):
    return Missing(
        _("The ears are as high as the ceiling."),
        _("Check the ear height and the room's height."),
        _settings(heard),
        _("Seats, screen, materials"),
    )


def speakers(heard):
    return Missing(
        _("No speaker is laid out on this ceiling."),
        _("Choose a speaker type and where speakers go, on the room's page."),
        reverse("room", args=[heard.room.pk]),
        _("To the room"),
    )


def seats(heard):
    return Missing(
        _("No seat is entered: nothing can be told for a listener."),
        _("Enter where people sit, from the left wall and from the door wall."),
        _settings(heard),
        _("Enter seats"),
    )


def outside(heard, names):
    return Missing(
        _("Not counted, for it stands outside this room: %s.") % ", ".join(names),
        _("Check where it is from the left and the door wall, and the room's own readings."),
        _settings(heard),
        _("Seats, screen, materials"),
    )


def system(heard):
    return Missing(
        _("No loudspeaker layout is chosen: there is no angle to hold a speaker to."),
        _("Choose one, and say what each speaker plays."),
        _settings(heard),
        _("Choose it"),
    )


def no_angles(heard):
    return Missing(
        _("This room is for background music or speech: there are no angles to hold."),
        _("What counts is how evenly the speakers cover it."),
        reverse("sound_background", args=[heard.room.pk]),
        _("Coverage and level"),
    )


def roles(heard):
    return Missing(
        _("Nobody said what each speaker plays."),
        _("Give each speaker its channel."),
        _settings(heard),
        _("Say it"),
    )


def of_the_type(heard, lacking):
    """lacking: names of what its sheet says and the catalog doesn't, as people say them."""
    kind = heard.speaker_type
    return Missing(
        _("%s: levels can't be told.") % kind.name,
        _("The catalog has no %s for it. Type it off its sheet.") % _(" and no ").join(lacking),
        reverse("fixture_type", args=[kind.pk]),
        _("The type's page"),
    )


def materials(heard, surfaces):
    return Missing(
        _("Reverberation can't be told: nobody said what %s is of.") % ", ".join(surfaces),
        _("Say it for every surface, the nearest there is in the table."),
        _settings(heard),
        _("Enter materials"),
    )


def _settings(heard):
    return reverse("sound_settings", args=[heard.room.pk])
