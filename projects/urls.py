"""Every address of the product. The only file of projects that knows the parts above it."""

from django.urls import include, path

urlpatterns = [
    path("", include("projects.accounts.urls")),
    path("", include("projects.catalogue.urls")),
    path("", include("projects.jobs.urls")),
    path("", include("layout.urls")),
    path("", include("reports.urls")),
]
