from django.urls import path

from reports.cables import reels_web, web

JOB = "jobs/<int:job_id>/cables/"

urlpatterns = [
    path("rooms/<int:room_id>/wiring/", web.room_wiring, name="room_wiring"),
    path(JOB, web.job_cables_page, name="job_cables"),
    path(JOB + "labels/", web.cable_labels, name="cable_labels"),
    path(JOB + "pull/", reels_web.pull_list, name="pull_list"),
    path(JOB + "reels/", reels_web.reel_plan, name="reel_plan"),
    path("reels/", reels_web.reels, name="reels"),
    path("reels/<int:reel_id>/", reels_web.reel, name="reel"),
]
