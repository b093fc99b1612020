from django.urls import path

from projects.catalogue import label_web, light_web, web

urlpatterns = [
    path("catalog/", web.fixture_types, name="fixture_types"),
    path("catalog/<int:type_id>/", web.fixture_type, name="fixture_type"),
    path("catalog/<int:type_id>/verify/", web.verify_cutout, name="verify_cutout"),
    path("catalog/<int:type_id>/label/", label_web.fixture_label, name="fixture_label"),
    path("catalog/<int:type_id>/sheet/", label_web.sheet_file, name="sheet_file"),
    path("catalog/<int:type_id>/sheet/add/", label_web.add_sheet, name="add_sheet"),
    path("catalog/<int:type_id>/sheet/remove/", label_web.remove_sheet, name="remove_sheet"),
    path("controls/", web.control_types, name="control_types"),
    path("controls/<int:control_id>/", web.control_type, name="control_type"),
    path("light-levels/", light_web.light_targets, name="light_targets"),
    path("light-levels/<slug:target_key>/", light_web.light_target, name="light_target"),
    path("light-levels/<slug:target_key>/put-back/", light_web.put_back_target, name="put_back_target"),
    path("photometric/", light_web.photometric_files, name="photometric_files"),
    path("photometric/<int:file_id>/", light_web.photometric_file, name="photometric_file"),
    path("photometric/<int:file_id>/text/", light_web.photometric_text, name="photometric_text"),
]
