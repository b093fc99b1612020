"""Layouts searched for by their light, over the API: what is wanted goes in, long work starts, its outcome is read."""

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout.draft_api import DraftOut, from_the_draft, told_draft
from layout.engine.lengths import Length, LengthError, as_typed
from layout.engine.light.values import LightError
from layout.light.choices import proposing, taking
from layout.light.choices.comparing import compared
from layout.light.choices.forms import CompareForm, ProposeForm, TakeForm
from layout.light.queries import is_large, light_of
from layout.light.scene import NoLight
from projects.jobs.queries import room_of
from projects.platform.api.asking import answered, parameters
from projects.platform.api.bodies import Body
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView
from projects.work.api import WorkOut
from projects.work.models import State

WANTED = Body("LightWantedBody", ProposeForm)
TAKE = Body("TakeProposalBody", TakeForm)


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


class TakeProposal(ApiView):
    @extend_schema(operation_id="take_light_proposal", request=TAKE.schema(), responses=DraftOut)
    def post(self, request, room_id):
        """Take one of the last search's layouts, with its levels. If-Match: the draft's ETag."""
        room = room_of(request.shop, room_id)
        try:
            with from_the_draft(self, room) as (_draft, seen):
                told = TAKE.fill(request.data, version=seen).cleaned_data
                taking.take_offered(room, light_of(room, solve_it=False), told, seen, by=request.member)
        except (taking.NotOffered, LengthError) as refused:
            raise CannotBeDone(str(refused)) from refused
        return told_draft(self, room)


class ComparedPointOut(serializers.Serializer):
    way = serializers.CharField(source="mode")
    off_wall_m = serializers.FloatField(source="setback_m")
    wall_over_plane = serializers.FloatField()
    darkest_strip_lx = serializers.FloatField(source="worst_strip_lx")
    plane_lx = serializers.FloatField(source="plane_avg_lx")
    lights = serializers.IntegerField()


class SaidOfOut(serializers.Serializer):
    layout = serializers.CharField()
    words = serializers.CharField()


class LightComparedOut(serializers.Serializer):
    sentence = serializers.CharField()
    points = ComparedPointOut(many=True)
    breaks = SaidOfOut(many=True, help_text="Rules that some of them break, each once")
    refused = SaidOfOut(many=True)


class LightCompare(ApiView):
    pagination_class = None
    questions = tuple(CompareForm.base_fields)

    @extend_schema(
        operation_id="light_compare", parameters=parameters(CompareForm, many=("modes",)), responses=LightComparedOut
    )
    def get(self, request, room_id):
        """The room's layout at other distances off the wall, other counts or with another light, each by its light."""
        room = room_of(request.shop, room_id)
        usual = {name: _typed(value, room.job.tape) for name, value in CompareForm.usual(room.job.tape.unit).items()}
        form = answered(self, CompareForm, start=usual, many=("modes",), room=room)
        light = light_of(room, solve_it=False)
        if light.made is None:
            raise CannotBeDone(light.refused or " ".join(f"{one.words} {one.remedy}" for one in light.missing))
        if is_large(light.made.scene):
            raise CannotBeDone("This room has too many lights to be compared while you wait.")
        try:
            found = compared(light, form.cleaned_data)
        except (LengthError, LightError, NoLight) as refused:
            raise CannotBeDone(str(refused)) from refused
        pairs = {
            name: [{"layout": layout, "words": words} for layout, words in rows]
            for name, rows in (("breaks", found.broken), ("refused", found.refused))
        }
        return Response(LightComparedOut({"sentence": found.sentence, "points": found.points, **pairs}).data)


def _typed(value, tape):
    return as_typed(value, tape) if isinstance(value, Length) else value


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    path(ROOM + "light-proposals/", LightProposals.as_view(), name="light_proposals"),
    path(ROOM + "light-proposals/take/", TakeProposal.as_view(), name="take_light_proposal"),
    path(ROOM + "light-compare/", LightCompare.as_view(), name="light_compare"),
]
