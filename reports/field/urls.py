from django.urls import path

from reports.field import checks_web, paper_web, room_web, shells, sync_web, web

ROOM = "field/rooms/<int:room_id>/"

urlpatterns = [
    path("sw.js", shells.worker, name="field_worker"),
    path("field/", web.today, name="field"),
    path("field/keep/", web.keep, name="field_keep"),
    path("field/hello/", sync_web.hello, name="field_hello"),
    path("field/report/", sync_web.report, name="field_report"),
    path("field/sync/", sync_web.sync, name="field_sync"),
    path("field/looks/", web.looks, name="field_looks"),
    path("field/looks/<int:entry_id>/settle/", web.settle, name="field_settle"),
    path("field/phones/", web.phones, name="field_phones"),
    path("field/phones/<int:phone_id>/end/", web.end_phone, name="field_end_phone"),
    path("field/no-signal/", shells.no_signal, name="field_no_signal"),
    path("field/cannot-tell/", shells.cannot_tell, name="field_cannot_tell"),
    path("field/waiting/", shells.waiting, name="field_waiting"),
    path("rooms/<int:room_id>/paper-card/", paper_web.paper_card, name="paper_card"),
    path(ROOM, web.field_room, name="field_room"),
    path(ROOM + "card/", room_web.card, name="field_card"),
    path(ROOM + "measure/", room_web.measure, name="field_measure"),
    path(ROOM + "checks/", checks_web.checks, name="field_checks"),
    path(ROOM + "photos/", room_web.photos, name="field_photos"),
    path(ROOM + "note/", room_web.note, name="field_note"),
]
