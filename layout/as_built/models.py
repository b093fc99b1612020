"""Where each mark of a revision was really set and cut, and the moves that were asked for. Knows no page."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet
from layout.models import PLACE, LayoutRevision, RevisionMark
from projects.accounts.models import Membership
from projects.jobs.models import Room
from projects.platform.fields import LengthField, NoteField, length_between, no_longer_than, one_of
from projects.platform.tenancy import ShopRecord


class Step(models.TextChoices):
    """How far a mark has come."""

    FLOOR = "floor", _("on the floor")
    FRAMING = "framing", _("on the framing")
    ROUGHED = "roughed", _("roughed in")
    CUT = "cut", _("cut")


class Reason(models.TextChoices):
    """Why a mark stands elsewhere than the card says."""

    NONE = "", _("where the card says")
    JOIST = "joist", _("joist")
    DUCT = "duct", _("duct, pipe or wire")
    CLIENT = "client", _("the client wants it so")
    ERROR = "error", _("marked or cut wrong")


class AsBuilt(ShopRecord):
    """One mark at one step: where it was set. A change is a new row; the one before is kept and no longer current.

    Places are from the ceiling's edge at the zero corner, as a revision's marks are. to_along, to_across: where it was
    to go when it was entered. version counts the rows of this mark and step.
    """

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="as_built")
    mark = models.ForeignKey(RevisionMark, on_delete=models.PROTECT, related_name="+")
    ident = models.CharField(max_length=8)
    step = models.CharField(max_length=7, choices=Step)
    along = LengthField()
    across = LengthField()
    to_along = LengthField()
    to_across = LengthField()
    reason = models.CharField(max_length=6, choices=Reason, blank=True, default="")
    words = NoteField(max_length=400)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()
    current = models.BooleanField(default=True)
    taken_back_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["room", "ident", "step"], condition=models.Q(current=True), name="as_built_once_per_step"
            ),
            one_of("step", Step.values, model="as_built"),
            one_of("reason", Reason.values, model="as_built"),
            *(length_between(name, *PLACE, model="as_built") for name in ("along", "across", "to_along", "to_across")),
            no_longer_than("ident", 8, model="as_built"),
            no_longer_than("words", 400, model="as_built"),
        ]

    @property
    def place(self):
        return self.along, self.across

    @property
    def off(self):
        """How far from where it was to go, along and across."""
        return self.along - self.to_along, self.across - self.to_across


class MoveState(models.TextChoices):
    WITHIN = "within", _("within what the crew may move")
    WAITS = "waits", _("waits for a yes")
    YES = "yes", _("yes")
    NO = "no", _("no")
    ANEW = "anew", _("asked anew")


# Those whose marks go to their new places.
GO = (MoveState.WITHIN, MoveState.YES)


class MarkMove(ShopRecord):
    """A mark put elsewhere than the card says, with all that moves with it: done within the limit, or asked.

    Whoever may move marks says yes or no, once. moves: by ID, [along, across, and where the revision had it along and
    across], in nanometers, as JSON.
    """

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="mark_moves")
    revision = models.ForeignKey(LayoutRevision, on_delete=models.PROTECT, related_name="mark_moves")
    ident = models.CharField(max_length=8)
    step = models.CharField(max_length=7, choices=Step)
    along = LengthField()
    across = LengthField()
    alone = models.BooleanField(default=False)  # out of its line
    state = models.CharField(max_length=6, choices=MoveState)
    reason = models.CharField(max_length=6, choices=Reason)
    words = NoteField(max_length=400)  # the crew's
    moves = models.TextField()
    far = LengthField()  # the farthest, from where the revision has it
    why = NoteField(max_length=2000)  # why somebody has to be asked; empty within the limit
    asked_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()
    decided_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    decided_at = models.DateTimeField(null=True, blank=True)
    note = NoteField(max_length=400)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["room", "ident"], condition=models.Q(state="waits"), name="mark_move_waits_once"
            ),
            one_of("step", Step.values, model="mark_move"),
            one_of("state", MoveState.values, model="mark_move"),
            one_of("reason", [one for one in Reason.values if one], model="mark_move"),
            *(length_between(name, *PLACE, model="mark_move") for name in ("along", "across")),
            length_between("far", ZERO, feet(430), model="mark_move"),
            no_longer_than("ident", 8, model="mark_move"),
            no_longer_than("words", 400, model="mark_move"),
            no_longer_than("why", 2000, model="mark_move"),
            no_longer_than("note", 400, model="mark_move"),
            models.CheckConstraint(
                condition=~models.Q(state="no") | ~models.Q(note=""), name="mark_move_no_has_a_note"
            ),
        ]
        indexes = [models.Index(fields=["shop", "state"], name="mark_move_by_state")]
