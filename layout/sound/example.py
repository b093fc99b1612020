"""A small drawn room for pages that have nothing to show yet: what they would show, of invented numbers."""

from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from layout.drawing.picture import Table
from layout.engine.marks import Kind, Side
from layout.sound.pictures.angles import Wedge, angles_picture
from layout.sound.pictures.values import MarkAt, RoomAt, ScreenAt, SeatAt

SEAT = (2.3, 2.2)


def angles_example():
    room = RoomAt(
        4.6, 5.6, seats=(SeatAt("1", *SEAT, main=True),), screen=ScreenAt(Side.FAR, 2.3, 2.4),
        marks=(MarkAt("SP1", Kind.SPEAKER, 0.75, 4.9, "L"), MarkAt("SP2", Kind.SPEAKER, 2.6, 4.9, "R")),
    )  # fmt: skip
    wedges = [
        Wedge("L", 115, 125, (0.75, 4.9), True),
        Wedge("R", 55, 65, (2.6, 4.9), False, (3.6, 4.45)),
    ]
    picture = angles_picture(
        room, SEAT, wedges, Table("", (), ()), key="example", title=_("An example"),
        words_for=_("A screen, one seat and two speakers: one in its wedge, one with the move that mends it."),
        screen_name=_("screen"),
    )  # fmt: skip
    return mark_safe(picture.svg)  # written by layout.drawing, which escapes every word
