"""A whole job laid out anew, over the API: it is started as long work, and what came of the last is read."""

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.whole_job.web import WholeJobForm, last_of, start_for
from layout.whole_job.work import ROUGH_IN, rooms_to_lay_out
from projects.jobs.queries import job_of
from projects.platform.api.bodies import Body
from projects.platform.api.problems import Refused
from projects.platform.api.rows import wrong
from projects.platform.api.views import ApiView
from projects.work.api import WorkOut

WHOLE = Body("LayOutJobBody", WholeJobForm)


class WrongRoomOut(serializers.Serializer):
    room = serializers.CharField(source="0", help_text="Its name")
    detail = serializers.CharField(source="1")


class LaidOutOut(serializers.Serializer):
    rooms = serializers.IntegerField(help_text="Laid out anew")
    issued = serializers.IntegerField()
    wrong = serializers.IntegerField()
    told = serializers.SerializerMethodField()

    def get_told(self, outcome) -> WrongRoomOut(many=True):  # type: ignore[valid-type]
        return [{"room": name, "detail": words} for name, words in outcome["told"]]


class WholeJobOut(serializers.Serializer):
    rooms = serializers.IntegerField(help_text="That would be laid out: not roughed in yet")
    roughed_in = serializers.IntegerField(help_text="That stay as they are")
    last = WorkOut(allow_null=True)
    outcome = LaidOutOut(allow_null=True)


class WholeJob(ApiView):
    @extend_schema(operation_id="job_laid_out", responses=WholeJobOut)
    def get(self, request, job_id):
        """How many rooms would be laid out, and what came of the last time."""
        job = job_of(request.shop, job_id)
        last = last_of(job)
        told = {
            "rooms": len(rooms_to_lay_out(job)),
            "roughed_in": job.rooms.filter(cancelled=False, stage__gte=ROUGH_IN).count(),
            "last": last,
            "outcome": last.outcome if last else None,
        }
        return Response(WholeJobOut(told).data)

    @extend_schema(operation_id="lay_out_job", request=WHOLE.schema(), responses={202: WorkOut})
    def post(self, request, job_id):
        """Lay out every room that is not roughed in yet, with numbers for all where given. A room that won't keeps
        what it had.
        """
        job = job_of(request.shop, job_id)
        form = WHOLE.fill(request.data, tape=job.tape)
        work = start_for(job, form, request.member)
        if work is None:
            raise Refused([wrong((), "Nothing would change. Give a number, or say that revisions are issued.")])
        return Response(WorkOut(work).data, status=202)


urlpatterns = [path("jobs/<int:job_id>/lay-out/", WholeJob.as_view(), name="lay_out_job")]
