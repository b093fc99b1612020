"""Addresses of what a room is furnished with."""

from django.urls import path

from layout.furniture import web

ROOM = "rooms/<int:room_id>/furniture/"

urlpatterns = [
    path(ROOM, web.furniture, name="furniture"),
    path(ROOM + "<int:piece_id>/", web.piece, name="piece"),
    path(ROOM + "<int:piece_id>/settle/", web.settle_piece, name="settle_piece"),
]
