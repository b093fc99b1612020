"""Keeping a packet that was made, and saying what is warranted. Each in one transaction."""

import hashlib
from functools import partial

from django.db import IntegrityError, transaction
from django.utils import timezone

from projects.files import store
from projects.files.pdfs import page_count
from projects.work.services import start
from reports.close_out.models import Packet, Warranty, What

KINDS = {What.JOB: "job packet", What.CLOSE_OUT: "close-out packet"}


def ask_for(job, what, paper, by):
    """Put making it in the queue; what waits or runs already is given back."""
    title = f"{What(what).label}: {job}"
    return start(job.shop, KINDS[What(what)], {"job_id": job.pk, "paper": paper}, by, title=title)


def digest_of(laid):
    """What a packet stands on: each room with the revision it was made from."""
    said = ",".join(f"{one.room.pk}:{one.revision.number}" for one in laid)
    return hashlib.sha256(said.encode()).hexdigest()


def kept_by(work):
    return Packet.objects.of(work.shop_id).filter(work=work).first()


def keep(job, what, paper, content, *, stands_on, work):
    """In the place of the one before. Made by the same work already, that one. Raises QuotaFull."""
    name = store.new_name("pdf")
    try:
        with transaction.atomic():
            before = Packet.objects.of(job.shop_id).select_for_update().filter(job=job, what=what, paper=paper).first()
            if before:
                if before.work_id == work.pk:
                    return before
                before.delete()
                let_go([before])
            return Packet.objects.create(
                shop_id=job.shop_id, job=job, what=what, paper=paper, file=name, pages=page_count(content),
                bytes=store.put(job.shop_id, {name: content}), stands_on=stands_on, work=work, made_by=work.asked_by,
                made_at=timezone.now(),
            )  # fmt: skip
    except IntegrityError:
        store.remove_files(job.shop_id, [name])
        if found := kept_by(work):  # two workers at once: the first one's stands
            return found
        raise
    except BaseException:
        store.remove_files(job.shop_id, [name])
        raise


def let_go(packets):
    """The files of packets whose records go in this transaction."""
    for packet in packets:
        store.release(packet.shop_id, packet.bytes)
        transaction.on_commit(partial(store.remove_files, packet.shop_id, [packet.file]))


def warrant(job, by, *, what, starts_on, months):
    record = Warranty(shop_id=job.shop_id, job=job, what=what, starts_on=starts_on, months=months, said_by=by)
    record.clean_fields()
    record.save()
    return record


def take_back_warranty(record):
    Warranty.objects.of(record.shop_id).filter(pk=record.pk).delete()
