"""A room's furniture over the API: where pieces stand, the marks laid out for each, and what no longer agrees."""

from django import forms
from django.http import Http404
from django.urls import path, reverse
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers

from layout.furniture import services
from layout.furniture.forms import PieceForm
from layout.furniture.models import Piece
from layout.furniture.page import lines_of
from layout.furniture.queries import kept_of, piece_of, pieces_of, stand_of
from layout.queries import latest_revision
from projects.jobs.queries import room_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView, Record, Stale, etag, taken
from projects.platform.tenancy import StaleVersion

PIECE = Body("PieceBody", PieceForm)
STARTS = {name: field.initial for name, field in PieceForm.base_fields.items() if field.initial}


class SettleForm(forms.Form):
    do = forms.ChoiceField(
        label="Leave the marks where they are, or put the piece back where the revision has it",
        choices=[("leave", "leave"), ("back", "back")],
    )


SETTLE = Body("SettlePieceBody", SettleForm)


class PieceOut(Record):
    class Meta:
        model = Piece
        fields = ("id", *services.FIELDS, "left_for", "left_at", "version")
        read_only_fields = fields


class ApartOut(serializers.Serializer):
    mark = serializers.CharField(source="ident")
    was = serializers.CharField(allow_blank=True)
    now = serializers.CharField(allow_blank=True)


class PieceLineOut(serializers.Serializer):
    piece = PieceOut()
    near = serializers.ListField(child=serializers.CharField(), help_text="Marks laid out for it")
    no_longer_agree = ApartOut(source="rows", many=True)
    asks = serializers.BooleanField(help_text="Somebody has to say what becomes of it")


def show(piece, tape):
    return PieceOut(piece, context={"tape": tape}).data


def _kept(keep):
    """What the service keeps. Raises Refused, CannotBeDone."""
    try:
        return keep()
    except services.NameTaken as used:
        raise taken("/name", used) from used
    except services.TooMany as refused:
        raise CannotBeDone(str(refused)) from refused


class Furniture(ApiView):
    listing = Listing()

    @extend_schema(operation_id="furniture", responses=PieceLineOut(many=True))
    def get(self, request, room_id):
        """Each piece, the marks near it, and those that no longer stand to it as the newest revision has them."""
        room = room_of(request.shop, room_id)
        tape, stand = room.job.tape, stand_of(room)
        pieces = pieces_of(room)
        lines = lines_of(pieces, kept_of(stand.revision), stand.revision, stand.layout, tape)
        return self.paged(lines, PieceLineOut, tape=tape)

    @extend_schema(operation_id="add_piece", request=PIECE.schema(defaults=STARTS), responses={201: PieceOut})
    def post(self, request, room_id):
        """Another piece, from two finished walls. The next revision keeps it with the marks laid out for it."""
        room = room_of(request.shop, room_id)
        form = PIECE.fill(request.data, start=STARTS, version=1, tape=room.job.tape)
        piece = _kept(lambda: services.add_piece(room, **form.value))
        where = reverse("api:piece", args=[room.pk, piece.pk])
        return self.told(piece, show(piece, room.job.tape), status=201, headers={"Location": where})


class PieceView(ApiView):
    @extend_schema(operation_id="piece", responses=PieceOut)
    def get(self, request, room_id, piece_id):
        """One piece."""
        room = room_of(request.shop, room_id)
        piece = piece_of(room, piece_id)
        return self.told(piece, show(piece, room.job.tape))

    @extend_schema(operation_id="change_piece", request=PIECE.schema(partial=True), responses=PieceOut)
    def patch(self, request, room_id, piece_id):
        """Change what is given. One that moves is held against the marks anew."""
        room = room_of(request.shop, room_id)
        piece, tape = piece_of(room, piece_id), room.job.tape
        stored = self.change(
            piece, PIECE, lambda record: show(record, tape),
            lambda form, seen: _kept(lambda: services.change_piece(piece, seen, form.value)),
            start=vars(piece), tape=tape,
        )  # fmt: skip
        return self.told(stored, show(stored, tape))

    @extend_schema(operation_id="remove_piece", responses={204: OpenApiResponse(description="Taken out")})
    def delete(self, request, room_id, piece_id):
        """Take it out. Revisions laid out for it still say so."""
        room = room_of(request.shop, room_id)
        piece, tape = piece_of(room, piece_id), room.job.tape
        return self.take_away(piece, lambda one: show(one, tape), lambda seen: services.remove_piece(piece))


class SettlePiece(ApiView):
    @extend_schema(operation_id="settle_piece", request=SETTLE.schema(), responses=PieceOut)
    def post(self, request, room_id, piece_id):
        """It moved and marks no longer agree: leave them, or put it back. If-Match: the piece's ETag."""
        room = room_of(request.shop, room_id)
        piece, tape = piece_of(room, piece_id), room.job.tape
        seen = self.seen_version(piece, show(piece, tape))
        do, revision = SETTLE.fill(request.data).cleaned_data["do"], latest_revision(room)
        kept = next((one for one in kept_of(revision) if one.piece_id == piece.pk), None)
        if revision is None or (do == "back" and kept is None):
            raise CannotBeDone("No revision was issued with this piece in the room.")
        try:
            if do == "leave":
                stored = services.leave_marks(piece, seen, revision, by=request.member)
            else:
                stored = services.put_piece_back(piece, seen, kept)
        except StaleVersion as stale:
            raise Stale(request.data, show(stale.theirs, tape), etag(stale.theirs)) from stale
        except Piece.DoesNotExist as gone:
            raise Http404 from gone
        return self.told(stored, show(stored, tape))


ROOM = "rooms/<int:room_id>/furniture/"

urlpatterns = [
    path(ROOM, Furniture.as_view(), name="furniture"),
    path(ROOM + "<int:piece_id>/", PieceView.as_view(), name="piece"),
    path(ROOM + "<int:piece_id>/settle/", SettlePiece.as_view(), name="settle_piece"),
]
