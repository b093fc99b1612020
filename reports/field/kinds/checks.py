"""A checklist's answer on the phone. The same answer from two people is one; another one is a person's to judge."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.photos.services import NoPicture, QuotaFull
from reports.checks import services
from reports.checks.models import Outcome
from reports.checks.queries import progress
from reports.field.entries import Conflict, Refused, entry
from reports.field.pages import phone_page


@entry("check", may="answer checklists", title=gettext_lazy("Checklist"))
def keep_answer(member, room, data, base, at, file):
    """data: number, outcome, reason. base: the version of the answer the phone knew of. Returns what stands."""
    number = str(data.get("number", ""))
    try:
        if not (number.isascii() and number.isdigit() and len(number) < 4):
            raise Refused(services.no_such_item(number))
        photo = services.photo_of_item(room, number, file, by=member, taken_at=at) if file else None
        kept = services.answer(
            room, int(number), data.get("outcome") or "", by=member, reason=data.get("reason") or "", photo=photo,
            base=base, at=at,
        )  # fmt: skip
    except (services.NotAnswered, NoPicture, QuotaFull) as refused:
        raise Refused(str(refused)) from refused
    except services.AnsweredOtherwise as other:
        item = _("Item %(number)s") % {"number": number}
        raise Conflict(
            str(other),
            theirs={item: _said(other.theirs.outcome, other.theirs.reason), "version": other.theirs.version},
            mine={item: _said(other.mine, other.reason)},
        ) from other
    return {"number": int(number), "version": kept.version, "answer": kept.outcome, "reason": kept.reason}


def _said(outcome, reason):
    label = str(Outcome(outcome).label)
    return f"{label}: {reason}" if reason else label


def _how_far(rooms):
    return {
        room_id: _("%(answered)s of %(asked)s answered") % {"answered": answered, "asked": asked}
        + (_(", %(failed)s failed") % {"failed": failed} if failed else "")
        for room_id, (answered, asked, failed) in progress(rooms).items()
    }


phone_page("field_checks", gettext_lazy("Checklist"), may="answer checklists", place=20, told=_how_far)
