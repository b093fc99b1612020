"""Addresses of change orders, field extras and moved lights."""

from django.urls import path

from reports.changes import field_web, web

ONE = "changes/<int:change_id>/"
EXTRA = "extras/<int:extra_id>/"

urlpatterns = [
    path("changes/", web.unsigned, name="unsigned"),
    path("jobs/<int:job_id>/changes/", web.job_changes, name="job_changes"),
    path("jobs/<int:job_id>/changes/new/", web.new_change, name="new_change"),
    path("jobs/<int:job_id>/changes/from-layouts/", web.change_from_layouts, name="change_from_layouts"),
    path("jobs/<int:job_id>/changes/terms/", web.contract_terms, name="contract_terms"),
    path("rooms/<int:room_id>/change/", web.room_change, name="room_change"),
    path(ONE, web.change, name="change"),
    path(ONE + "edit/", web.edit_change, name="edit_change"),
    path(ONE + "line/", web.change_line, name="change_line"),
    path(ONE + "goods/", web.change_goods, name="change_goods"),
    path(ONE + "send/", web.send_change, name="send_change"),
    path(ONE + "approve/", web.approve_change, name="approve_change"),
    path(ONE + "spoken/", web.spoken_change, name="spoken_change"),
    path(ONE + "reject/", web.reject_change, name="reject_change"),
    path(ONE + "void/", web.void_change, name="void_change"),
    path(ONE + "paper/", web.change_paper, name="change_paper"),
    path("extras/", field_web.extras, name="extras"),
    path("jobs/<int:job_id>/extra/", field_web.job_extra, name="job_extra"),
    path("rooms/<int:room_id>/extra/", field_web.room_extra, name="room_extra"),
    path(EXTRA, field_web.extra, name="extra"),
    path(EXTRA + "photos/<int:photo_id>/", field_web.extra_photo, name="extra_photo"),
    path(EXTRA + "charge/", field_web.charge_extra, name="charge_extra"),
    path(EXTRA + "close/", field_web.close_extra, name="close_extra"),
    path("rooms/<int:room_id>/moved-lights/", field_web.moved_lights, name="moved_lights"),
]
