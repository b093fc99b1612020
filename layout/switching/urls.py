"""Addresses of the pages of switches and circuits."""

from django.urls import path

from layout.switching import circuits_web, web

ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "switches/", web.switches, name="switches"),
    path(ROOM + "switches/take/", web.take_switches, name="take_switches"),
    path(ROOM + "switches/put-back/", web.put_back_switches, name="put_back_switches"),
    path(ROOM + "circuits/", circuits_web.circuits, name="circuits"),
    path("jobs/<int:job_id>/circuits/", circuits_web.job_circuits, name="job_circuits"),
    path("circuits/<int:circuit_id>/", circuits_web.circuit, name="circuit"),
]
