"""Changes to a room's furniture, each in one transaction."""

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.furniture.models import MOST_PIECES, KeptPiece, Piece
from layout.furniture.places import marks_on_plan, near
from projects.jobs.models import Room
from projects.platform.tenancy import save_from

FIELDS = ("name", "round", "left", "door", "wide", "deep", "reach")
KEPT = ("name", "round", "left", "door", "wide", "deep")
PLACED = ("left", "door", "wide", "deep", "round")


class NameTaken(Exception):
    def __str__(self):
        return str(_("A piece of this room has that name. Choose another, as “armchair by the window”."))


class TooMany(Exception):
    def __str__(self):
        return str(_("A room takes %(most)s pieces. Take one out first.") % {"most": MOST_PIECES})


def add_piece(room, **fields):
    """Raises NameTaken, TooMany."""
    try:
        with transaction.atomic():
            Room.objects.of(room.shop_id).select_for_update().get(pk=room.pk)
            if room.furniture.count() >= MOST_PIECES:
                raise TooMany
            return Piece.objects.create(shop_id=room.shop_id, room=room, **fields)
    except IntegrityError as taken:
        raise NameTaken from taken


def change_piece(piece, seen_version, changes):
    """Raises StaleVersion, NameTaken. One that moves is held against the marks anew."""
    if any(changes.get(name, getattr(piece, name)) != getattr(piece, name) for name in PLACED):
        changes = {**changes, "left_for": None, "left_by": None, "left_at": None}
    try:
        with transaction.atomic():
            return save_from(piece, seen_version, changes, at=timezone.now())
    except IntegrityError as taken:
        raise NameTaken from taken


def leave_marks(piece, seen_version, revision, *, by):
    """The marks stay where they are although the piece moved: said once for this revision. Raises StaleVersion."""
    changes = {"left_for": revision.number, "left_by": by, "left_at": timezone.now()}
    return save_from(piece, seen_version, changes, at=timezone.now())


def put_piece_back(piece, seen_version, kept):
    """Where the revision has it. Raises StaleVersion."""
    return change_piece(piece, seen_version, {name: getattr(kept, name) for name in PLACED})


def remove_piece(piece):
    """What revisions keep of it stays."""
    Piece.objects.of(piece.shop_id).filter(pk=piece.pk).delete()


def keep_pieces(revision, layout):
    """Called when a revision is issued: the furniture it was laid out for, and the marks near each piece."""
    pieces = list(revision.room.furniture.all())
    if not pieces:
        return
    marks = marks_on_plan(layout)
    KeptPiece.objects.bulk_create(
        KeptPiece(
            revision=revision,
            piece=piece,
            marks=",".join(near(piece, marks, piece.reach)),
            **{name: getattr(piece, name) for name in KEPT},
        )
        for piece in pieces
    )


def copy_pieces(room, twin):
    """Registered with projects.jobs: a copied room has the same furniture."""
    Piece.objects.bulk_create(
        Piece(shop_id=twin.shop_id, room=twin, **{name: getattr(piece, name) for name in FIELDS})
        for piece in room.furniture.all()
    )
