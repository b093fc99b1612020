from django.urls import path

from projects.photos import web

ROOM = "rooms/<int:room_id>/"
SHOT = "photos/<int:shot_id>/"
ITEM = "punch/<int:punch_id>/"

urlpatterns = [
    path(ROOM + "photos/", web.photos, name="photos"),
    path(SHOT, web.photo, name="photo"),
    path(SHOT + "file/", web.photo_file, name="photo_file"),
    path(SHOT + "small/", web.photo_small, name="photo_small"),
    path(SHOT + "take-back/", web.take_back_photo, name="take_back_photo"),
    path(SHOT + "put-back/", web.put_back_photo, name="put_back_photo"),
    path(ROOM + "punch/", web.punch, name="punch"),
    path(ITEM + "close/", web.close_punch, name="close_punch"),
    path(ITEM + "open/", web.open_punch, name="open_punch"),
]
