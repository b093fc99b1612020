from django.urls import path

from reports.inspections import web

urlpatterns = [
    path("jobs/<int:job_id>/inspections/", web.job_inspections, name="job_inspections"),
    path("jobs/<int:job_id>/inspections/new/", web.new_inspection, name="new_inspection"),
    path("rooms/<int:room_id>/inspections/", web.room_inspections, name="room_inspections"),
    path("inspections/<int:visit_id>/", web.inspection, name="inspection"),
    path("corrections/<int:correction_id>/", web.answer_correction, name="answer_correction"),
]
