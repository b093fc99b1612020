from django.urls import path

from projects.ceilings import web

ROOM = "rooms/<int:room_id>/overhead/"

urlpatterns = [
    path(ROOM, web.overhead, name="overhead"),
    path(ROOM + "put-back/", web.put_back, name="put_back_overhead"),
    path(ROOM + "things/new/", web.new_thing, name="new_thing"),
    path(ROOM + "things/<int:place>/", web.thing, name="thing"),
]
