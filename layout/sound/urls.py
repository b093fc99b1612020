"""Addresses of the pages of a room's sound."""

from django.urls import path

from layout.sound import web

ROOM = "rooms/<int:room_id>/sound/"

urlpatterns = [
    path(ROOM + "settings/", web.sound_settings, name="sound_settings"),
    path(ROOM + "low/", web.sound_low, name="sound_low"),
]
