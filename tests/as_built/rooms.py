"""The room that marks are set in. No expectation stands here.

19 ft by 10 ft, one height of board. Four lights a row at 42, 90, 138 and 186 in, rows at 30 and 90; joists from the
door to the far wall every 16 in from 2 in, so that every light is in the middle of its bay.
"""

from layout.engine.lengths import inches
from projects.platform.permissions import Role
from tests.factories import (
    DAY,
    CeilingFactory,
    FixtureTypeFactory,
    JobFactory,
    JoistRunFactory,
    MemberFactory,
    ShopFactory,
)
from tests.shops import build_room, draft_room, fresh, issue


def marked_room(*, verified=True, shop=None, **built):
    shop = shop or ShopFactory()
    fields = {"furring": "", "gap": "0", "framing": ("228", "120"), "finished": None, "ceiling_system": "board"} | built
    room = build_room(fields.pop("job", None) or JobFactory(shop=shop), **fields)
    by = {"cutout_verified_by": "R.", "cutout_verified_on": DAY} if verified else {}
    light = FixtureTypeFactory(shop=shop, name="6 in light", cutout=inches("6 3/8"), install="old_work", **by)
    draft_room(
        room, rows=2, lights_per_row=4, end_setback=inches(42), row_setback=inches(30), speaker_gaps="",
        speaker_type=None, light_type=light,
    )  # fmt: skip
    JoistRunFactory(
        ceiling=CeilingFactory(room=room, framing="found"), runs="door_far", first=inches(2), first_from="left"
    )
    issue(fresh(room))
    return fresh(room)


def crew(room, role=Role.CREW, **may):
    return MemberFactory(shop=room.shop, role=role.value, **may)
