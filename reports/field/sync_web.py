"""Where phones send what was entered, and ask who is signed in. Answers in JSON; knows no kind of entry.

The statuses: 200 applied, 412 somebody else's value stands, 422 can't be taken, 410 the room is gone (these four are
kept, and the same sending gets the same one again); 403 not this person's to enter, 422 without an outcome
for what is no entry, 409 with Retry-After for one that is just being taken (these are not kept).
"""

from django.contrib.sessions.exceptions import SessionInterrupted
from django.db import OperationalError
from django.http import JsonResponse
from django.utils import timezone
from django.views.decorators.csrf import ensure_csrf_cookie

from projects.doors.door import member_of
from reports.field import queries, services
from reports.field.models import EntryKept, Phone
from reports.field.reading import Unreadable, ident_of, sent_by

STATUS = {"applied": 200, "conflict": 412, "refused": 422, "gone": 410}


@ensure_csrf_cookie
def hello(request):
    """Who is signed in here, by the server's clock; without anyone, whether this phone was ended."""
    member = member_of(request) if request.user.is_authenticated else None
    ident = ident_of(request.GET.get("phone"))
    ended = bool(ident) and Phone.objects.every_shop().filter(ident=ident).exclude(ended_at=None).exists()
    told = {
        "person": queries.person_ident(member) if member else None,
        "now": timezone.now().isoformat(),
        "ended": ended and member is None,
    }
    answer = JsonResponse(told)
    answer["Cache-Control"] = "no-store"
    return answer


def report(request):
    """The phone says how many entries it holds; the answer says what became of those it still has questions about."""
    post = request.POST
    ident, waiting = ident_of(post.get("phone")), post.get("waiting", "")
    if not ident or not (waiting.isascii() and waiting.isdigit() and len(waiting) < 7):
        return _no(422, "Say which phone this is and how many entries wait on it.")
    waited = services.age_between(post.get("since"), post.get("now")) if post.get("since") else None
    services.report(request.member, ident, int(waiting), waited, session_key=request.session.session_key)
    keys = [key for key in post.get("keys", "").split(",") if ident_of(key)]
    told = {
        "person": queries.person_ident(request.member),
        "now": timezone.now().isoformat(),
        "states": queries.states_of(request.member, keys),
    }
    return JsonResponse(told)


def sync(request):
    """One entry. Sent twice, it is taken once and answered alike."""
    try:
        sent = sent_by(request)
        kept = services.take(request.member, sent)
    except Unreadable as wrong:
        return _no(422, str(wrong))
    except services.NotAllowed as refused:
        return _no(403, str(refused))
    except services.OtherBody as refused:
        return _no(422, str(refused), outcome="other")
    except (OperationalError, SessionInterrupted):
        answer = _no(409, "This entry is just being taken. Send it again in a moment.")
        answer["Retry-After"] = "2"
        return answer
    return JsonResponse(_told(kept), status=STATUS[kept.outcome])


def _told(kept: EntryKept):
    """What was answered first. Whether somebody settled it since is asked by report()."""
    return {**kept.answer, "key": kept.key, "outcome": kept.outcome, "words": kept.words, "at": kept.at.isoformat()}


def _no(status, words, **more):
    return JsonResponse({"words": words, **more}, status=status)
