from django.urls import include, path

from layout import web

urlpatterns = [
    path("", include("layout.editor.urls")),
    path("rooms/<int:room_id>/", web.room, name="room"),
    path("rooms/<int:room_id>/preview/", web.room_preview, name="room_preview"),
    path("rooms/<int:room_id>/issue/", web.issue_revision, name="issue_revision"),
    path("rooms/<int:room_id>/revisions/<int:number>/", web.revision, name="revision"),
    path("rooms/<int:room_id>/revisions/<int:number>/approve/", web.approve_revision, name="approve_revision"),
]
