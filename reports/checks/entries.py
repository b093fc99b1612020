"""A checklist's answer as a phone sends it once it has signal."""

from projects.photos import services as photos
from reports.checks import services
from reports.field.entries import Conflict, Refused, entry


@entry("check", may="answer checklists")
def check(member, room, data, base, at, file):
    """data: number, outcome, reason. Returns number, version, outcome, reason."""
    try:
        number = int(data.get("number", ""))
    except (TypeError, ValueError) as wrong:
        raise Refused(services.no_such_item(data.get("number"))) from wrong
    try:
        photo = services.photo_of_item(room, number, file, by=member, taken_at=at) if file else None
        kept = services.answer(
            room, number, data.get("outcome", ""), by=member, reason=data.get("reason", ""), photo=photo, base=base,
            at=at,
        )  # fmt: skip
    except (services.NotAnswered, photos.NoPicture, photos.QuotaFull) as refused:
        raise Refused(str(refused)) from refused
    except services.AnsweredOtherwise as other:
        raise Conflict(
            str(other),
            theirs={"outcome": other.theirs.outcome, "reason": other.theirs.reason, "version": other.theirs.version},
            mine={"outcome": other.mine, "reason": other.reason},
        ) from other
    return {"number": number, "version": kept.version, "outcome": kept.outcome, "reason": kept.reason}
