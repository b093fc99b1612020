"""Addresses of what was marked, set and cut."""

from django.urls import path

from layout.as_built import web

ROOM = "rooms/<int:room_id>/as-built/"

urlpatterns = [
    path(ROOM, web.as_built, name="as_built"),
    path(ROOM + "take-back/", web.take_back_mark, name="take_back_mark"),
    path(ROOM + "answer/", web.answer_mark_move, name="answer_mark_move"),
]
