"""Cards."""

from factory import SelfAttribute, SubFactory

from reports.models import CardCopy
from tests.factories.base import NOON, Below
from tests.factories.layout import LayoutRevisionFactory
from tests.factories.people import MemberFactory


class CardCopyFactory(Below):
    class Meta:
        model = CardCopy

    _above = "revision__room__job"
    revision = SubFactory(LayoutRevisionFactory)
    shop = SelfAttribute("revision.shop")
    how = CardCopy.How.PRINTED.value
    held_by = "M., crew"
    datum = "framing"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    at = NOON
