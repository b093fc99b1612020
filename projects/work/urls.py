"""Addresses of the pages for long work."""

from django.urls import path

from projects.work import web

urlpatterns = [
    path("work/", web.works, name="works"),
    path("work/<int:work_id>/", web.work, name="work"),
    path("work/<int:work_id>/state/", web.work_state, name="work_state"),
    path("work/<int:work_id>/cancel/", web.cancel_work, name="cancel_work"),
    path("work/<int:work_id>/resume/", web.resume_work, name="resume_work"),
]
