"""How platform staff see a table: every row, found by its words, nothing followed and almost nothing changed.

Made from the models themselves; knows none of them by name but those of CHANGED.
"""

import re
from functools import cache

from django.contrib.admin import ModelAdmin
from django.db import models
from django.db.models.fields.files import FileField

from projects.platform.secret_columns import is_secret

MOST_COLUMNS = 7
ROWS = 50
# Nor these, whatever they are of: by a digest or a key one thing is told from another, a body was sent to somebody.
HIDDEN = re.compile(r"digest|(^|_)key$|(^|_)body$", re.IGNORECASE)
CHANGED = {"accounts.User": ("is_active",)}  # what staff may change: who gets in at all


class Table(ModelAdmin):
    """A list costs the same few queries whatever it holds: of a related record its number is shown."""

    list_per_page = list_max_show_all = ROWS
    show_full_result_count = False
    list_select_related = False
    actions = None
    save_on_top = False
    view_on_site = False

    def get_queryset(self, request):
        for name in ("everything", "objects", "_base_manager"):
            if manager := getattr(self.model, name, None):
                rows = manager.all()
                break
        return rows.every_shop() if hasattr(rows, "every_shop") else rows

    def get_ordering(self, request):
        return ("-pk",)

    def get_list_display(self, request):
        return [_column(field) for field in _shown(self.model)[:MOST_COLUMNS]]

    def get_list_display_links(self, request, list_display):
        return list_display[:1]

    def get_search_fields(self, request):
        number = ("=pk",) if isinstance(self.model._meta.pk, models.AutoField) else ()
        return (*number, *(field.name for field in _shown(self.model) if _is_words(field)))

    def get_fields(self, request, obj=None):
        changed = CHANGED.get(self.model._meta.label, ())
        return [field.name if field.name in changed else _column(field) for field in _shown(self.model)]

    def get_readonly_fields(self, request, obj=None):
        changed = CHANGED.get(self.model._meta.label, ())
        return [one for one in self.get_fields(request, obj) if one not in changed]

    def has_module_permission(self, request):
        return self.admin_site.has_permission(request)

    def has_view_permission(self, request, obj=None):
        return self.admin_site.has_permission(request)

    def has_change_permission(self, request, obj=None):
        return self.model._meta.label in CHANGED and self.admin_site.has_permission(request)

    def has_add_permission(self, request):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


def _shown(model):
    return [field for field in model._meta.concrete_fields if not (is_secret(field) or HIDDEN.search(field.name))]


def _is_words(field):
    return isinstance(field, (models.CharField, models.TextField)) and not isinstance(field, FileField)


@cache
def _column(field):
    """A column that shows what the row itself holds, as text: no related row is fetched, no address becomes a link."""

    def shown(row):
        value = getattr(row, field.attname)
        return "" if value is None else str(value)[:500]

    shown.short_description = field.verbose_name
    shown.admin_order_field = field.attname
    shown.__name__ = field.name
    return shown
