"""Addresses of the pages that suit a room to its marks and back."""

from django.urls import path

from layout.suit import web

ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "framing/", web.framing_to_suit, name="framing_to_suit"),
    path(ROOM + "framing/take/", web.take_framing, name="take_framing"),
    path(ROOM + "lid/", web.lid, name="lid"),
    path(ROOM + "task/", web.task_lines, name="task_lines"),
    path(ROOM + "task/hold/", web.hold_task, name="hold_task"),
    path(ROOM + "next-door/", web.next_door, name="next_door"),
    path(ROOM + "next-door/hold/", web.hold_next_door, name="hold_next_door"),
]
