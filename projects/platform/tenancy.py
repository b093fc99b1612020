"""Every record belongs to a shop, and nothing is read without saying which. Knows no particular record."""

from contextlib import AbstractContextManager, nullcontext

from django.db import models
from django.http import Http404
from django.utils.translation import gettext_lazy as _

from projects.platform.one_job import within
from projects.platform.walling import every_shop


class UnscopedQuery(RuntimeError):
    """A query on a shop's records that names no shop. A fault in the program, never a person's mistake."""


class ShopQuerySet(models.QuerySet):
    """Rows come only after `of(shop)`, through a related record (`job.rooms`), or by an explicit `every_shop()`."""

    _scoped = False
    _everywhere = False

    def __init__(self, model=None, query=None, using=None, hints=None):
        super().__init__(model, query, using, hints)
        # Whatever the manager: a query that begins has the one job's bound in it, a copy has it from its original.
        if query is None and model is not None and (bound := within(model)) is not None:
            self.query.add_q(bound)

    def of(self, shop):
        return self.filter(shop=shop)._mark()

    def every_shop(self):
        """For migrations, commands and checks over the whole installation, and to find the one row of a key that was
        handed in; never for anything else of a request. The database's own wall is open for it."""
        rows = self._chain()._mark()
        rows._everywhere = True
        return rows

    def _wall(self) -> AbstractContextManager[None]:
        return every_shop() if self._everywhere else nullcontext()

    def _mark(self):
        self._scoped = True
        return self

    def _clone(self):
        clone = super()._clone()
        clone._scoped, clone._everywhere = self._scoped, self._everywhere
        return clone

    def _insist(self):
        if not (self._scoped or self._hints.get("instance") is not None):
            raise UnscopedQuery(f"{self.model.__name__} was asked for without a shop. Start from .of(shop).")

    # Rows joined with rows of no shop belong to no shop.

    def __or__(self, other):
        self._insist_on(other)
        return super().__or__(other)

    def __xor__(self, other):
        self._insist_on(other)
        return super().__xor__(other)

    def union(self, *others, **kwargs):
        self._insist_on(*others)
        return super().union(*others, **kwargs)

    def _insist_on(self, *others):
        for rows in (self, *others):
            rows._insist()

    def _fetch_all(self):
        self._insist()
        with self._wall():
            super()._fetch_all()

    def iterator(self, *args, **kwargs):
        self._insist()
        return super().iterator(*args, **kwargs)

    def count(self):
        self._insist()
        with self._wall():
            return super().count()

    def one(self):
        """The row there is, or None: of what is asked for by its key, as `first`, but for sorting what is one row."""
        return next(iter(self.order_by()[:1]), None)

    def exists(self):
        self._insist()
        with self._wall():
            return super().exists()

    def aiterator(self, *args, **kwargs):
        self._insist()
        return super().aiterator(*args, **kwargs)

    def aggregate(self, *args, **kwargs):
        self._insist()
        with self._wall():
            return super().aggregate(*args, **kwargs)

    def update(self, **kwargs):
        self._insist()
        with self._wall():
            return super().update(**kwargs)

    def delete(self):
        self._insist()
        with self._wall():
            return super().delete()

    delete.alters_data = True
    delete.queryset_only = True


class StaleVersion(Exception):
    """Someone saved this record after the page was opened. Carries both versions: `mine` (typed), `theirs` (stored)."""

    def __init__(self, record, mine):
        super().__init__(_("This was changed by someone else while you had it open."))
        self.theirs = record
        self.mine = mine


class ShopRecord(models.Model):
    """A shop's record: its shop, and a version that grows with every save.

    across_jobs: a ledger of the whole shop whose rows only count together, although each names a job. A page that shows
    it is not for a phone that joined one job (WHOLE_SHOP in projects.platform.permissions).
    """

    across_jobs = False

    shop = models.ForeignKey("accounts.Shop", on_delete=models.PROTECT, related_name="+")
    version = models.PositiveIntegerField(default=1, editable=False)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = ShopQuerySet.as_manager()

    class Meta:
        abstract = True


def save_from(record, seen_version, changes, *, at):
    """Write `changes` if the record still is at `seen_version`; one UPDATE decides, so no save is lost.

    Returns the record as stored. Raises StaleVersion with the stored record and the changes that were refused, and
    Http404 for a record that is there no more.
    """
    for name, value in changes.items():
        field = record._meta.get_field(name)
        # A related record was chosen from the shop's own by the form or serializer; it has nothing to clean.
        setattr(record, name, value if field.is_relation else field.clean(value, record))
    written = (
        type(record)
        .objects.of(record.shop_id)
        .filter(pk=record.pk, version=seen_version)
        .update(
            version=models.F("version") + 1,
            updated_at=at,
            **{name: getattr(record, name) for name in changes},
        )
    )
    stored = type(record).objects.of(record.shop_id).filter(pk=record.pk).first()
    if stored is None:  # removed, or put in the trash, since it was read
        raise Http404
    if not written:
        raise StaleVersion(stored, changes)
    return stored
