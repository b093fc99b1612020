"""Files in a shop's own folder, within what the shop may keep. Knows no record that names one.

Room is taken before a file is written, by one UPDATE that finds enough or changes nothing: however many hand in at
once, a shop never keeps a byte more than it may. Call it inside the transaction that writes the record: what is rolled
back gives its room back, and `sweep` takes the file that was left behind.
"""

import os
import secrets
import time
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import F
from django.db.models.functions import Greatest
from django.utils.translation import gettext as _

from projects.files.models import KeptBytes

MB = 1_000_000
BATCH = 500  # names in one query
LEFT_BEHIND = 24 * 3600  # seconds: a file this old that no record names was never finished


class QuotaFull(Exception):
    """The shop keeps as much as it may. The message says how much, and what to do."""


def folder_of(shop_id) -> Path:
    return settings.VAR_DIR / "media" / str(shop_id)


def path_of(shop_id, name) -> Path:
    return folder_of(shop_id) / name


def new_name(ending) -> str:
    """A name nobody guesses and nobody chose."""
    return f"{secrets.token_urlsafe(18)}.{ending}"


def most_bytes() -> int:
    """Bytes a shop may keep."""
    return settings.MOST_KEPT_BYTES


def used_by(shop_id) -> int:
    """Bytes the shop keeps."""
    return KeptBytes.objects.filter(pk=shop_id).values_list("used", flat=True).first() or 0


def reserve(shop_id, count):
    """Take room for so many bytes, all or none. Raises QuotaFull."""
    most = most_bytes()
    enough = KeptBytes.objects.filter(pk=shop_id, used__lte=most - count)
    if enough.update(used=F("used") + count):
        return
    try:
        with transaction.atomic():
            KeptBytes.objects.create(shop_id=shop_id, used=_in_folder(shop_id))
    except IntegrityError:
        pass  # it was there, or somebody was first
    if not enough.update(used=F("used") + count):
        said = _("The shop keeps %(used)s MB of the %(most)s MB it may. Take back photos, or ask for more room.")
        raise QuotaFull(said % {"used": used_by(shop_id) // MB, "most": most // MB})


def release(shop_id, count):
    """Give room back, in the transaction that ends the record."""
    KeptBytes.objects.filter(pk=shop_id).update(used=Greatest(F("used") - count, 0))


def size_of(shop_id, name) -> int:
    """Bytes of a kept file; 0 when it is gone."""
    path = path_of(shop_id, name)
    return path.stat().st_size if path.exists() else 0


def _in_folder(shop_id):
    """What was kept before anything was counted."""
    return sum(path.stat().st_size for path in _files_of(shop_id))


def _files_of(shop_id):
    folder = folder_of(shop_id)
    return [path for path in folder.iterdir() if path.is_file()] if folder.exists() else []


def put(shop_id, files):
    """Write {name: bytes}, whole or not at all, after room was taken for all of them. Returns their bytes together.

    Raises QuotaFull, also where the server's own disk is full.
    """
    count = sum(len(content) for content in files.values())
    reserve(shop_id, count)
    written = []
    try:
        for name, content in files.items():
            written.append(_write(path_of(shop_id, name), content))
    except OSError as full:
        remove_files(shop_id, files)
        raise QuotaFull(_("The server could not write the file: its disk may be full. Nothing was kept.")) from full
    except BaseException:
        remove_files(shop_id, files)
        raise
    return count


def remove_files(shop_id, names):
    """Take the files themselves away; room is given back by `release`, in the transaction that ends the record."""
    for name in names:
        path_of(shop_id, name).unlink(missing_ok=True)


def _write(path, content):
    """Under another name first: a file that stands under its own is whole, also after the power went."""
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f"{path.name}.part")
    try:
        with unfinished.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
    return path


def sweep(shop_id, now=None):
    """Take away files that no record names and nobody is still writing, and count anew. Returns how many were taken.

    Whoever is keeping a file holds the shop's row until it is written, so the count is of whole files.
    """
    before = (now or time.time()) - LEFT_BEHIND
    with transaction.atomic():
        row = KeptBytes.objects.select_for_update().filter(pk=shop_id).first()
        old = [path for path in _files_of(shop_id) if path.stat().st_mtime < before]
        known = _named([path.name for path in old])
        stray = [path for path in old if path.name not in known]
        for path in stray:
            path.unlink(missing_ok=True)
        if row:
            row.used = _in_folder(shop_id)
            row.save(update_fields=["used"])
    return len(stray)


def _named(names):
    """Those of the names that a record has. A model whose records have files says in which columns: KEEPS_FILES."""
    known = set()
    for model in apps.get_models():
        for column in getattr(model, "KEEPS_FILES", ()):
            for at in range(0, len(names), BATCH):
                some = {f"{column}__in": names[at : at + BATCH]}
                known.update(model._base_manager.filter(**some).values_list(column, flat=True))
    return known
