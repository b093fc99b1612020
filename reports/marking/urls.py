"""Addresses of marking out and finding again."""

from django.urls import path

from reports.marking import phone_web

urlpatterns = [
    path("field/rooms/<int:room_id>/mark/", phone_web.mark_out, name="field_mark_out"),
]
