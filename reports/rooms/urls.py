from django.urls import path

from reports.rooms import billing_web, jobs_web, numbers_web, settings_web, web

urlpatterns = [
    path("", jobs_web.home, name="home"),
    path("rooms/", web.rooms, name="rooms"),
    path("rooms/views/", settings_web.keep_view, name="keep_view"),
    path("rooms/views/<int:view_id>/drop/", settings_web.drop_view, name="drop_view"),
    path("rooms/views/<int:view_id>/share/", settings_web.share_view, name="share_view"),
    path("rooms/red/", settings_web.red_rules, name="red_rules"),
    path("shop/numbers/", numbers_web.shop_numbers, name="shop_numbers"),
    path("jobs/<int:job_id>/billed/", billing_web.job_billed, name="job_billed"),
]
