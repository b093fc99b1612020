"""Taking a shop out as a file that stays in its folder until the next one is made."""

import os
import time

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from projects.files import store
from projects.keeping import shop_out
from projects.keeping.copying import sha256_of
from projects.keeping.models import TakenOut
from projects.work.services import start

KIND = "take the shop out"


def ask_for(shop, member, title):
    return start(shop, KIND, {}, member, title=title)


def take_out(shop, by) -> TakenOut:
    """The shop's file, kept as one of its own files; the one before goes. Raises QuotaFull."""
    name = store.new_name("zip")
    final = store.path_of(shop.pk, name)
    unfinished = _place_for_unfinished() / f"{name}.part"
    final.parent.mkdir(parents=True, exist_ok=True)
    try:
        with unfinished.open("wb") as file:
            about = shop_out.write(shop, file)
            file.flush()
            os.fsync(file.fileno())
        rows, size = sum(one["rows"] for one in about["tables"].values()), unfinished.stat().st_size
        with transaction.atomic():
            old = list(TakenOut.objects.of(shop))
            _forget(shop, old)
            store.reserve(shop.pk, size)
            made = TakenOut.objects.create(
                shop=shop, file=name, bytes=size, digest=sha256_of(unfinished), rows=rows, made_at=timezone.now(),
                made_by=by,
            )  # fmt: skip
            unfinished.replace(final)
            transaction.on_commit(lambda: store.remove_files(shop.pk, [one.file for one in old]))
    except BaseException:
        final.unlink(missing_ok=True)
        raise
    finally:
        unfinished.unlink(missing_ok=True)
    return made


def _place_for_unfinished():
    """Beside the shops' folders, where nothing is counted yet. What a worker left that ended is gone after a day."""
    folder = settings.VAR_DIR / "unfinished"
    folder.mkdir(parents=True, exist_ok=True)
    for path in folder.glob("*.part"):
        if path.stat().st_mtime < time.time() - store.LEFT_BEHIND:
            path.unlink(missing_ok=True)
    return folder


def _forget(shop, old):
    for one in old:
        TakenOut.objects.of(shop).filter(pk=one.pk).delete()
        store.release(shop.pk, one.bytes)
