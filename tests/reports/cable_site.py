"""A shop with one wired room: taped, laid out, issued, its switch, panel and rack placed. No expectation here."""

from layout.engine.lengths import inches
from projects.jobs.services import set_wire_points
from projects.platform.permissions import Role
from tests.factories import ShopFactory
from tests.shops import issue, people_of, practice_room, sign_in, tape_room


class Site:
    """The practice room with its height taped, its switch by the door, the panel down the hall, the rack beside it."""

    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.room = practice_room(self.shop)
        tape_room(self.room, "framing", "166", "93", height="108")
        points = [("switch", 6, 0, 48, 0), ("panel", 0, 60, 60, 240), ("rack", 160, 60, 24, 0)]
        set_wire_points(
            self.room,
            [
                {
                    "what": what, "from_left": inches(x), "from_door": inches(y), "height": inches(z),
                    "beyond": inches(beyond),
                }
                for what, x, y, z, beyond in points
            ],
        )  # fmt: skip
        self.revision = issue(self.room, by=self.people[Role.OWNER])
        self.wiring = f"/rooms/{self.room.pk}/wiring/"
        self.job = f"/jobs/{self.room.job_id}/cables/"

    def as_(self, client, role):
        return sign_in(client, self.people[role])
