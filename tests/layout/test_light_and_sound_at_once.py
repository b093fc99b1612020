"""Two people press at the same moment: one of them is told, nothing is written over, nothing stands twice."""

import pytest

from layout.light.models import LightSetup, LightZone
from layout.light.services import change_setup, setup_of
from layout.light.work import start
from layout.sound.models import Seat, SoundSetup
from layout.sound.services import Entered, change_sound
from projects.catalogue.models import LightTarget, PhotometricFile
from projects.catalogue.photometric import AlreadyKept, keep_file
from projects.catalogue.targets import KeyTaken, add_target, change_target, record_of
from projects.platform.tenancy import StaleVersion
from projects.work.models import Work
from tests.factories import RoomFactory, ShopFactory, lm63_text
from tests.listening import SEAT, SETUP
from tests.projects.test_names_given_at_once import at_once
from tests.shops import fresh

pytestmark = pytest.mark.django_db(transaction=True)


def outcome(work, *expected):
    """What was done, or which of the expected errors it was."""
    try:
        work()
    except expected as error:
        return type(error).__name__
    return "done"


def test_of_several_who_set_up_a_rooms_light_first_one_is_kept_and_the_others_are_told():
    room = RoomFactory()
    zones = [{"letter": "A", "dim_percent": 40, "light_type": None}]

    def keep():
        setup = setup_of(fresh(room))
        return outcome(lambda: change_setup(setup, 1, {"wall_percent": 40}, zones=zones), StaleVersion)

    assert sorted(at_once(keep)) == ["StaleVersion"] * 3 + ["done"]
    assert LightSetup.objects.of(room.shop).get().version == 2 and LightZone.objects.count() == 1


def test_of_several_who_enter_a_rooms_sound_first_one_is_kept_and_the_others_are_told():
    room = RoomFactory()

    def keep():
        return outcome(lambda: change_sound(fresh(room), 1, Entered(SETUP, seats=(SEAT,))), StaleVersion)

    assert sorted(at_once(keep)) == ["StaleVersion"] * 3 + ["done"]
    assert SoundSetup.objects.of(room.shop).get().version == 2 and Seat.objects.filter(room=room).count() == 1


def test_a_file_put_in_by_several_at_once_is_kept_once():
    shop = ShopFactory()
    given = at_once(lambda: outcome(lambda: keep_file(shop, lm63_text()), AlreadyKept))
    assert sorted(given) == ["AlreadyKept"] * 3 + ["done"]
    assert PhotometricFile.objects.of(shop).count() == 1


def test_a_level_of_the_table_changed_by_several_at_once_is_changed_by_one():
    shop = ShopFactory()

    def change():
        record = record_of(shop, "office_writing")
        changes = {"space": "Desks", "lux": 800, "kind": "practice"}
        return outcome(lambda: change_target(record, 0, changes), StaleVersion)

    assert sorted(at_once(change)) == ["StaleVersion"] * 3 + ["done"]
    assert LightTarget.objects.of(shop).count() == 1


def test_a_level_of_one_name_is_added_once():
    shop = ShopFactory()
    values = {"space": "Attic", "lux": 100, "kind": "practice"}
    given = at_once(lambda: outcome(lambda: add_target(shop, **values), KeyTaken))
    assert sorted(given) == ["KeyTaken"] * 3 + ["done"]


def test_one_rooms_light_is_worked_out_once_however_often_it_is_pressed():
    room = RoomFactory()
    assert len(set(at_once(lambda: start(fresh(room), None).pk))) == 1
    assert Work.objects.of(room.shop).count() == 1
