"""Addresses of marking out, cutting and finding again."""

from django.urls import path

from reports.marking import box_web, phone_web, web

ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path("field/" + ROOM + "mark/", phone_web.mark_out, name="field_mark_out"),
    path(ROOM + "marking/", web.marking_papers, name="marking_papers"),
    path(ROOM + "marking/card/", web.print_marking_card, name="print_marking_card"),
    path(ROOM + "marking/holes/", web.hole_list, name="hole_list"),
    path(ROOM + "marking/labels/", web.mark_labels, name="mark_labels"),
    path(ROOM + "marking/as-built/", web.as_built_paper, name="as_built_paper"),
    path(ROOM + "marks/", box_web.find_mark, name="find_mark"),
    path(ROOM + "marks/plan.svg", box_web.find_mark_plan, name="find_mark_plan"),
    path(ROOM + "marks/<slug:mark>/", box_web.mark_box, name="mark_box"),
    path("catalog/<int:type_id>/hole/", web.hole_template, name="hole_template"),
    path("check/<slug:token>/changed/", web.check_changes, name="check_changes"),
]
