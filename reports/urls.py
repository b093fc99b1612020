from django.urls import include, path

from reports import history, job_prices, web

ROOM = "rooms/<int:room_id>/revisions/<int:number>/"
JOB = "jobs/<int:job_id>/"

urlpatterns = [
    path(ROOM + "card/", web.card, name="card"),
    path(ROOM + "card/print/", web.print_card, name="print_card"),
    path(ROOM + "schedule/", web.schedule, name="schedule"),
    path(ROOM + "takeoff/", web.takeoff, name="takeoff"),
    path(ROOM + "checklist/", web.checklist, name="checklist"),
    path(ROOM + "restore/", history.restore_revision, name="restore_revision"),
    path("rooms/<int:room_id>/history/", history.room_history, name="room_history"),
    path("rooms/<int:room_id>/light/report/", web.light_report, name="light_report"),
    path(JOB + "schedule/", web.job_schedule, name="job_schedule"),
    path(JOB + "checklist/", web.job_checklist, name="job_checklist"),
    path(JOB + "packet/", web.job_packet, name="job_packet"),
    path(JOB + "prices/", job_prices.job_prices, name="job_prices"),
    path("check/<slug:token>/", web.check_card, name="check_card"),
    path("", include("reports.rooms.urls")),
    path("", include("reports.days.urls")),
    path("", include("reports.office.urls")),
    path("", include("reports.figures.urls")),
    path("", include("reports.cables.urls")),
    path("", include("reports.prices.urls")),
    path("", include("reports.takeoffs.urls")),
    path("", include("reports.purchasing.urls")),
    path("", include("reports.bids.urls")),
    path("", include("reports.changes.urls")),
    path("", include("reports.close_out.urls")),
    path("", include("reports.field.urls")),
    path("", include("reports.marking.urls")),
    path("", include("reports.checks.urls")),
    path("", include("reports.inspections.urls")),
    path("", include("reports.approvals.urls")),
]
