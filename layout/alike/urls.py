from django.urls import path

from layout.alike import web

urlpatterns = [
    path("rooms/<int:room_id>/alike/", web.alike, name="alike"),
    path("rooms/<int:room_id>/alike/hand-on/", web.hand_on, name="hand_on"),
    path("rooms/<int:room_id>/alike/follow/", web.follow_type, name="follow_type"),
]
