from django.urls import path

from reports.prices import hours_web, import_web, labor_web, web

urlpatterns = [
    path("prices/", web.price_list, name="price_list"),
    path("prices/new/", web.new_item, name="new_price_item"),
    path("prices/items/<int:item_id>/", web.price_item, name="price_item"),
    path("prices/items/<int:item_id>/price/", web.set_price, name="set_price"),
    path("prices/rates/", web.shop_rates, name="shop_rates"),
    path("prices/import/", import_web.price_import, name="price_import"),
    path("prices/import/<int:import_id>/", import_web.price_file, name="price_file"),
    path("prices/labor/", labor_web.labor, name="labor"),
    path("prices/labor/number/", labor_web.labor_number, name="labor_number"),
    path("jobs/<int:job_id>/rates/", web.job_rates, name="job_rates"),
    path("jobs/<int:job_id>/conditions/", labor_web.job_conditions, name="job_conditions"),
    path("rooms/<int:room_id>/conditions/", labor_web.room_conditions, name="room_conditions"),
    path("rooms/<int:room_id>/hours/", hours_web.room_hours, name="room_hours"),
]
