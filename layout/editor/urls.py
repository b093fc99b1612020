from django.urls import path

from layout.editor import files, picture_web, web

ROOM = "rooms/<int:room_id>/plan/"

urlpatterns = [
    path(ROOM, web.plan, name="plan"),
    path(ROOM + "live/", web.plan_live, name="plan_live"),
    path(ROOM + "keep/", web.plan_keep, name="plan_keep"),
    path(ROOM + "plan.dxf", files.dxf, name="plan_dxf"),
    path(ROOM + "plan.svg", files.svg, name="plan_svg"),
    path(ROOM + "picture/", picture_web.picture, name="plan_picture"),
    path(ROOM + "picture/upload/", picture_web.upload, name="plan_picture_upload"),
    path(ROOM + "picture/scale/", picture_web.scale, name="plan_picture_scale"),
    path(ROOM + "picture/remove/", picture_web.remove, name="plan_picture_remove"),
]
