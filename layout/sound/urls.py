"""Addresses of the pages of a room's sound."""

from django.urls import path

from layout.sound import web

ROOM = "rooms/<int:room_id>/sound/"

urlpatterns = [
    path(ROOM, web.sound, name="sound"),
    path(ROOM + "settings/", web.sound_settings, name="sound_settings"),
    path(ROOM + "background/", web.sound_background, name="sound_background"),
    path(ROOM + "low/", web.sound_low, name="sound_low"),
    path(ROOM + "choose/", web.sound_choose, name="sound_choose"),
    path(ROOM + "choose/take/", web.take_sound_choice, name="take_sound_choice"),
]
