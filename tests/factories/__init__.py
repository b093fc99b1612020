"""Records for tests, each consistent within one shop. Knows the models, and nothing of what is tested with them.

Whatever stands above a record decides its shop: RoomFactory(job=job) and RoomFactory(shop=shop) both hold together.
Nothing here is measured or computed by the engine: a test that needs a real layout issues one.

One module a part; everything is imported from here.
"""

from factory.django import DjangoModelFactory

from tests.factories.alike import *
from tests.factories.approvals import *
from tests.factories.as_built import *
from tests.factories.base import *
from tests.factories.bids import *
from tests.factories.catalogue import *
from tests.factories.ceilings import *
from tests.factories.changes import *
from tests.factories.checks import *
from tests.factories.close_out import *
from tests.factories.crews import *
from tests.factories.doors import *
from tests.factories.field import *
from tests.factories.furniture import *
from tests.factories.inspections import *
from tests.factories.jobs import *
from tests.factories.keeping import *
from tests.factories.layout import *
from tests.factories.light import *
from tests.factories.overview import *
from tests.factories.pasting import *
from tests.factories.people import *
from tests.factories.photos import *
from tests.factories.prices import *
from tests.factories.purchasing import *
from tests.factories.reports import *
from tests.factories.sound import *
from tests.factories.stages import *
from tests.factories.takeoffs import *
from tests.factories.webhooks import *
from tests.factories.wiring import *
from tests.factories.work import *
from tests.work import kinds

# Every factory by its model, for tests that walk all of them.
FACTORIES = {
    made._meta.model: made
    for made in list(vars().values())
    if isinstance(made, type) and issubclass(made, DjangoModelFactory) and not made._meta.abstract
}
OWN_APPS = (
    "inspections", "doors", "keeping", "webhooks",
    "accounts", "catalogue", "ceilings", "jobs", "work", "layout", "light", "sound", "as_built", "alike", "pasting",
    "reports",
    "wiring", "prices", "takeoffs", "purchasing", "bids", "changes", "stages", "checks", "field", "crews", "joining",
    "overview", "days",
    "files", "photos", "close_out", "furniture", "approvals",
)  # fmt: skip
