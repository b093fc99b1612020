from django.urls import path

from reports.checks import web

urlpatterns = [
    path("rooms/<int:room_id>/checks/", web.room_checks, name="room_checks"),
    path("rooms/<int:room_id>/checks/rest/", web.pass_rest, name="pass_rest"),
    path("rooms/<int:room_id>/checks/known/", web.room_known, name="room_known"),
    path("jobs/<int:job_id>/checks/", web.job_checks, name="job_checks"),
]
