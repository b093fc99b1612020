"""A person's name and address taken out of everything that may forget them. Knows no table by name.

What stands: what the person did, under a pseudonym, and texts that are held by a digest (what a client was sent or
signed, an issued revision, a closed-out paper): these are told by table, id and column, with the reason.
An entry of the history keeps the digest it was sealed with; the new one is told by an entry of its own.
"""

import json
from dataclasses import dataclass, field

from django.contrib.sessions.models import Session
from django.db import models, transaction
from django.utils import timezone

from projects.accounts.models import ApiToken, Membership, User
from projects.history import content
from projects.history.chain import ITSELF
from projects.history.flags import ERASE, allowed
from projects.history.models import Did, Entry
from projects.history.persons import by_words, has_any, names_of, pattern
from projects.platform.speaking import speaker


class CannotBeErased(Exception):
    """With the reason, and what to do first."""


@dataclass(slots=True)
class Erased:
    """pseudonym: what they are called from now on. kept: (table, id, column, why) of what still names them."""

    pseudonym: str
    texts: int = 0
    entries: int = 0
    kept: list[tuple[str, object, str, str]] = field(default_factory=list)


FROZEN = (
    "a text that was sent, signed or issued, held by its digest; books are kept as the law of the shop's place asks"
)
NAMESAKE = "somebody else of the same name works there; look at it and change it by hand"


@transaction.atomic
def erase(user: User) -> Erased:
    """Raises CannotBeErased for the last owner of a shop that has one."""
    members = list(Membership.objects.select_for_update().filter(user=user).select_related("shop"))
    _refuse_the_last_owner(members)
    done = Erased(f"Person {user.pk}")
    words = names_of(user)
    shops = {member.shop_id for member in members}
    shared = set(
        Membership.objects.filter(shop__in=shops, user__name__iexact=user.name)
        .exclude(user=user)
        .values_list("shop_id", flat=True)
    )
    _texts(user, shops, words, done, namesake=bool(shared))
    _signs_in_no_more(user, members, done.pseudonym)
    _history(user, shops, words, done, namesake=bool(shared))
    return done


def _refuse_the_last_owner(members) -> None:
    for member in members:
        others = member.shop.members.filter(role="owner", active=True).exclude(pk=member.pk)
        if member.active and member.role == "owner" and not others.exists():
            raise CannotBeErased(f"{member.shop} would be left without an owner. Make somebody else an owner first.")


def _texts(user, shops, words, done, *, namesake):
    for found in list(by_words(user, shops)):
        rows = found.model._base_manager.filter(pk=found.pk)
        row = rows.values(*found.columns).get()
        changes = {}
        for name in found.columns:
            if why := _why_it_stays(found.model, name, namesake):
                done.kept.append((found.model._meta.label, found.pk, name, why))
            else:
                changes[name] = _without(found.model._meta.get_field(name), row[name], words, done.pseudonym)
        if changes:
            rows.update(**changes)
            done.texts += len(changes)


def _why_it_stays(model, name, namesake) -> str:
    if namesake:
        return NAMESAKE
    column = model._meta.get_field(name)
    long = isinstance(column, models.TextField | models.JSONField) and not (
        column.max_length and column.max_length <= 4000
    )
    if name.startswith(("signed_", "accepted_")) or (long and any(f.name == "digest" for f in model._meta.fields)):
        return FROZEN
    return ""


def _without(column, value, words, pseudonym):
    if isinstance(column, models.EmailField):  # a letter to it reaches nobody (RFC 2606, from memory)
        return f"{pseudonym.replace(' ', '-').lower()}@erased.invalid"
    if not isinstance(value, str):
        return json.loads(_sub(json.dumps(value, ensure_ascii=False), words, pseudonym))
    return _sub(value, words, pseudonym)[: column.max_length]


def _sub(text, words, pseudonym):
    for word in sorted(words, key=len, reverse=True):
        text = pattern(word).sub(pseudonym, text)
    return text


def _signs_in_no_more(user, members, pseudonym):
    now = timezone.now()
    ApiToken.objects.filter(member__user=user, ended_at=None).update(ended_at=now)
    for member in members:
        Membership.objects.filter(pk=member.pk).update(active=False, version=models.F("version") + 1)
    user.email, user.name, user.is_active, user.language, user.last_login = None, pseudonym, False, "", None
    user.set_unusable_password()
    user.save()
    for session in Session.objects.iterator(chunk_size=1000):
        if session.get_decoded().get("_auth_user_id") == str(user.pk):
            session.delete()


def _history(user, shops, words, done, *, namesake):
    """The names in entries of the person's shops, and in those about the person."""
    rows = Entry.objects.every_shop().filter(
        models.Q(shop__in=shops) | models.Q(shop=None) | models.Q(what="accounts_user", record=str(user.pk))
    )
    named = models.Q()
    for word in words:
        named |= models.Q(before__icontains=word) | models.Q(after__icontains=word)
    for entry in rows.filter(named).order_by("pk").iterator(chunk_size=500):
        if not (has_any(entry.before, words) or has_any(entry.after, words)):
            continue
        about = (entry.what, entry.record) == ("accounts_user", str(user.pk))
        if namesake and not about:
            done.kept.append(("history.Entry", entry.pk, "before, after", NAMESAKE))
            continue
        _redact(entry, words, done.pseudonym)
        done.entries += 1


def _redact(entry: Entry, words, pseudonym) -> None:
    before, after = (_sub(side, words, pseudonym) for side in (entry.before, entry.after))
    digest = content.digest(
        entry.at, entry.shop_id, entry.job_id, entry.room_id, entry.what, entry.record, entry.did, before, after,
        entry.member_id, entry.user_id, entry.via, entry.request,
    )  # fmt: skip
    with allowed(ERASE):
        Entry.objects.every_shop().filter(pk=entry.pk).update(before=before, after=after, redacted=digest)
    _tell(entry, digest)


def _tell(entry: Entry, digest: str) -> None:
    """That a name was taken out of this entry is an entry, and is sealed as every other."""
    who, at = speaker(), timezone.now()
    told = {
        "at": at, "shop_id": entry.shop_id, "job_id": None, "room_id": None, "what": ITSELF, "record": str(entry.pk),
        "did": Did.ERASED.value, "before": "", "after": json.dumps({"digest": digest}), "member_id": who.member,
        "user_id": who.user, "via": who.via[:20], "request": who.request[:200],
    }  # fmt: skip
    Entry.objects.create(**told, digest=content.digest(at, *(told[name] for name in (
        "shop_id", "job_id", "room_id", "what", "record", "did", "before", "after", "member_id", "user_id", "via",
        "request",
    ))))  # fmt: skip
