from django.urls import path

from projects.jobs import web
from projects.platform.pages import read_length_page

urlpatterns = [
    path("read-length/", read_length_page, name="read_length"),
    path("jobs/", web.jobs, name="jobs"),
    path("jobs/new/", web.new_job, name="new_job"),
    path("jobs/<int:job_id>/", web.job, name="job"),
    path("jobs/<int:job_id>/edit/", web.edit_job, name="edit_job"),
    path("rooms/new/", web.new_room, name="new_room"),
    path("rooms/<int:room_id>/edit/", web.edit_room, name="edit_room"),
    path("rooms/<int:room_id>/copy/", web.copy_room, name="copy_room"),
    path("rooms/<int:room_id>/build-up/", web.build_up, name="build_up"),
    path("rooms/<int:room_id>/measurements/", web.measurements, name="measurements"),
    path("rooms/<int:room_id>/counts/", web.counts, name="counts"),
]
