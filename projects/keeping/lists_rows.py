"""Sections of a shop's lists that are records of one kind, each held to the rules of its own page's form."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import DatabaseError, models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.engine.lengths import Length
from projects.keeping.lists import Change
from projects.platform.api import problems
from projects.platform.api.bodies import Body
from projects.platform.api.lengths import in_millimeters
from projects.platform.tenancy import save_from


def plain(value, column=None):
    """A stored value as the file has it: exact, the same on either engine."""
    if isinstance(value, Length):
        return in_millimeters(int(value))
    if isinstance(value, Decimal):
        return f"{value:.{column.decimal_places}f}" if column is not None else str(value)
    return value.isoformat() if isinstance(value, dt.date) else value


def saved(record, seen, changes):
    return save_from(record, seen, changes, at=timezone.now())


@dataclass
class Records:
    """Records of one model, each known by `key`. form: its page's; fields: those of it that go out.

    options: what the form is made with; allowed: whether there may be such a key; change: the service that saves.
    """

    name: str
    model: type
    form: type
    fields: tuple[str, ...]
    key: str = "key"
    options: Callable = lambda shop: {"tape": shop.tape}
    change: Callable = saved
    allowed: Callable[[object], bool] = lambda key: True
    money: bool = False
    body: Body = field(init=False)

    def __post_init__(self):
        self.body = Body(f"List{self.model.__name__}", self.form)

    def told(self, shop):
        return [self.row(record) for record in self.stored(shop).values()]

    def stored(self, shop):
        return {getattr(each, self.key): each for each in self.model.objects.of(shop).order_by(self.key)}

    def row(self, record):
        columns = self.model._meta
        return {
            self.key: getattr(record, self.key),
            **{name: plain(getattr(record, name), columns.get_field(name)) for name in self.fields},
        }

    def take(self, shop, by, given, report):
        if not isinstance(given, list):
            report.wrong(f"/{self.name}", _("A list stands here."))
            return
        stored, met = self.stored(shop), set()
        for n, row in enumerate(given):
            at = f"/{self.name}/{n}"
            key = self._key(row, at, report)
            if key in met:
                report.wrong(f"{at}/{self.key}", _("This stands in the list twice."), "twice")
            elif key is not None:
                met.add(key)
                self._one(shop, key, dict(row), stored.get(key), at, report)

    def _key(self, row, at, report):
        key = row.get(self.key) if isinstance(row, dict) else None
        try:
            if not isinstance(key, str) or not self.allowed(key):
                raise ValidationError("none")
            if self.model._meta.get_field(self.key).clean(key, None) != key:
                raise ValidationError("none")
        except ValidationError:
            said = _("The short name it is known by stands here, as the shop it is from has it.")
            report.wrong(f"{at}/{self.key}", said)
            return None
        return key

    def _one(self, shop, key, row, record, at, report):
        del row[self.key]
        try:
            form = self.body.fill(row, start=self.start(record), version=1, **self.options(shop))
            values = self.values(shop, form.cleaned_data, report, key)
            with transaction.atomic():
                self._write(shop, key, record, values, report)
        except problems.Refused as refused:
            report.errors += [one | {"pointer": at + one["pointer"]} for one in refused.more["errors"]]
        except ValidationError as wrong:
            report.wrong(at, " ".join(wrong.messages))
        except DatabaseError:
            report.wrong(at, _("It does not fit with what the shop has."))

    def start(self, record):
        return {name: getattr(record, name) for name in self.fields} if record is not None else {}

    def values(self, shop, cleaned, report, key):
        """What the form holds as columns. Raises ValidationError."""
        return {name: cleaned[name] for name in self.fields if name in cleaned}

    def _write(self, shop, key, record, values, report):
        if record is None:
            record = self.model(shop=shop, **{self.key: key}, **values)
            record.full_clean(exclude=["shop"])
            record.save()
            fields = tuple((name, None, value) for name, value in self.row(record).items() if name != self.key)
            report.changes.append(Change(self.name, key, name_of(record, key), True, fields))
            return
        changes = {name: value for name, value in values.items() if getattr(record, name) != value}
        if not changes:
            report.same += 1
            return
        before = self.row(record)
        after = self.row(self.change(record, record.version, changes))
        fields = tuple((name, before[name], after[name]) for name in after if before[name] != after[name])
        report.changes.append(Change(self.name, key, name_of(record, key), False, fields))


def name_of(record: models.Model, key: str) -> str:
    """What people call it: its own name, or the short one where it has none."""
    return key if type(record).__str__ is models.Model.__str__ else str(record)


def one(part, given, at, report, do):
    """Do something that one thing's form or service may refuse."""
    try:
        with transaction.atomic():
            return do()
    except problems.Refused as refused:
        report.errors += [each | {"pointer": at + each["pointer"]} for each in refused.more["errors"]]
    except ValidationError as wrong:
        report.wrong(at, " ".join(wrong.messages))
    except DatabaseError:
        report.wrong(at, _("It does not fit with what the shop has."))
    return None
