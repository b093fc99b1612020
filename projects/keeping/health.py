"""What /healthz tells of backups and drills."""

from projects.keeping.queries import DRILL_DAYS, age_days, last_backup, last_drill, last_drill_that_held
from projects.platform.health import Standing, told

BACKUP_HOURS = 26  # a nightly backup and the time it takes; an hourly one is far within it


@told("backup")
def backup():
    last = last_backup()
    if last is None:
        return Standing("warn", {"age_hours": None})
    hours = round(age_days(last.made_at) * 24, 2)
    facts = {"age_hours": hours, "files": last.files, "missing": last.missing, "seconds": last.seconds}
    return Standing("ok" if hours <= BACKUP_HOURS and not last.missing else "warn", facts)


@told("restore_drill")
def drill():
    last, held = last_drill(), last_drill_that_held()
    days = None if held is None else round(age_days(held.at), 2)
    facts = {"age_days": days, "last_held": last.held if last else None}
    if last is not None and not last.held:
        return Standing("failing", facts)
    return Standing("ok" if days is not None and days <= DRILL_DAYS else "warn", facts)
