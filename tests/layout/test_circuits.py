"""What hangs on a room's switches and a job's circuits, as people enter and read it; sums are by hand."""

from decimal import Decimal

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.engine.switching import Switched
from layout.services import draft_of
from layout.switching.services import set_switches
from projects.catalogue.models import FixtureType
from projects.jobs.models import Circuit, SpeakerWiring, SwitchZone, WirePoint
from projects.jobs.services import copy_room
from projects.platform.permissions import Role
from tests.factories import CircuitFactory, ControlTypeFactory, ShopFactory, SwitchZoneFactory, WirePointFactory
from tests.shops import fresh, issue, on_page, people_of, practice_room, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def room():
    """Two rows of three lights of 10 W at 12 VA; the first two lights on switch B."""
    made = practice_room(ShopFactory())
    light = draft_of(made).light_type_id
    FixtureType.objects.of(made.shop).filter(pk=light).update(watts=10, volt_amperes=12)
    draft = draft_of(fresh(made))
    set_switches(draft, draft.version, [Switched(1, 1, "B"), Switched(1, 2, "B")])
    return fresh(made)


@pytest.fixture
def lead(client, room):
    return sign_in(client, people_of(room.shop)[Role.CREW_LEAD])


def page_of(client, room):
    return client.get(reverse("circuits", args=[room.pk]))


def words(client, room):
    return " ".join(page_of(client, room).content.decode().split())


def save(client, room, **more):
    return client.post(reverse("circuits", args=[room.pk]), {**on_page(page_of(client, room), "version"), **more})


def job_page(client, room):
    return " ".join(client.get(reverse("job_circuits", args=[room.job_id])).content.decode().split())


def test_each_zone_shows_its_watts_and_va(lead, room):
    """A: four lights, 40 W and 48 VA; B: two, 20 W and 24 VA."""
    loads = page_of(lead, room).context["shown"].loads
    assert [(one.letter, one.load.watts, one.load.va) for one in loads.zones] == [("A", 40, 48), ("B", 20, 24)]


def test_lights_nobody_knows_the_watts_of_are_named(lead, room):
    FixtureType.objects.of(room.shop).update(watts=None, volt_amperes=None)
    assert "not known" in words(lead, room)


def test_zones_are_put_on_a_circuit_a_dimmer_and_in_a_box_in_one_save(lead, room):
    circuit = CircuitFactory(job=room.job, number="7")
    dimmer = ControlTypeFactory(shop=room.shop, name="Slide dimmer", side_sections="no", min_watts=10)
    answer = save(
        lead, room,
        **{"zone-A-control": "dimmer", "zone-A-control_type": dimmer.pk, "zone-A-circuit": circuit.pk,
           "zone-A-box": "by the door", "zone-A-place": "1", "zone-B-box": "by the door", "zone-B-place": "2",
           "zone-B-circuit": circuit.pk, "zone-B-purpose": "accent"},
    )  # fmt: skip
    assert answer.status_code == 302
    said = words(lead, room)
    assert "Zone A: 40 W on Slide dimmer, with one side off: its sheet gives 150 W of LED lamps." in said
    assert "Circuit 7: 72 VA of the 1440 VA that 80 % of 15 A at 120 V is." in said  # 48 and 24
    assert "Box by the door: 2 gang, at least 24.00 cubic inches." in said  # 12 + 2 + 2 + 8
    assert "complies" not in said.lower().replace("complies with a code", "")


def test_how_a_zones_lights_hang_together_is_kept_and_one_after_the_other_says_nothing(lead, room):
    assert save(lead, room, **{"zone-A-hung": "tree", "zone-B-hung": "chain"}).status_code == 302
    assert [(zone.letter, zone.hung) for zone in SwitchZone.objects.filter(room=room)] == [("A", "tree")]


def test_a_dimmer_beside_another_device_is_held_against_the_lower_rating(lead, room):
    dimmer = ControlTypeFactory(shop=room.shop, side_sections="yes", led_watts=60, led_watts_one_off=30, min_watts=5)
    for letter in "AB":
        SwitchZoneFactory(
            room=room, letter=letter, control="dimmer", control_type=dimmer, box="1", place=" AB".index(letter)
        )
    said = words(lead, room)
    assert f"Zone A: 40 W is over the 30 W that {dimmer} takes with one side off." in said
    assert f"Zone B: 20 W on {dimmer}, with one side off: its sheet gives 30 W" in said


def test_a_dimmer_that_is_none_is_refused_by_its_box_and_nothing_is_lost(lead, room):
    dimmer = ControlTypeFactory(shop=room.shop)
    answer = save(lead, room, **{"zone-A-control_type": dimmer.pk, "zone-A-box": "hall"})
    assert answer.status_code == 422 and not SwitchZone.objects.filter(room=room).exists()
    assert (
        "choose a dimmer as what turns it on" in answer.content.decode() and 'value="hall"' in answer.content.decode()
    )


def test_a_zones_own_switch_and_its_3_way_partner_are_placed(lead, room):
    at = {"from_left": "6", "from_door": "0", "height": "48"}
    boxes = {f"switch-B-{part}": value for part, value in at.items()}
    boxes |= {f"other-B-{part}": value for part, value in (at | {"from_left": "100"}).items()}
    WirePointFactory(room=room)
    assert save(lead, room, **boxes, **{"zone-B-control": "three_way"}).status_code == 302
    points = {(one.what, one.zone): one.from_left for one in WirePoint.objects.filter(room=room)}
    assert points == {
        ("switch", ""): inches(6), ("switch", "B"): inches(6), ("three_way", "B"): inches(100),
    }  # fmt: skip
    assert "travelers of zone B" in words(lead, room)
    half = save(lead, room, **{"switch-A-height": "48"})
    assert half.status_code == 422 and "Give all three, or none." in half.content.decode()


def test_a_line_sums_its_taps_against_80_percent_of_its_amplifier(lead, room):
    """Four speakers of 5 W are 20 W; 80 % of 20 W is 16 W."""
    save(
        lead, room,
        **{"speakers-kind": "chained_line", "speakers-line_volts": "70.7", "speakers-tap_watts": "5",
           "speakers-amplifier_watts": "20"},
    )  # fmt: skip
    assert SpeakerWiring.objects.get(room=room).line_volts == Decimal("70.7")
    assert "4 taps take 20 W; 80 % of the amplifier is 16 W." in words(lead, room)
    assert save(lead, room, **{"speakers-line_volts": ""}).status_code == 422


def test_somebody_elses_save_is_not_gone_over_unseen(lead, room):
    boxes = on_page(page_of(lead, room), "version")
    save(lead, room, **{"zone-A-box": "theirs"})
    answer = lead.post(reverse("circuits", args=[room.pk]), boxes | {"zone-A-box": "mine"})
    assert answer.status_code == 409 and 'value="mine"' in answer.content.decode()
    assert SwitchZone.objects.get(room=room).box == "theirs"


def test_another_jobs_circuit_is_not_offered_or_taken(lead, room):
    other = CircuitFactory(job__shop=room.shop)
    assert save(lead, room, **{"zone-A-circuit": other.pk}).status_code == 422


def test_a_circuit_counts_every_room_on_it_and_names_those_not_issued(lead, room):
    """Two rooms as issued: six lights of 12 VA each; a third waits."""
    circuit = CircuitFactory(job=room.job, number="7")
    for letter in "AB":
        SwitchZoneFactory(room=room, letter=letter, circuit=circuit)
    issue(room)
    twin, waits = copy_room(fresh(room), 2)
    issue(twin)
    for copied in (twin, waits):
        SwitchZone.objects.filter(room=copied).update(circuit=circuit)
    said = job_page(lead, room)
    assert "Circuit 7: 144 VA of the 1440 VA" in said
    assert f"Not counted yet, nothing was issued there: {waits.name}." in said
    assert f"Circuit 7 is in 3 rooms. Its homerun, breaker and panel connector count once, in {room.name}." in said


def test_the_room_a_homerun_comes_to_is_chosen_among_the_rooms_on_the_circuit(lead, room):
    circuit = CircuitFactory(job=room.job, number="7")
    (twin,) = copy_room(fresh(room), 1)
    (off_it,) = copy_room(fresh(room), 1)
    for one in (room, twin):
        SwitchZone.objects.filter(room=one).delete()
        SwitchZoneFactory(room=one, letter="A", circuit=circuit)
    address = reverse("circuit", args=[circuit.pk])
    boxes = {"number": "7", "breaker_amps": "15", "volts": "120", "version": circuit.version}
    strangers = practice_room(room.shop)
    for wrong in (off_it, strangers):
        assert lead.post(address, boxes | {"homerun_room": wrong.pk}).status_code == 422
    assert lead.post(address, boxes | {"homerun_room": twin.pk}).status_code == 302
    assert Circuit.objects.of(room.shop).get(pk=circuit.pk).homerun_room == twin
    assert f"count once, in {twin.name}." in job_page(lead, room)
    assert f'<option value="{twin.pk}" selected>' in lead.get(address).content.decode()


def test_a_circuit_loaded_past_80_percent_says_by_which_rule(lead, room):
    FixtureType.objects.of(room.shop).filter(kind="light").update(volt_amperes=300)  # 1800 of 1440 VA
    circuit = CircuitFactory(job=room.job, number="7")
    for letter in "AB":
        SwitchZoneFactory(room=room, letter=letter, circuit=circuit)
    said = words(lead, room)
    assert "Circuit 7: 1800 VA is over the 1440 VA that 80 % of 15 A at 120 V is." in said
    assert "NEC 210.20(A), 2017 to 2023" in said


def test_circuits_are_added_changed_and_taken_out_their_zones_stay(lead, room):
    address = reverse("job_circuits", args=[room.job_id])
    lead.post(address, {"number": "7", "breaker_amps": "20", "volts": "120"})
    circuit = Circuit.objects.of(room.shop).get()
    assert lead.post(address, {"number": "7", "breaker_amps": "15", "volts": "120"}).status_code == 422
    SwitchZoneFactory(room=room, circuit=circuit)
    one = reverse("circuit", args=[circuit.pk])
    lead.post(one, on_page(lead.get(one), "breaker_amps") | {"remove": "1"})
    assert not Circuit.objects.of(room.shop).exists()
    assert SwitchZone.objects.get(room=room).circuit_id is None


def test_a_copied_room_keeps_its_controls_and_loads_no_circuit_twice(room):
    SwitchZoneFactory(room=room, letter="B", control="three_way", circuit=CircuitFactory(job=room.job))
    WirePointFactory(room=room, what="three_way", zone="B")
    (twin,) = copy_room(fresh(room), 1)
    (zone,) = twin.switch_zones.all()
    assert (zone.letter, zone.control, zone.circuit_id) == ("B", "three_way", None)
    assert [(point.what, point.zone) for point in twin.wire_points.all()] == [("three_way", "B")]


def test_crew_read_the_circuits_and_save_none(client, room):
    sign_in(client, people_of(room.shop)[Role.CREW])
    assert page_of(client, room).status_code == 200
    assert client.post(reverse("circuits", args=[room.pk]), {"version": room.version}).status_code == 403


def test_pages_ask_the_database_as_often_for_one_circuit_as_for_many(lead, room, django_assert_max_num_queries):
    issue(room)

    def asked(many):
        for _n in range(many):
            twin = copy_room(fresh(room), 1)[0]
            SwitchZoneFactory(room=twin, letter="C", circuit=CircuitFactory(job=room.job))
        with django_assert_max_num_queries(14):
            job_page(lead, room)
        with django_assert_max_num_queries(31):
            page_of(lead, room)

    asked(1)
    asked(5)
