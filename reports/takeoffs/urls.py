from django.urls import path

from reports.takeoffs import rules_web, sheets_web, web

TAKEOFF = "jobs/<int:job_id>/takeoff/"

urlpatterns = [
    path(TAKEOFF, web.job_takeoff, name="job_takeoff"),
    path(TAKEOFF + "matrix/", web.takeoff_matrix, name="takeoff_matrix"),
    path(TAKEOFF + "purchase/", web.purchase_list, name="purchase_list"),
    path(TAKEOFF + "labor/", web.takeoff_labor, name="takeoff_labor"),
    path(TAKEOFF + "count/", web.count_now, name="count_job"),
    path(TAKEOFF + "asked/", rules_web.asked_items, name="asked_items"),
    path(TAKEOFF + "sheet.<slug:form>", sheets_web.takeoff_sheet, name="takeoff_sheet"),
    path(TAKEOFF + "kept/", web.kept_takeoffs, name="kept_takeoffs"),
    path(TAKEOFF + "kept/<int:taken>/", web.kept_takeoff, name="kept_takeoff"),
    path(TAKEOFF + "difference/", web.takeoff_difference, name="takeoff_difference"),
    path("rooms/<int:room_id>/counting/", rules_web.room_counting, name="room_counting"),
    path("takeoff-rules/", rules_web.takeoff_rules, name="takeoff_rules"),
    path("takeoff-rules/versions/", rules_web.rules_versions, name="rules_versions"),
    path("takeoff-rules/versions/<int:version_id>/put-back/", rules_web.put_back, name="put_back_rules"),
]
