"""Addresses of the pages where layouts are chosen by their light."""

from django.urls import path

from layout.light.choices import web

ROOM = "rooms/<int:room_id>/light/"

urlpatterns = [
    path(ROOM + "compare/", web.compare, name="light_compare"),
    path(ROOM + "propose/", web.propose, name="light_propose"),
    path(ROOM + "propose/take/", web.take, name="take_light_proposal"),
]
