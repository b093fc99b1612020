"""How old the last backup and the last drill are. For the health of an installation and for its owners."""

from django.utils import timezone

from projects.keeping.models import BackupMade, DrillMade, TakenOut

DRILL_DAYS = 8  # older than this, a weekly drill was left out


def last_backup():
    return BackupMade.objects.first()


def last_drill():
    """The newest receipt, whether it held or not; None before the first."""
    return DrillMade.objects.first()


def last_drill_that_held():
    return DrillMade.objects.filter(held=True).first()


def taken_out(shop):
    """The shop's own file, None before it was first made."""
    return TakenOut.objects.of(shop).first()


def age_days(at):
    """Days since, None for never."""
    return None if at is None else (timezone.now() - at).total_seconds() / 86400
