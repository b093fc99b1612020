from django.urls import path

from reports.office import web

urlpatterns = [
    path("search/", web.search, name="search"),
    path("keys/", web.keys, name="keys"),
]
