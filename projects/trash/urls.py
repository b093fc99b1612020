from django.urls import path

from projects.trash import web

urlpatterns = [
    path("trash/", web.trash, name="trash"),
    path("rooms/<int:room_id>/trash/", web.trash_room, name="trash_room"),
    path("jobs/<int:job_id>/trash/", web.trash_job, name="trash_job"),
    path("trash/rooms/<int:room_id>/restore/", web.restore_room, name="restore_room"),
    path("trash/jobs/<int:job_id>/restore/", web.restore_job, name="restore_job"),
]
