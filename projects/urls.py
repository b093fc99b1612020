"""Every address of the product. The only file of projects that knows the parts above it."""

from django.conf import settings
from django.urls import include, path, re_path

from projects.platform.api.problems import unknown_address
from projects.platform.api.schema import Schema
from projects.platform.health import healthz

# What is wrong under /api/ is said as the API says it, elsewhere on a page.
handler400 = "projects.platform.api.problems.bad_request"
handler500 = "projects.platform.api.problems.server_error"

api = [
    path("v1/", include("projects.accounts.api")),
    path("v1/", include("projects.accounts.tokens_api")),
    path("v1/", include("projects.catalogue.api")),
    path("v1/", include("projects.jobs.api")),
    path("v1/", include("projects.jobs.bulk_api")),
    path("v1/", include("projects.catalogue.label_api")),
    path("v1/", include("projects.stages.api")),
    path("v1/", include("projects.stages.side_api")),
    path("v1/", include("projects.ceilings.api")),
    path("v1/", include("projects.work.api")),
    path("v1/", include("projects.joining.api")),
    path("v1/", include("projects.photos.api")),
    path("v1/", include("projects.trash.api")),
    path("v1/", include("projects.history.api")),
    path("v1/", include("projects.keeping.lists_api")),
    path("v1/", include("projects.webhooks.api")),
    path("v1/", include("projects.pasting.api")),
    path("v1/", include("layout.api")),
    path("v1/", include("reports.api")),
    path("v1/", include("reports.history_api")),
    path("v1/schema/", Schema.as_view(), name="schema"),
    re_path("", unknown_address, name="unknown"),
]

def _staff():
    """Platform staff's tables, where a path was given for them; made once every model is known."""
    from projects.staff.site import made

    return [path(f"{settings.ADMIN_PATH}/", made().urls)] if settings.ADMIN_PATH else []


urlpatterns = [
    *_staff(),
    path("healthz", healthz, name="healthz"),
    path("api/", include((api, "api"))),
    path("", include("projects.accounts.urls")),
    path("", include("projects.platform.api.problem_pages")),
    path("", include("projects.doors.urls")),
    path("", include("projects.catalogue.urls")),
    path("", include("projects.jobs.urls")),
    path("", include("projects.stages.urls")),
    path("", include("projects.ceilings.urls")),
    path("", include("projects.joining.urls")),
    path("", include("projects.photos.urls")),
    path("", include("projects.work.urls")),
    path("", include("projects.trash.urls")),
    path("", include("projects.history.urls")),
    path("", include("projects.keeping.urls")),
    path("", include("projects.webhooks.urls")),
    path("", include("projects.pasting.urls")),
    path("", include("layout.urls")),
    path("", include("reports.urls")),
]
