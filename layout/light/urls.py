"""Addresses of the pages of a room's light."""

from django.urls import include, path

from layout.light import web

ROOM = "rooms/<int:room_id>/light/"

urlpatterns = [
    path("", include("layout.light.choices.urls")),
    path(ROOM, web.light, name="light"),
    path(ROOM + "work-out/", web.work_out_light, name="work_out_light"),
    path(ROOM + "settings/", web.light_settings, name="light_settings"),
    path(ROOM + "aims/", web.light_aims, name="light_aims"),
    path(ROOM + "tasks/", web.light_tasks, name="light_tasks"),
    path(ROOM + "readings/", web.light_readings, name="light_readings"),
]
