"""The catalog."""

import hashlib
from decimal import Decimal

from factory import LazyAttribute, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from layout.engine.lengths import inches
from projects.catalogue.models import (
    ControlType,
    FixtureType,
    Install,
    InstallSheet,
    KindChoice,
    LightTarget,
    PhotometricFile,
)
from tests.factories.base import NOON
from tests.factories.people import ShopFactory


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


class InstallSheetFactory(DjangoModelFactory):
    """A record alone: there is no file behind it."""

    class Meta:
        model = InstallSheet

    fixture_type = SubFactory(FixtureTypeFactory)
    shop = SelfAttribute("fixture_type.shop")
    title = "Installation sheet, March 2026"
    file = Sequence(lambda n: f"sheet-{n}.pdf")
    pages = 4
    bytes = 100_000
    digest = "0" * 64
    added_at = NOON

    @classmethod
    def _generate(cls, strategy, params):
        if "shop" in params and "fixture_type" not in params:
            params["fixture_type__shop"] = params.pop("shop")
        return super()._generate(strategy, params)


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
