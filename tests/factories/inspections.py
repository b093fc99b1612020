"""Inspections."""

from factory import SelfAttribute, SubFactory
from factory.django import DjangoModelFactory

from reports.inspections.models import Correction, RoomResult, Visit
from tests.factories.base import DAY, Below
from tests.factories.jobs import JobFactory, RoomFactory


class VisitFactory(Below):
    class Meta:
        model = Visit

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    kind = "power"
    on = DAY
    inspector = "P. Orrin"
    tag = "T-4471"


class RoomResultFactory(DjangoModelFactory):
    class Meta:
        model = RoomResult

    visit = SubFactory(VisitFactory)
    room = SubFactory(RoomFactory, job=SelfAttribute("..visit.job"))
    outcome = "pass"


class CorrectionFactory(Below):
    class Meta:
        model = Correction

    _above = "result__visit__job"
    result = SubFactory(RoomResultFactory, outcome="fail")
    shop = SelfAttribute("result.visit.shop")
    words = "Staple the cable within 12 in of the box"
