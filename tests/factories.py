"""Records for tests, each consistent within one shop. Knows the models, and nothing of what is tested with them.

Whatever stands above a record decides its shop: RoomFactory(job=job) and RoomFactory(shop=shop) both hold together.
Nothing here is measured or computed by the engine: a test that needs a real layout issues one.
"""

import datetime as dt
import hashlib
from decimal import Decimal

from factory import LazyAttribute, SelfAttribute, Sequence, SubFactory, post_generation
from factory.django import DjangoModelFactory, Password

from layout.engine.lengths import ZERO, feet, inches
from layout.light.models import KeptLight, LightAim, LightSetup, LightTask, LightZone, MeterReading
from layout.models import (
    Draft,
    DraftPin,
    LayoutRevision,
    MovedMark,
    PlanPicture,
    RevisionMark,
    SiteMove,
    SwitchedLight,
    TypedPosition,
    WayTaken,
    ZoneNumbers,
)
from layout.sound.models import Screen, Seat, SoundSetup, SpeakerRole, SubPlace, SurfaceMaterial
from projects.accounts.models import ApiToken, Membership, Shop, User
from projects.catalogue.models import (
    ControlType,
    FixtureType,
    Install,
    KindChoice,
    LightTarget,
    PhotometricFile,
)
from projects.ceilings.models import (
    Ceiling,
    JoistRun,
    OddMember,
    OutlineCorner,
    Region,
    RegionCorner,
    Thing,
)
from projects.jobs.models import (
    Circuit,
    FixtureCount,
    Job,
    MeasurementSet,
    Reading,
    Room,
    SpeakerWiring,
    StageEvent,
    Subject,
    Surface,
    SurfaceLayer,
    SurveyKind,
    SwitchZone,
    WirePoint,
)
from projects.platform.permissions import Role
from projects.work.models import Work
from reports.bids.models import Bid, BidLine, BidRevision, ClientLink, ShopTexts, TrueUp
from reports.changes.models import (
    ChangedRoom,
    ChangeOrder,
    ContractTerms,
    ExtraPhoto,
    FieldExtra,
    GoodsSaid,
    MovedLight,
    TypedLine,
)
from reports.models import CardCopy
from reports.prices.models import (
    ColumnMeaning,
    Conditions,
    Item,
    ItemPack,
    JobRates,
    LaborEdit,
    LoggedFeet,
    LoggedHours,
    Price,
    PriceImport,
)
from reports.purchasing.models import Leftover, Movement, Order, OrderLine, PickLine, PickList
from reports.takeoffs.models import AskedItem, DeviceFeet, RoomLines, RulesVersion, Takeoff
from reports.wiring.models import HandRun, Pull, Reel
from tests.work import kinds  # noqa: F401  registers the kinds of work that tests know

DAY = dt.date(2026, 5, 3)
NOON = dt.datetime(2026, 5, 3, 12, tzinfo=dt.UTC)


class UserFactory(DjangoModelFactory):
    """Without a password nobody signs in with it: client.force_login(user) does, and saves the hashing."""

    class Meta:
        model = User

    email = Sequence(lambda n: f"person{n}@shop.example")
    name = Sequence(lambda n: f"Person {n}")
    password = Password(None)


class ShopFactory(DjangoModelFactory):
    class Meta:
        model = Shop

    name = Sequence(lambda n: f"Shop {n}")


class MemberFactory(DjangoModelFactory):
    class Meta:
        model = Membership

    shop = SubFactory(ShopFactory)
    user = SubFactory(UserFactory)
    role = Role.OWNER.value


class ApiTokenFactory(DjangoModelFactory):
    class Meta:
        model = ApiToken

    member = SubFactory(MemberFactory)
    name = "desk"
    digest = Sequence(lambda n: ApiToken.digest_of(f"secret {n}"))


class Below(DjangoModelFactory):
    """A record below others, whose shop it takes; a test's shop=... is handed up to the highest of them."""

    class Meta:
        abstract = True

    _above = "room__job"

    @classmethod
    def _generate(cls, strategy, params):
        nearest = cls._above.split("__")[0]
        if "shop" in params and nearest not in params:
            params[f"{cls._above}__shop"] = params.pop("shop")
        return super()._generate(strategy, params)


class FixtureTypeFactory(DjangoModelFactory):
    """A 4 in new-work light with a 4 1/4 in hole, cutout not verified."""

    class Meta:
        model = FixtureType

    shop = SubFactory(ShopFactory)
    key = Sequence(lambda n: f"light-{n}")
    kind = KindChoice.LIGHT.value
    name = Sequence(lambda n: f"4 in light {n}")
    install = Install.NEW_WORK.value
    aperture = inches(4)
    cutout = inches("4 1/4")


def lm63_text(label="Invented", peak_cd=1000, verticals=(0, 30, 60, 90), shares=(1, 0.866, 0.5, 0), watts=10):
    """A light of our own invention as LM-63-2002 text, the same all round: candelas are peak_cd times shares."""
    angles = " ".join(f"{angle:g}" for angle in verticals)
    candelas = " ".join(f"{peak_cd * share:g}" for share in shares)
    return (
        f"IESNA:LM-63-2002\n[TEST] {label}\n[TESTLAB] none\n[ISSUEDATE] 2026-12-01\n[MANUFAC] none\nTILT=NONE\n"
        f"1 -1 1 {len(verticals)} 1 1 2 -0.1 -0.1 0\n1 1 {watts}\n{angles}\n0\n{candelas}\n"
    )


class PhotometricFileFactory(DjangoModelFactory):
    """A light that falls as the cosine, near enough: each with a text of its own."""

    class Meta:
        model = PhotometricFile

    shop = SubFactory(ShopFactory)
    name = Sequence(lambda n: f"Downlight {n}")
    file_name = Sequence(lambda n: f"downlight-{n}.ies")
    text = Sequence(lambda n: lm63_text(f"Invented {n}"))
    digest = LazyAttribute(lambda made: hashlib.sha256(made.text.strip().encode()).hexdigest())
    format = "LM-63-2002"
    flux_lm = 3000
    beam_deg = 120
    watts = 10


class LightTargetFactory(DjangoModelFactory):
    """A level of the shop's own."""

    class Meta:
        model = LightTarget

    shop = SubFactory(ShopFactory)
    key = Sequence(lambda n: f"sewing-table-{n}")
    space = Sequence(lambda n: f"Sewing table {n}")
    lux = Decimal("750")
    source = "our own practice"


class ControlTypeFactory(DjangoModelFactory):
    """A dimmer whose sheet says 150 W of LED lamps alone, and nothing of what breaking a side off does."""

    class Meta:
        model = ControlType

    shop = SubFactory(ShopFactory)
    key = Sequence(lambda n: f"dimmer-{n}")
    name = Sequence(lambda n: f"Dimmer {n}")
    led_watts = 150


class JobFactory(DjangoModelFactory):
    class Meta:
        model = Job

    shop = SubFactory(ShopFactory)
    number = Sequence(lambda n: f"J-{n:04}")
    name = Sequence(lambda n: f"House {n}")


class RoomFactory(Below):
    class Meta:
        model = Room

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    name = Sequence(lambda n: f"Room {n}")


class SoundSetupFactory(Below):
    """A listening room nobody said more of."""

    class Meta:
        model = SoundSetup

    _above = "room__job"
    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")


class SeatFactory(Below):
    class Meta:
        model = Seat

    room = SubFactory(RoomFactory)
    number = Sequence(lambda n: n % 24 + 1)
    x = inches(90)
    y = inches(72)


class ScreenFactory(Below):
    class Meta:
        model = Screen

    room = SubFactory(RoomFactory)
    center = inches(90)
    width = inches(100)


class SpeakerRoleFactory(Below):
    class Meta:
        model = SpeakerRole

    room = SubFactory(RoomFactory)
    mark = Sequence(lambda n: f"SP{n % 400 + 1}")
    channel = "L"


class SubPlaceFactory(Below):
    class Meta:
        model = SubPlace

    room = SubFactory(RoomFactory)
    number = Sequence(lambda n: n % 24 + 1)
    x = inches(12)
    y = inches(12)


class SurfaceMaterialFactory(Below):
    class Meta:
        model = SurfaceMaterial

    room = SubFactory(RoomFactory)
    surface = "floor"
    material = "concrete"


class StageEventFactory(Below):
    class Meta:
        model = StageEvent

    room = SubFactory(RoomFactory)
    came_from = 0
    went_to = 1
    by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))
    at = NOON


class MeasurementSetFactory(Below):
    """Empty unless told: MeasurementSetFactory(room=room, readings={Subject.DOOR: inches(202)})."""

    class Meta:
        model = MeasurementSet
        skip_postgeneration_save = True

    room = SubFactory(RoomFactory)
    kind = SurveyKind.FRAMING.value
    taken_on = DAY
    taken_by = "R."
    entered_by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))
    entered_at = NOON

    @post_generation
    def readings(self, create, lengths, **kwargs):
        for subject, value in (lengths or {}).items():
            ReadingFactory(measurement_set=self, subject=subject, value=value)


class ReadingFactory(Below):
    class Meta:
        model = Reading

    _above = "measurement_set__room__job"
    measurement_set = SubFactory(MeasurementSetFactory)
    subject = Subject.DOOR.value
    value = inches("148 1/2")


class SurfaceLayerFactory(Below):
    """One layer of 5/8 in drywall."""

    class Meta:
        model = SurfaceLayer

    room = SubFactory(RoomFactory)
    surface = Surface.LEFT.value
    position = LazyAttribute(lambda layer: layer.room.layers.filter(surface=layer.surface).count() + 1)
    name = "drywall"
    thickness = inches("5/8")


class FixtureCountFactory(Below):
    class Meta:
        model = FixtureCount

    room = SubFactory(RoomFactory)
    fixture_type = SubFactory(FixtureTypeFactory, shop=SelfAttribute("..room.shop"))
    count = 4


class WirePointFactory(Below):
    class Meta:
        model = WirePoint

    room = SubFactory(RoomFactory)
    what = WirePoint.What.SWITCH.value
    from_left = inches(6)
    from_door = ZERO
    height = inches(48)


class CircuitFactory(Below):
    class Meta:
        model = Circuit

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = Sequence(lambda n: str(n + 1))
    awg = 14


class SwitchZoneFactory(Below):
    class Meta:
        model = SwitchZone

    room = SubFactory(RoomFactory)
    letter = "A"
    place = 1


class SpeakerWiringFactory(Below):
    class Meta:
        model = SpeakerWiring

    room = SubFactory(RoomFactory)
    line_volts = Decimal("70.7")
    tap_watts = 5
    amplifier_watts = 120


class DraftFactory(Below):
    class Meta:
        model = Draft

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    end_setback = inches(24)
    row_setback = inches(24)
    spacing_limit = inches(72)
    light_type = SubFactory(FixtureTypeFactory, shop=SelfAttribute("..shop"))


class TypedPositionFactory(Below):
    class Meta:
        model = TypedPosition

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    axis = TypedPosition.Along.ALONG.value
    position = inches(20)


class DraftPinFactory(Below):
    class Meta:
        model = DraftPin

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    line = "column"
    number = 1
    at = inches(20)


class MovedMarkFactory(Below):
    class Meta:
        model = MovedMark

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    kind = KindChoice.LIGHT.value
    row = 1
    number = 1
    along = inches(20)
    across = inches(20)


class SwitchedLightFactory(Below):
    class Meta:
        model = SwitchedLight

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    row = 1
    number = 2
    zone = "B"


class ZoneNumbersFactory(Below):
    class Meta:
        model = ZoneNumbers

    _above = "draft__room__job"
    draft = SubFactory(DraftFactory)
    name = "tray"
    rows = 1


class WayTakenFactory(Below):
    class Meta:
        model = WayTaken

    room = SubFactory(RoomFactory)
    draft_version = 2
    kind = "pairs"
    words = "The outer pair moves in by 2 in."
    reason = "keeps the middle"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))
    at = NOON


class SiteMoveFactory(Below):
    class Meta:
        model = SiteMove

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    found = "first joist at 11 in"
    words = "Columns move by 5 in."
    draft_version = 1
    ceiling_version = 2
    change = "{}"
    asked_by = SubFactory(MemberFactory, shop=SelfAttribute("..room.shop"))


class CeilingFactory(Below):
    """Of a room where nobody has looked yet."""

    class Meta:
        model = Ceiling

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")


class JoistRunFactory(Below):
    """Sawn joists at 16 in, the first one 11 in from the left wall's framing."""

    class Meta:
        model = JoistRun

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    runs = "door_far"
    spacing = inches(16)
    width = inches("1 1/2")
    first = inches(11)
    first_from = "left"


class OddMemberFactory(Below):
    class Meta:
        model = OddMember

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    name = "header"
    runs = "left_right"
    at = inches(40)
    at_from = "door"
    width = inches(3)


class ThingFactory(Below):
    class Meta:
        model = Thing

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    what = "register"
    name = "supply register"
    x = inches(60)
    y = inches(40)
    wide = inches(14)
    deep = inches(8)


class OutlineCornerFactory(Below):
    class Meta:
        model = OutlineCorner

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    x = ZERO
    y = ZERO


class RegionFactory(Below):
    class Meta:
        model = Region

    _above = "ceiling__room__job"
    ceiling = SubFactory(CeilingFactory)
    name = Sequence(lambda n: f"tray {n}")
    rise = inches(8)


class RegionCornerFactory(Below):
    class Meta:
        model = RegionCorner

    _above = "region__ceiling__room__job"
    region = SubFactory(RegionFactory)
    x = ZERO
    y = ZERO


class PlanPictureFactory(Below):
    """Not to scale yet; its file isn't there."""

    class Meta:
        model = PlanPicture

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    file = Sequence(lambda n: f"plan-{n}.png")
    wide = 800
    high = 600


class LayoutRevisionFactory(Below):
    """The room's next revision number, over empty inputs and an empty result."""

    class Meta:
        model = LayoutRevision

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    number = LazyAttribute(lambda revision: revision.room.revisions.count() + 1)
    inputs = "{}"
    result = "{}"
    digest = LazyAttribute(lambda revision: hashlib.sha256(revision.inputs.encode()).hexdigest())
    issued_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    issued_at = NOON


class RevisionMarkFactory(Below):
    class Meta:
        model = RevisionMark

    _above = "revision__room__job"
    revision = SubFactory(LayoutRevisionFactory)
    ident = Sequence(lambda n: f"A{n}")
    kind = KindChoice.LIGHT.value
    fixture_type = SubFactory(FixtureTypeFactory, shop=SelfAttribute("..revision.shop"))
    along = inches(24)
    across = inches(24)
    row = 1
    zone = "A"


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


class WorkFactory(DjangoModelFactory):
    class Meta:
        model = Work

    shop = SubFactory(ShopFactory)
    kind = "practice"
    title = Sequence(lambda n: f"Practice {n}")
    beat = NOON
    given = Sequence(lambda n: f"{n:064}")
    asked_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))


class BidFactory(Below):
    class Meta:
        model = Bid

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = Sequence(lambda n: f"B-{n}")


class BidRevisionFactory(Below):
    """The bid's next letter, a draft that nobody has filled in."""

    class Meta:
        model = BidRevision

    _above = "bid__job"
    bid = SubFactory(BidFactory)
    shop = SelfAttribute("bid.shop")
    number = LazyAttribute(lambda revision: revision.bid.revisions.count() + 1)


class BidLineFactory(Below):
    class Meta:
        model = BidLine

    _above = "revision__bid__job"
    revision = SubFactory(BidRevisionFactory)
    shop = SelfAttribute("revision.shop")
    kind = "work"
    words = "Lights and cable"
    material = Decimal("6200.00")


class TrueUpFactory(Below):
    class Meta:
        model = TrueUp

    _above = "revision__bid__job"
    revision = SubFactory(BidRevisionFactory)
    shop = SelfAttribute("revision.shop")
    key = "fixtures"
    chosen = Decimal("45.50")
    at = NOON


class ClientLinkFactory(Below):
    """To a revision nobody has sent."""

    class Meta:
        model = ClientLink

    _above = "bid_revision__bid__job"
    bid_revision = SubFactory(BidRevisionFactory)
    shop = SelfAttribute("bid_revision.shop")
    digest = "0" * 64
    expires_on = DAY


class ShopTextsFactory(DjangoModelFactory):
    class Meta:
        model = ShopTexts

    shop = SubFactory(ShopFactory)
    exclusions = "Painting"


class ContractTermsFactory(Below):
    class Meta:
        model = ContractTerms

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    add_times = "1.25"
    restock_pct = "20"
    least_hours = "1.5"
    overhead_pct = "15"
    profit_pct = "10"
    patch_each = "150.00"
    hours_a_day = "8"
    most_markup_pct = "25"


class ChangeOrderFactory(Below):
    """A draft under the job's next number."""

    class Meta:
        model = ChangeOrder

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = LazyAttribute(lambda change: change.job.changes.count() + 1)
    title = "Two lights more"
    days = "0.5"


class ChangedRoomFactory(DjangoModelFactory):
    class Meta:
        model = ChangedRoom

    change = SubFactory(ChangeOrderFactory)
    room = SubFactory(RoomFactory, job=SelfAttribute("..change.job"))
    after = SubFactory(LayoutRevisionFactory, room=SelfAttribute("..room"))


class MovedLightFactory(DjangoModelFactory):
    class Meta:
        model = MovedLight

    change = SubFactory(ChangeOrderFactory)
    room = SubFactory(RoomFactory, job=SelfAttribute("..change.job"))
    revision = SubFactory(LayoutRevisionFactory, room=SelfAttribute("..room"))
    ident = "A1"


class TypedLineFactory(DjangoModelFactory):
    class Meta:
        model = TypedLine

    change = SubFactory(ChangeOrderFactory)
    words = "Move the switch box"
    hours = "2"
    material = "40.00"


class GoodsSaidFactory(DjangoModelFactory):
    class Meta:
        model = GoodsSaid

    change = SubFactory(ChangeOrderFactory)
    room = SubFactory(RoomFactory, job=SelfAttribute("..change.job"))
    key = "plate"
    goods = "kept"


class FieldExtraFactory(Below):
    class Meta:
        model = FieldExtra

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    words = "Moved a switch box after drywall"
    hours = "2"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    at = NOON


class ExtraPhotoFactory(DjangoModelFactory):
    class Meta:
        model = ExtraPhoto

    extra = SubFactory(FieldExtraFactory)
    file = Sequence(lambda n: f"extra-{n}.jpg")
    wide = 800
    high = 600


# Every factory by its model, for tests that walk all of them.
class ItemFactory(DjangoModelFactory):
    """A wire connector, bought by the piece."""

    class Meta:
        model = Item

    shop = SubFactory(ShopFactory)
    key = Sequence(lambda n: f"own:part-{n}")
    name = Sequence(lambda n: f"Part {n}")
    category = "connectors"


class ItemPackFactory(Below):
    class Meta:
        model = ItemPack

    _above = "item"
    item = SubFactory(ItemFactory)
    shop = SelfAttribute("item.shop")
    pieces = 1


class PriceFactory(Below):
    class Meta:
        model = Price

    _above = "pack__item"
    pack = SubFactory(ItemPackFactory)
    shop = SelfAttribute("pack.shop")
    amount = "2.50"
    on = DAY
    source = "counter"


class PriceImportFactory(DjangoModelFactory):
    class Meta:
        model = PriceImport

    shop = SubFactory(ShopFactory)
    file_name = "prices.csv"
    rows = '[[1, ["Code", "Price"]], [2, ["plate", "2.50"]]]'
    on = DAY
    source = "spring list"


class ColumnMeaningFactory(DjangoModelFactory):
    class Meta:
        model = ColumnMeaning

    shop = SubFactory(ShopFactory)
    header = Sequence(lambda n: f"column {n}")
    means = "price"


class JobRatesFactory(Below):
    """34 an hour, 38 percent burden, 8.25 percent tax; of the shop where no job is given."""

    class Meta:
        model = JobRates

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    wage = "34.00"
    burden_pct = "38.00"
    tax_pct = "8.250"


class ConditionsFactory(Below):
    class Meta:
        model = Conditions

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    keys = "plaster"


class LaborEditFactory(DjangoModelFactory):
    class Meta:
        model = LaborEdit

    shop = SubFactory(ShopFactory)
    what = LaborEdit.What.UNIT.value
    key = "light_rough"
    value = "0.4"
    rooms_behind = None


class LoggedHoursFactory(Below):
    class Meta:
        model = LoggedHours

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    on = DAY
    phase = "rough"
    who = "M., crew"
    hours = "4.00"


class LoggedFeetFactory(Below):
    class Meta:
        model = LoggedFeet

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    on = DAY
    phase = "rough"
    who = "M., crew"
    cable = "14/2"
    length = inches(12 * 140)


class HandRunFactory(Below):
    """A homerun somebody taped at 40 ft."""

    class Meta:
        model = HandRun

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    kind = "homerun"
    low_id = "panel"
    high_id = "switch"
    length = feet(40)
    why = "taped along the way it really goes"
    by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    at = NOON


class ReelFactory(DjangoModelFactory):
    """250 ft of 14/2, all of it still there."""

    class Meta:
        model = Reel

    shop = SubFactory(ShopFactory)
    cable = "14/2"
    name = Sequence(lambda n: f"reel {n}")
    full = feet(250)
    left = feet(250)


class PullFactory(Below):
    class Meta:
        model = Pull

    _above = "reel"
    reel = SubFactory(ReelFactory)
    shop = SelfAttribute("reel.shop")
    start_mark = 500
    end_mark = 540
    used = feet(40)
    left_after = feet(210)
    by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))
    at = NOON


class RulesVersionFactory(DjangoModelFactory):
    class Meta:
        model = RulesVersion

    shop = SubFactory(ShopFactory)
    number = Sequence(lambda n: n + 1)
    body = "{}"
    digest = "0" * 64
    why = "We take four connectors."
    at = NOON


class AskedItemFactory(Below):
    class Meta:
        model = AskedItem

    _above = "job"
    job = SubFactory(JobFactory)
    item = "light_gasket"


class DeviceFeetFactory(Below):
    class Meta:
        model = DeviceFeet

    room = SubFactory(RoomFactory)
    device = "light"
    each = inches(120)


class RoomLinesFactory(Below):
    class Meta:
        model = RoomLines

    room = SubFactory(RoomFactory)
    key = "0" * 64
    brief = body = ""


class TakeoffFactory(Below):
    class Meta:
        model = Takeoff

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = Sequence(lambda n: n + 1)
    body = "{}"
    rules = "{}"
    digest = "0" * 64
    rooms = 1
    at = NOON


class OrderFactory(Below):
    class Meta:
        model = Order

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    number = Sequence(lambda n: n + 1)
    from_whom = "The supply house"
    slip = Sequence(lambda n: f"order-{n}")
    at = NOON


class OrderLineFactory(Below):
    class Meta:
        model = OrderLine

    _above = "order__job"
    order = SubFactory(OrderFactory)
    shop = SelfAttribute("order.shop")
    key = "switch_box"
    name = "Switch box"
    unit = "each"
    quantity = 10


class PickListFactory(Below):
    class Meta:
        model = PickList

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    number = Sequence(lambda n: n + 1)
    slip = Sequence(lambda n: f"list-{n}")
    at = NOON


class PickLineFactory(DjangoModelFactory):
    class Meta:
        model = PickLine

    pick_list = SubFactory(PickListFactory)
    key = "switch_box"
    name = "Switch box"
    unit = "each"
    quantity = 4


class MovementFactory(Below):
    """So many switch boxes that came to the site."""

    class Meta:
        model = Movement

    _above = "job"
    job = SubFactory(JobFactory)
    shop = SelfAttribute("job.shop")
    kind = "received"
    key = "switch_box"
    name = "Switch box"
    unit = "each"
    quantity = 10
    went_to = "site"
    slip = Sequence(lambda n: f"movement-{n}")
    at = NOON


class LeftoverFactory(DjangoModelFactory):
    class Meta:
        model = Leftover

    shop = SubFactory(ShopFactory)
    key = "switch_box"
    name = "Switch box"
    unit = "each"
    change = 3
    slip = Sequence(lambda n: f"leftover-{n}")
    at = NOON


class LightSetupFactory(Below):
    class Meta:
        model = LightSetup

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")


class LightZoneFactory(Below):
    class Meta:
        model = LightZone

    _above = "setup__room__job"
    setup = SubFactory(LightSetupFactory)
    letter = Sequence(lambda n: chr(ord("A") + n % 26))


class LightAimFactory(Below):
    class Meta:
        model = LightAim

    _above = "setup__room__job"
    setup = SubFactory(LightSetupFactory)
    row = 1
    number = Sequence(lambda n: n % 400 + 1)
    tilt_deg = Decimal(30)


class LightTaskFactory(Below):
    """A counter 24 in deep, 36 in up, in the door-left corner."""

    class Meta:
        model = LightTask

    _above = "setup__room__job"
    setup = SubFactory(LightSetupFactory)
    name = Sequence(lambda n: f"Counter {n}")
    kind = "flat"
    from_left = ZERO
    from_door = ZERO
    height = inches(36)
    wide = inches(72)
    deep = inches(24)


class MeterReadingFactory(Below):
    """20 fc on a desk, where 200 lx were predicted."""

    class Meta:
        model = MeterReading

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    on = "level"
    from_left = inches(40)
    from_door = inches(30)
    height = inches(30)
    value = Decimal(20)
    unit = "fc"
    instrument = "Meter 1"
    taken_by = "R."
    taken_on = DAY
    predicted_lx = 200
    entered_at = NOON


class KeptLightFactory(Below):
    class Meta:
        model = KeptLight

    room = SubFactory(RoomFactory)
    shop = SelfAttribute("room.shop")
    digest = "0" * 64
    grids = b""
    at = NOON


FACTORIES = {
    made._meta.model: made
    for made in list(vars().values())
    if isinstance(made, type) and issubclass(made, DjangoModelFactory) and not made._meta.abstract
}
OWN_APPS = (
    "accounts", "catalogue", "ceilings", "jobs", "work", "layout", "light", "sound", "reports",
    "wiring", "prices", "takeoffs", "purchasing", "bids", "changes",
)  # fmt: skip
