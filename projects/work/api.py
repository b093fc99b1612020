"""Long work over the API: what there is, how far it is, cancel and resume."""

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.platform.api.lists import Listing, choice
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView, Record
from projects.work import services
from projects.work.models import State, Work
from projects.work.queries import work_of, works_of


class WorkOut(Record):
    asked_by = serializers.CharField(source="asked_by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Work
        fields = (
            "id", "kind", "title", "state", "done", "total", "cancel_asked", "error", "asked_by", "created_at",
            "started_at", "ended_at", "version",
        )  # fmt: skip
        read_only_fields = fields


class Works(ApiView):
    listing = Listing(
        Work, filters={"state": choice("state", State.values)}, ordering=("updated_at",), search=("title",)
    )

    @extend_schema(operation_id="works", responses=WorkOut(many=True))
    def get(self, request):
        """The shop's long work that you may see, the newest first."""
        return self.paged(works_of(request.member), WorkOut)


class WorkView(ApiView):
    @extend_schema(operation_id="work", responses=WorkOut)
    def get(self, request, work_id):
        """One piece of work and how far it is."""
        found = work_of(request.member, work_id)
        return self.told(found, WorkOut(found).data)


class Change(ApiView):
    pagination_class = None

    def changed(self, request, work_id, change):
        found = work_of(request.member, work_id)
        try:
            change(found)
        except services.CannotBeDone as refused:
            raise CannotBeDone(str(refused)) from refused
        return Response(WorkOut(work_of(request.member, work_id)).data)


class Cancel(Change):
    @extend_schema(operation_id="cancel_work", request=None, responses=WorkOut)
    def post(self, request, work_id):
        """Cancel it: what waits ends at once, what runs ends at its next step."""
        return self.changed(request, work_id, services.cancel)


class Resume(Change):
    @extend_schema(operation_id="resume_work", request=None, responses=WorkOut)
    def post(self, request, work_id):
        """Put failed or cancelled work back in the queue, to go on from where it was."""
        return self.changed(request, work_id, services.resume)


urlpatterns = [
    path("work/", Works.as_view(), name="works"),
    path("work/<int:work_id>/", WorkView.as_view(), name="work"),
    path("work/<int:work_id>/cancel/", Cancel.as_view(), name="cancel_work"),
    path("work/<int:work_id>/resume/", Resume.as_view(), name="resume_work"),
]
