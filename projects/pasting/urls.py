from django.urls import path

from projects.pasting import web

urlpatterns = [path("jobs/<int:job_id>/paste/", web.paste_rooms, name="paste_rooms")]
