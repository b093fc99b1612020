"""The search box over the API: jobs, rooms, parts, people, as far as the person may see."""

from django.urls import path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from projects.platform.api.lists import Listing
from projects.platform.api.problems import Refused
from projects.platform.api.views import ApiView
from reports.office import search


class FoundOut(serializers.Serializer):
    group = serializers.CharField()
    name = serializers.CharField()
    beside = serializers.CharField()
    page = serializers.CharField()


class Search(ApiView):
    listing = Listing()
    questions = ("q",)

    @extend_schema(
        operation_id="search",
        responses=FoundOut(many=True),
        parameters=[OpenApiParameter("q", {"type": "string", "maxLength": search.LONGEST}, required=True)],
    )
    def get(self, request):
        """Whatever has these words in its name or number, the first of each kind."""
        self.refuse_unknown_questions(request.query_params)
        typed = request.query_params.get("q", "")
        words = search.words_of(typed.replace("\0", " "))
        if not words or len(typed) > search.LONGEST:
            said = f"Give words, at most {search.LONGEST} characters."
            raise Refused([{"parameter": "q", "detail": said, "code": "invalid"}])
        rows = [
            {"group": str(group.title), "name": str(one.name), "beside": str(one.beside), "page": one.address}
            for group in search.search(request.member, words)
            for one in group.found
        ]
        return self.paged(rows, FoundOut)


urlpatterns = [path("search/", Search.as_view(), name="search")]
