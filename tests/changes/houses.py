"""A shop with one room laid out twice, prices, labor and rates, for tests of change orders on pages."""

from decimal import Decimal

from layout.models import Draft
from projects.platform.permissions import Role
from tests.factories import DAY, ItemFactory, ItemPackFactory, JobRatesFactory, PriceFactory, ShopFactory
from tests.shops import fresh, issue, people_of, practice_room


class Site:
    """A room of two rows of three lights with speakers in both gaps; revision 2 has a third row."""

    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.room = practice_room(self.shop)
        self.job = self.room.job
        JobRatesFactory(job=self.job)
        self.first = issue(self.room, by=self.people[Role.OWNER])

    def third_row(self):
        Draft.objects.of(self.shop).filter(room=self.room).update(rows=3)
        self.room = fresh(self.room)
        return issue(self.room, by=self.people[Role.OWNER])

    def price_everything(self, amount="10.00"):
        """Each line of the room's takeoff by the piece; cable in coils of 100 ft."""
        from layout.engine.lengths import feet
        from reports.takeoffs.counting import count_job

        for line in count_job(self.job).job.lines:
            cable = line.key.startswith("cable:")
            item = ItemFactory(shop=self.shop, key=line.key, name=line.name, unit="length" if cable else "each")
            size = {"pieces": None, "length": feet(100)} if cable else {"pieces": 1}
            PriceFactory(pack=ItemPackFactory(item=item, **size), amount=Decimal(amount), on=DAY)
