"""Seals: batches of a shop's entries, each holding the one before it, and the check that nothing in them was touched.

Kept out of the transactions that write: a chain inside them would put all of a shop's writers in one line. What is
sealed is what can't grow any more: on SQLite writers come one after the other; on PostgreSQL an entry's id is given
before it can be seen, so a batch waits until all who were writing when it began have ended.
"""

import hashlib
import time
from collections.abc import Iterator
from dataclasses import dataclass, field

from django.db import connection, transaction
from django.db.models import Max
from django.utils import timezone

from projects.history import content, writers
from projects.history.models import Did, Entry, Seal

START = "0" * 64
BATCH = 20_000  # of a shop's entries in one seal at most
PATIENCE = 2.0  # seconds to wait for those who were writing
ITSELF = "history_entry"


@dataclass(frozen=True, slots=True)
class Head:
    """The last seal of a chain: what to keep elsewhere, so that the whole chain can't be made anew unseen."""

    shop: int | None
    number: int
    digest: str


@dataclass(slots=True)
class Batch:
    """Entries in the order of their ids, under one digest."""

    last: int = 0
    entries: int = 0
    _sum: "hashlib._Hash" = field(default_factory=hashlib.sha256)

    def add(self, pk: int, digest: str) -> None:
        self._sum.update(f"{pk}:{digest}\n".encode())
        self.last, self.entries = pk, self.entries + 1

    @property
    def root(self) -> str:
        return self._sum.hexdigest()


def seal_digest(before: str, shop: int | None, number: int, last: int, entries: int, root: str) -> str:
    return content.sha(content.content((before, shop, number, last, entries, root)))


def seal(patience: float = PATIENCE) -> list[Head] | None:
    """Seal what was written in every shop. The heads of all chains; None when somebody kept writing for too long."""
    last = _settled(patience)
    if last is None:
        return None
    with transaction.atomic():
        _one_at_a_time()
        heads = _heads()
        open_batches: dict[int | None, Batch] = {}
        # Whatever came before the newest sealed entry of all shops was sealed with it.
        after = max((each.last for each in heads.values()), default=0)
        for pk, shop, digest in _digests(after, last):
            batch = open_batches.setdefault(shop, Batch())
            batch.add(pk, digest)
            if batch.entries == BATCH:
                heads[shop] = _close(shop, heads.get(shop), open_batches.pop(shop))
        for shop, batch in open_batches.items():
            heads[shop] = _close(shop, heads.get(shop), batch)
    return [Head(shop, each.number, each.digest) for shop, each in sorted(heads.items(), key=lambda of: of[0] or 0)]


def _settled(patience: float) -> int | None:
    """The id up to which no entry can appear any more."""
    rows = Entry.objects.every_shop()
    if connection.vendor != "postgresql":
        return rows.aggregate(last=Max("pk"))["last"] or 0
    last = rows.aggregate(last=Max("pk"))["last"] or 0
    until = time.monotonic() + patience
    if connection.in_atomic_block:
        return last
    # Whoever had been given an id up to `last` had begun to write by this mark.
    begun = writers.mark()
    while writers.oldest() <= begun:
        if time.monotonic() > until:
            return None
        time.sleep(0.02)
    return last


def _one_at_a_time() -> None:
    """On SQLite the transaction itself is the lock."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(hashtext('ceilingbook history'))")


def _heads() -> dict[int | None, Seal]:
    newest = Seal.objects.every_shop().values("shop_id").annotate(newest=Max("pk")).order_by().values("newest")
    return {each.shop_id: each for each in Seal.objects.every_shop().filter(pk__in=newest)}


def _digests(after: int, last: int) -> Iterator[tuple[int, int | None, str]]:
    rows = Entry.objects.every_shop().filter(pk__gt=after, pk__lte=last).order_by("pk")
    return rows.values_list("pk", "shop_id", "digest").iterator(chunk_size=5000)


def _close(shop, before, batch) -> Seal:
    number = before.number + 1 if before else 1
    digest = seal_digest(
        before.digest if before else START, shop, number, batch.last, batch.entries, batch.root
    )  # fmt: skip
    return Seal.objects.create(
        shop_id=shop, number=number, last=batch.last, entries=batch.entries, root=batch.root, digest=digest,
        at=timezone.now(),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Finding:
    """Something in the history that is not as it was written. entry: its id, where one alone is meant."""

    shop: int | None
    what: str
    entry: int | None = None


@dataclass(frozen=True, slots=True)
class Verified:
    entries: int
    sealed: int
    seals: int
    findings: list[Finding]
    heads: list[Head]


def verify(known: list[Head] = ()) -> Verified:
    """Every entry against its digest, every seal against its entries and the one before.

    known: heads that were kept elsewhere, and have to be in the chains still.
    """
    seals = _chains()
    findings = [*_broken_links(seals), *_not_in(known, seals)]
    batches: dict[int | None, Batch] = {}
    at: dict[int | None, int] = {}  # index of the seal that is being filled
    erased: dict[int, str] = {}
    reworded: list[tuple[int | None, int, str]] = []
    entries = sealed = 0
    for row in _entries():
        entries += 1
        pk, shop, _, redacted, *said = row
        seen = _digest(shop, said)
        if said[4] == Did.ERASED and said[2] == ITSELF:
            erased[int(said[3])] = said[6]
        if redacted:
            reworded.append((shop, pk, seen))
        elif seen != row[2]:
            findings.append(Finding(shop, "changed", pk))
        chain = seals.get(shop, [])
        index = at.get(shop, 0)
        batch = batches.setdefault(shop, Batch())
        while index < len(chain) and pk > chain[index].last:
            findings += _held(chain[index], batch)
            batch = batches[shop] = Batch()
            index += 1
        at[shop] = index
        sealed += index < len(chain)
        # An entry out of which a name was taken keeps the digest it was sealed with.
        batch.add(pk, row[2] if redacted else seen)
    for shop, chain in seals.items():
        for each in chain[at.get(shop, 0) :]:
            findings += _held(each, batches.pop(shop, Batch()))
    findings += [Finding(shop, "changed", pk) for shop, pk, seen in reworded if seen not in erased.get(pk, "")]
    heads = [Head(shop, chain[-1].number, chain[-1].digest) for shop, chain in seals.items()]
    return Verified(entries, sealed, sum(map(len, seals.values())), findings, heads)


def _entries():
    fields = ("pk", "shop_id", "digest", "redacted", "at", "job_id", "what", "record", "did", "before", "after",
              "member_id", "user_id", "via", "request", "room_id")  # fmt: skip
    rows = Entry.objects.every_shop().order_by("pk").values_list(*fields).iterator(chunk_size=5000)
    for pk, shop, digest, redacted, at, job, what, record, did, before, after, member, user, via, request, room in rows:
        yield pk, shop, digest, redacted, at, (job, room), what, record, did, before, after, member, user, via, request


def _digest(shop, said) -> str:
    at, (job, room), *rest = said
    return content.digest(at, shop, job, room, *rest)


def _chains() -> dict[int | None, list[Seal]]:
    chains: dict[int | None, list[Seal]] = {}
    for each in Seal.objects.every_shop().order_by("number"):
        chains.setdefault(each.shop_id, []).append(each)
    return chains


def _broken_links(chains) -> Iterator[Finding]:
    for shop, chain in chains.items():
        before = START
        for number, each in enumerate(chain, 1):
            said = (each.number, each.last, each.entries, each.root)
            if each.number != number or each.digest != seal_digest(before, shop, *said):
                yield Finding(shop, f"seal {each.number} does not follow from the one before")
            before = each.digest


def _held(each: Seal, batch: Batch) -> list[Finding]:
    if (batch.last, batch.entries, batch.root) == (each.last, each.entries, each.root):
        return []
    apart = batch.entries - each.entries
    what = "changed or in another order" if apart == 0 else f"{abs(apart)} {'more' if apart > 0 else 'missing'}"
    return [Finding(each.shop_id, f"entries up to {each.last} are not those that were sealed: {what}")]


def _not_in(known, chains) -> Iterator[Finding]:
    for head in known:
        chain = chains.get(head.shop, [])
        if not any((each.number, each.digest) == (head.number, head.digest) for each in chain):
            yield Finding(head.shop, f"seal {head.number} is not the one that was kept elsewhere")
