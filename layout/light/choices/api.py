"""Layouts searched for by their light, over the API: what is wanted goes in, long work starts, its outcome is read."""

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.light.choices import proposing
from layout.light.choices.forms import ProposeForm
from layout.light.queries import light_of
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView
from projects.work.api import WorkOut
from projects.work.models import State

WANTED = Body("LightWantedBody", ProposeForm)


class ProposalOut(serializers.Serializer):
    names = serializers.ListField(child=serializers.CharField(), help_text="Why it is on offer; empty: on the curve")
    lights = serializers.IntegerField()
    rows = serializers.IntegerField()
    in_row = serializers.IntegerField()
    off_nm = serializers.ListField(
        source="off", child=serializers.IntegerField(), help_text="Ends of rows, outer rows, off the ceiling's edge"
    )
    plane_lx = serializers.FloatField(help_text="Average at its levels")
    full_lx = serializers.FloatField(help_text="Average undimmed")
    wall_over_plane = serializers.FloatField(source="ratio", allow_null=True)
    least_over_average = serializers.FloatField(source="even", allow_null=True)
    darkest_strip_lx = serializers.FloatField(source="strip_lx")
    watts = serializers.FloatField(allow_null=True, help_text="Undimmed")
    levels = serializers.DictField(child=serializers.IntegerField(), help_text="Percent by zone")


class SearchOut(serializers.Serializer):
    work = WorkOut(allow_null=True)
    tried = serializers.IntegerField(default=0)
    fit = serializers.IntegerField(default=0, help_text="Kept every rule of placing")
    ruled_out = serializers.DictField(child=serializers.IntegerField(), default=dict, help_text="How many, by rule")
    trade_offs = ProposalOut(many=True, default=list, help_text="No layout beats one of these in everything")


class LightProposals(ApiView):
    pagination_class = None

    @extend_schema(operation_id="light_proposals", responses=SearchOut)
    def get(self, request, room_id):
        """The room's last search for a layout by its light, and what came out where it is done."""
        self.refuse_unknown_questions(request.query_params)
        work = proposing.last_search(room_of(request.shop, room_id))
        done = work.outcome if work is not None and work.state == State.DONE else {}
        told = {"tried": 0, "fit": 0, "ruled_out": {}, "trade_offs": []} | done
        return Response(SearchOut(told | {"work": work}).data)

    @extend_schema(operation_id="search_light_proposals", request=WANTED.schema(), responses={202: WorkOut})
    def post(self, request, room_id):
        """Start a search. The same one under way already is given back."""
        room = room_of(request.shop, room_id)
        form = WANTED.fill(request.data, room=room)
        light = light_of(room, solve_it=False)
        if light.made is None:
            raise CannotBeDone(light.refused or " ".join(f"{one.words} {one.remedy}" for one in light.missing))
        return Response(WorkOut(proposing.start(room, form.cleaned_data, request.member)).data, status=202)


urlpatterns = [path("rooms/<int:room_id>/light-proposals/", LightProposals.as_view(), name="light_proposals")]
