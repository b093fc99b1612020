"""A room's layout over the API: the draft, a try without keeping it, and the revisions. No geometry here."""

from django import forms
from django.urls import path, reverse
from django.utils.translation import gettext_lazy as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from layout import queries, services
from layout.alike import api as alike_api
from layout.as_built import api as as_built_api
from layout.draft_api import CHANGED_DRAFT, DRAFT, DraftOut, draft_of, filled, save_draft, show_draft, try_on
from layout.editor import api as editor_api
from layout.engine.lengths import LengthError
from layout.engine.room import lay_out
from layout.furniture import api as furniture_api
from layout.inputs import NotLaidOutYet, inputs_of
from layout.layout_out import LayoutOut
from layout.light import api as light_api
from layout.light.choices import api as light_choices_api
from layout.models import LayoutRevision, RevisionMark
from layout.offers import api as offers_api
from layout.sound import api as sound_api
from layout.suit import api as suit_api
from layout.switching import api as switching_api
from layout.whole_job import api as whole_job_api
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing, by_id, text, yes_no
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView, Record
from projects.platform.names import clean_note

# What is sent


class IssueForm(forms.Form):
    note = forms.CharField(label=_("Note"), max_length=400, required=False)

    def clean_note(self):
        return clean_note(self.cleaned_data["note"])


class NothingForm(forms.Form):
    """A body with nothing in it."""


ISSUE = Body("IssueBody", IssueForm)
NOTHING = Body("NothingBody", NothingForm)


# As it is read


class RevisionOut(Record):
    issued_by = serializers.CharField(source="issued_by.user.name", allow_null=True, default=None, read_only=True)
    approved_by = serializers.SerializerMethodField()

    class Meta:
        model = LayoutRevision
        fields = (
            "id", "room", "number", "note", "lights", "speakers", "digest", "issued_by", "issued_at", "approved_by",
            "approved_at", "version",
        )  # fmt: skip
        read_only_fields = fields

    def get_approved_by(self, revision) -> str | None:
        return revision.approved_who or None


class RevisionMarkOut(Record):
    id = serializers.CharField(source="ident", read_only=True)

    class Meta:
        model = RevisionMark
        fields = ("id", "kind", "fixture_type", "along", "across", "row", "zone")
        read_only_fields = fields


# Views


class DraftView(ApiView):
    @extend_schema(operation_id="draft", responses=DraftOut)
    def get(self, request, room_id):
        """The room's layout choices; the first time, from the shop's rules and the room's counts."""
        room = room_of(request.shop, room_id)
        draft = draft_of(room)
        return self.told(draft, show_draft(draft, room.job.tape))

    @extend_schema(operation_id="change_draft", request=CHANGED_DRAFT, responses=DraftOut)
    def patch(self, request, room_id):
        """Change the choices that are given."""
        room = room_of(request.shop, room_id)
        draft, tape = draft_of(room), room.job.tape
        stored = self.change(
            draft,
            DRAFT,
            lambda record: show_draft(record, tape),
            lambda form, seen: save_draft(draft, form, seen),
            **filled(request, room, draft),
        )
        return self.told(stored, show_draft(stored, tape))


class Preview(ApiView):
    @extend_schema(operation_id="preview", request=CHANGED_DRAFT, responses=LayoutOut)
    def post(self, request, room_id):
        """What these choices, over the draft's, would give. Nothing is kept."""
        room = room_of(request.shop, room_id)
        draft = draft_of(room)
        form = DRAFT.fill(request.data, version=draft.version, **filled(request, room, draft))
        try_on(draft, form)
        try:
            laid_out = lay_out(inputs_of(room, draft))
        except (LengthError, NotLaidOutYet) as error:
            raise CannotBeDone(str(error)) from error
        return Response(LayoutOut(laid_out, context={"tape": room.job.tape, "room": room}).data)


class Revisions(ApiView):
    listing = Listing(
        LayoutRevision,
        filters={"from_site": yes_no("from_site"), "waiting": yes_no("approved_at__isnull", "Nobody approved it yet")},
        ordering=("number", "issued_at", "updated_at"),
    )

    @extend_schema(operation_id="revisions", responses=RevisionOut(many=True))
    def get(self, request, room_id):
        """The room's revisions, the latest first."""
        room = room_of(request.shop, room_id)
        return self.paged(room.revisions.select_related("issued_by__user", "approved_by__user"), RevisionOut)

    @extend_schema(operation_id="issue_revision", request=ISSUE.schema(), responses={201: RevisionOut})
    def post(self, request, room_id):
        """Issue the draft as it stands: a number that can be printed, never edited again."""
        room = room_of(request.shop, room_id)
        form = ISSUE.fill(request.data)
        try:
            revision = services.issue_revision(room, by=request.member, note=form.cleaned_data["note"])
        except (LengthError, NotLaidOutYet, services.NothingToPrint) as error:
            raise CannotBeDone(str(error)) from error
        where = reverse("api:revision", args=[room.pk, revision.number])
        return self.told(revision, RevisionOut(revision).data, status=201, headers={"Location": where})


class RevisionView(ApiView):
    @extend_schema(operation_id="revision", responses=RevisionOut)
    def get(self, request, room_id, number):
        """One revision; its marks have an address of their own."""
        revision = queries.revision_of(room_of(request.shop, room_id), number)
        return self.told(revision, RevisionOut(revision).data)


class RevisionMarks(ApiView):
    listing = Listing(
        RevisionMark,
        filters={
            "kind": text("kind"),
            "fixture_type": by_id("fixture_type_id"),
            "zone": text("zone"),
            "ident": text("ident"),
        },
        ordering=("ident",),
    )

    @extend_schema(operation_id="marks", responses=RevisionMarkOut(many=True))
    def get(self, request, room_id, number):
        """Every hole of a revision, from the ceiling's edge at the zero corner."""
        room = room_of(request.shop, room_id)
        marks = queries.revision_of(room, number).marks.order_by("pk")
        return self.paged(marks, RevisionMarkOut, tape=room.job.tape)


class Approval(ApiView):
    @extend_schema(operation_id="approve_revision", request=NOTHING.schema(), responses=RevisionOut)
    def post(self, request, room_id, number):
        """Approve a revision. The first approval stands."""
        room = room_of(request.shop, room_id)
        revision = queries.revision_of(room, number)
        NOTHING.fill(request.data)
        services.approve_revision(revision, by=request.member)
        approved = queries.revision_of(room, number)
        return self.told(approved, RevisionOut(approved).data)


ROOM = "rooms/<int:room_id>/"

urlpatterns = [
    *alike_api.urlpatterns,
    *editor_api.urlpatterns,
    *as_built_api.urlpatterns,
    *furniture_api.urlpatterns,
    *whole_job_api.urlpatterns,
    *offers_api.urlpatterns,
    *switching_api.urlpatterns,
    *light_api.urlpatterns,
    *light_choices_api.urlpatterns,
    *sound_api.urlpatterns,
    *suit_api.urlpatterns,
    path(ROOM + "draft/", DraftView.as_view(), name="draft"),
    path(ROOM + "preview/", Preview.as_view(), name="preview"),
    path(ROOM + "revisions/", Revisions.as_view(), name="revisions"),
    path(ROOM + "revisions/<int:number>/", RevisionView.as_view(), name="revision"),
    path(ROOM + "revisions/<int:number>/marks/", RevisionMarks.as_view(), name="marks"),
    path(ROOM + "revisions/<int:number>/approval/", Approval.as_view(), name="approval"),
]
