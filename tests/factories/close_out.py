"""Packets and warranties."""

from factory import SelfAttribute, Sequence, SubFactory

from projects.files import store
from reports.close_out.models import Packet, Warranty
from tests.factories.base import DAY, NOON, Below
from tests.factories.jobs import JobFactory


class PacketFactory(Below):
    """A record alone: there is no file behind it."""

    class Meta:
        model = Packet

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    what = "job"
    file = Sequence(lambda n: f"packet-{n}.pdf")
    pages = 12
    bytes = 5
    stands_on = "0" * 64
    made_at = NOON


def packet_on_file(job, **fields):
    packet = PacketFactory(job=job, **fields)
    store.put(job.shop_id, {packet.file: b"%PDF-"})
    return packet


class WarrantyFactory(Below):
    class Meta:
        model = Warranty

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    what = "Our work"
    starts_on = DAY
    months = 12
