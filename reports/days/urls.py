from django.urls import path

from reports.days import own_web, web

urlpatterns = [
    path("crew/", web.crew_plan, name="crew_plan"),
    path("crew/<int:day_id>/", web.crew_day, name="crew_day"),
    path("crew/<int:day_id>/off/", web.take_off, name="take_off"),
    path("jobs/<int:job_id>/crew/", web.job_crew, name="job_crew"),
    path("rooms/<int:room_id>/crew/", web.room_crew, name="room_crew"),
    path("calendar/", web.calendar, name="calendar"),
    path("calendar/<slug:feed>.ics", own_web.calendar_feed, name="calendar_feed"),
    path("own/days/", own_web.own_days, name="own_days"),
    path("jobs/<int:job_id>/handover/", web.handover, name="handover"),
]
