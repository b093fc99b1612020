from django.urls import path

from projects.joining import web

JOB = "jobs/<int:job_id>/phones/"

urlpatterns = [
    path("join/", web.join, name="join"),
    path(JOB, web.job_phones, name="job_phones"),
    path(JOB + "codes/<int:code_id>/end/", web.end_join_code, name="end_join_code"),
    path(JOB + "<int:joined_id>/again/", web.phone_again, name="phone_again"),
    path(JOB + "<int:joined_id>/until/", web.phone_until, name="phone_until"),
    path(JOB + "<int:joined_id>/end/", web.end_phone, name="end_phone"),
]
