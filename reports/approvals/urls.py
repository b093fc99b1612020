from django.urls import path

from reports.approvals import client_web, web

ROOM = "rooms/<int:room_id>/client/"

urlpatterns = [
    path("clients/", web.client_answers, name="client_answers"),
    path("clients/<int:answer_id>/seen-to/", web.see_to_answer, name="see_to_answer"),
    path(ROOM, web.room_client, name="room_client"),
    path(ROOM + "<int:approval_id>/close/", web.close_approval, name="close_approval"),
    path(ROOM + "<int:approval_id>/copy/", web.office_copy, name="office_copy"),
    path("look/<slug:approval>/", client_web.client_approval, name="client_approval"),
    path("look/<slug:approval>/plan.svg", client_web.approval_plan, name="approval_plan"),
    path("look/<slug:approval>/copy/", client_web.approval_copy, name="approval_copy"),
]
