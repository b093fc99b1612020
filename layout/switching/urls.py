"""Addresses of the pages of switches and circuits."""

from django.urls import path

from layout.switching import web

ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "switches/", web.switches, name="switches"),
    path(ROOM + "switches/take/", web.take_switches, name="take_switches"),
    path(ROOM + "switches/put-back/", web.put_back_switches, name="put_back_switches"),
]
