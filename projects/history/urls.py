from django.urls import path

from projects.history import web

urlpatterns = [
    path("history/", web.shop_history, name="shop_history"),
    path("history/<slug:table>/<int:record_id>/", web.record_history, name="record_history"),
    path("own/data/", web.own_data, name="own_data"),
]
