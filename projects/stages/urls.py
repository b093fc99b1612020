"""Addresses of the pages for stages."""

from django.urls import path

from projects.stages import bulk_web, web

urlpatterns = [
    path("rooms/<int:room_id>/stage/", web.move_stage, name="move_stage"),
    path("rooms/<int:room_id>/stage/hold/", web.hold_room, name="hold_room"),
    path("rooms/<int:room_id>/stage/go-on/", web.lift_hold, name="lift_hold"),
    path("rooms/<int:room_id>/stage/cancel/", web.cancel_room, name="cancel_room"),
    path("rooms/<int:room_id>/stage/bring-back/", web.bring_back_room, name="bring_back_room"),
    path("rooms/<int:room_id>/stage/look/", web.look_again, name="look_again"),
    path("rooms/<int:room_id>/stage/passed/<int:pass_id>/", web.answer_pass, name="answer_pass"),
    path("rooms/<int:room_id>/stage/history/", web.stage_history, name="stage_history"),
    path("jobs/<int:job_id>/passed/", web.job_passes, name="job_passes"),
    path("passed/", web.open_passes, name="open_passes"),
    path("rooms/move/", bulk_web.move_rooms, name="move_rooms"),
]
