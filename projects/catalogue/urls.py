from django.urls import path

from projects.catalogue import web

urlpatterns = [
    path("catalog/", web.fixture_types, name="fixture_types"),
    path("catalog/<int:type_id>/", web.fixture_type, name="fixture_type"),
    path("catalog/<int:type_id>/verify/", web.verify_cutout, name="verify_cutout"),
    path("controls/", web.control_types, name="control_types"),
    path("controls/<int:control_id>/", web.control_type, name="control_type"),
]
