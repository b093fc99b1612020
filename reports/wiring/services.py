"""Setting runs by hand, opening reels, pulling off them. Each in one transaction; knows no pages and no routes."""

from django.db import IntegrityError, models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.engine.lengths import ZERO, feet
from projects.platform.tenancy import StaleVersion, save_from
from reports.wiring.models import HIGHEST_MARK, HandRun, MarksIn, Pull, Reel

# A pull that differs from its run by more than both is asked about before it is kept. Common practice, no source.
DIFFERS_PERCENT, DIFFERS_LENGTH = 25, feet(10)


class NotPulled(Exception):
    """A pull that can't be kept as entered. field: the box to change; the message names the remedy."""

    def __init__(self, field, message):
        super().__init__(message)
        self.field = field


class AskFirst(NotPulled):
    """A pull that may be right and looks wrong: kept when it is said again that it is so."""


class ReelNameTaken(Exception):
    """This cable already has a reel of that name."""


@transaction.atomic
def set_run(room, key, seen_version=None, *, length=None, way="", why, by=None):
    """Feet, a way or both for one run; what was set before is gone over. key: kind, low_id, high_id, circuit.

    Raises StaleVersion when somebody set it meanwhile (seen_version None: there was none when the page was opened).
    """
    kind, low_id, high_id, circuit = key
    told = {"length": length, "way": way, "why": why, "by": by, "at": timezone.now()}
    known = _hand_run(room, key)
    if known is not None:
        return save_from(known, seen_version or 0, told, at=told["at"])
    record = HandRun(
        shop_id=room.shop_id, room=room, kind=kind, low_id=low_id, high_id=high_id, circuit=circuit, **told
    )
    record.clean_fields()
    try:
        with transaction.atomic():
            record.save()
    except IntegrityError:
        stored = _hand_run(room, key)
        if stored is None:
            raise
        raise StaleVersion(stored, told) from None
    return record


def put_back(room, key):
    """The computed run counts again. What was set, or None where nothing was."""
    known = _hand_run(room, key)
    if known is not None:
        known.delete()
    return known


def _hand_run(room, key):
    kind, low_id, high_id, circuit = key
    return (
        HandRun.objects.of(room.shop_id)
        .filter(room=room, kind=kind, low_id=low_id, high_id=high_id, circuit=circuit)
        .first()
    )


@transaction.atomic
def open_reel(shop, **fields):
    """A reel somebody has begun, or is about to. `left` not given: all of it. Raises ReelNameTaken."""
    fields["left"] = fields["full"] if fields.get("left") is None else fields["left"]
    reel = Reel(shop=shop, **fields)
    reel.clean_fields()
    try:
        with transaction.atomic():
            reel.save()
    except IntegrityError:
        taken = Reel.objects.of(shop).filter(cable=reel.cable, name=reel.name).exists()
        if not taken:
            raise
        raise ReelNameTaken(
            _("There is a reel %(name)s of this cable already. Write another name on this one.") % {"name": reel.name}
        ) from None
    return reel


def between(reel, start_mark, end_mark):
    """The cable between two marks on a reel's jacket, whichever way they run."""
    return (MarksIn(reel.marks_in).length * abs(end_mark - start_mark)).exact()


@transaction.atomic
def pull(reel, start_mark, end_mark, *, room=None, key=None, computed=None, sure=False, note="", by=None):
    """Cable off a reel for one run, by the marks at its start and its end.

    sure: a use far from the computed run was looked at and is so. Raises NotPulled, AskFirst.
    """
    reel = Reel.objects.of(reel.shop_id).select_for_update().get(pk=reel.pk)
    used = between(reel, start_mark, end_mark)
    _check_marks(reel, start_mark, end_mark, used)
    if not sure:
        _ask(reel, start_mark, used, computed)
    kind, low_id, high_id, circuit = key or ("", "", "", "")
    return _keep(
        reel, reel.left - _off(reel, start_mark, end_mark, used), end_mark,
        room=room, kind=kind, low_id=low_id, high_id=high_id, circuit=circuit,
        start_mark=start_mark, end_mark=end_mark, used=used, computed=computed, note=note, by=by,
    )  # fmt: skip


def _off(reel, start_mark, end_mark, used):
    """What comes off the reel: with what was cut off since the last mark was read, where that lies before the start."""
    last = reel.mark
    before = last is not None and (last <= start_mark <= end_mark or last >= start_mark >= end_mark)
    return between(reel, last, end_mark) if before else used


def _check_marks(reel, start_mark, end_mark, used):
    for field, mark in (("start_mark", start_mark), ("end_mark", end_mark)):
        if not 0 <= mark <= HIGHEST_MARK:
            raise NotPulled(field, _("A mark on a jacket is a number from 0 to %(most)s.") % {"most": HIGHEST_MARK})
    if not used:
        raise NotPulled("end_mark", _("Both marks are the same: nothing was pulled. Read them again."))
    if _off(reel, start_mark, end_mark, used) > reel.left:
        raise NotPulled(
            "end_mark",
            _(
                "From %(start)s to %(end)s are %(used)s, and this reel holds %(left)s. "
                "Read the marks again, or enter this reel anew with what it really holds."
            )
            % {
                "start": start_mark,
                "end": end_mark,
                "used": in_marks(reel, used),
                "left": in_marks(reel, reel.left),
            },
        )


def _ask(reel, start_mark, used, computed):
    if computed is not None and differs_much(used, computed):
        raise AskFirst(
            "end_mark",
            _("%(used)s were pulled and this run comes to %(run)s. Read the marks again, or say that it is so.")
            % {"used": in_marks(reel, used), "run": in_marks(reel, computed)},
        )
    if reel.mark is not None and start_mark != reel.mark:
        raise AskFirst(
            "start_mark",
            _(
                "This reel's cut end was last read as %(mark)s, not %(start)s. Read it again, or say that it is so: "
                "what was cut off between is then not on any run."
            )
            % {"mark": reel.mark, "start": start_mark},
        )


def differs_much(used, computed):
    apart = abs(used - computed)
    return apart > DIFFERS_LENGTH and apart.nm * 100 > computed.nm * DIFFERS_PERCENT


def in_marks(reel, length):
    """A length in what the jacket counts: '43 ft', '12.5 m'."""
    unit = MarksIn(reel.marks_in)
    tenths = round(length.nm * 10 / unit.length.nm)
    return f"{tenths / 10:g}\N{NO-BREAK SPACE}{unit.value}"


@transaction.atomic
def take_back(pulled, *, by=None, note=""):
    """A pull entered wrongly: its cable is on the reel again. Both rows stay. Raises NotPulled when it was already."""
    reel = Reel.objects.of(pulled.shop_id).select_for_update().get(pk=pulled.reel_id)
    if pulled.undoes_id or Pull.objects.of(pulled.shop_id).filter(undoes=pulled).exists():
        raise NotPulled("", _("This pull was taken back already."))
    same = {name: getattr(pulled, name) for name in ("room", "kind", "low_id", "high_id", "circuit", "computed")}
    return _keep(
        reel, reel.left + pulled.used, pulled.start_mark,
        start_mark=pulled.end_mark, end_mark=pulled.start_mark, used=pulled.used, undoes=pulled, note=note, by=by,
        **same,
    )  # fmt: skip


def _keep(reel, left, mark, **fields):
    row = Pull(shop_id=reel.shop_id, reel=reel, left_after=left.exact(), at=timezone.now(), **fields)
    row.clean_fields()
    row.save()
    Reel.objects.of(reel.shop_id).filter(pk=reel.pk).update(
        left=left.exact(), mark=mark, version=models.F("version") + 1, updated_at=row.at
    )
    return row


def empty(reel, *, seen_version):
    """What is left is thrown away or lost: nothing more comes off it. Raises StaleVersion."""
    return save_from(reel, seen_version, {"left": ZERO.exact()}, at=timezone.now())
