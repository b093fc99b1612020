"""What a revision froze gives the same layout again, to the byte: an old card can be vouched for."""

import json
from dataclasses import replace
from fractions import Fraction

import cattrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout import frozen
from layout.engine.lengths import Distance, Length, inches, nanometers
from layout.engine.marks import Axis, Orientation, Side
from layout.engine.room import AxisSurvey, Fitting, Lies, RoomInputs, lay_out
from layout.engine.stacks import Layer, SideBuildUp
from layout.inputs import inputs_of
from layout.models import LayoutRevision
from layout.services import draft_of
from projects.jobs.services import copy_room
from reports.demo import scenario as demo
from tests.factories import ShopFactory
from tests.shops import fresh, issue, practice_room, tape_room

lengths = st.integers(0, 10**11).map(nanometers)
taped = st.none() | lengths | st.fractions(0, 10**11, max_denominator=60).map(lambda nm: Distance(nm) + nanometers(0))
layer = st.builds(Layer, st.text(max_size=12), lengths)
side = st.builds(SideBuildUp, st.lists(layer, max_size=3).map(tuple), lengths)
survey = st.builds(AxisSurvey, taped, taped, st.none() | lengths, side, side, st.sampled_from(Lies))
turn = st.builds(
    Orientation, st.sampled_from(Axis), st.sampled_from([Side.LEFT, Side.RIGHT]), st.sampled_from([Side.DOOR, Side.FAR])
)
fitting = st.builds(Fitting, st.text(max_size=8), st.text(max_size=8), lengths)
places = st.lists(st.integers(1, 40), max_size=4).map(tuple)
some = st.lists(lengths, max_size=4).map(tuple)
inputs = st.builds(
    RoomInputs,
    orientation=turn,
    left_right=survey,
    door_far=survey,
    rows=st.integers(1, 40),
    lights_per_row=st.none() | st.integers(1, 40),
    end_setback=lengths,
    row_setback=lengths,
    spacing_limit=lengths,
    edge_min=lengths,
    web_min=lengths,
    light_to_speaker=lengths,
    light=fitting,
    speaker=st.none() | fitting,
    subwoofer=st.none() | fitting,
    speaker_gaps=places,
    speaker_columns=places,
    typed_along=some,
    typed_across=some,
)


@given(inputs)
def test_what_is_frozen_thaws_to_the_same_value_and_freezes_to_the_same_bytes(one):
    text = frozen.freeze_inputs(one)
    thawed = frozen.thaw_inputs(text)
    assert thawed == one
    assert frozen.freeze_inputs(thawed) == text


def test_a_third_of_an_inch_survives(db):
    """25 400 000 / 3 nm is no whole number: it is kept as a fraction, not rounded."""
    one = inputs_of(*_room_and_draft())
    third = inches(1) / 3
    again = frozen.thaw_inputs(frozen.freeze_inputs(replace(one, left_right=replace(one.left_right, finished=third))))
    assert again.left_right.finished.nm == Fraction(25_400_000, 3)
    assert isinstance(again.left_right.framing, Length)


def _room_and_draft():
    room = practice_room(ShopFactory())
    return room, draft_of(room)


def test_another_build_up_is_another_code(db):
    room, _draft = _room_and_draft()
    first = issue(room)
    room.layers.filter(surface="left").update(thickness=inches("2 1/16"))
    assert issue(room).digest != first.digest


def test_two_rooms_alike_have_the_same_code(db):
    """It vouches for numbers and is no record's key."""
    shop = ShopFactory()
    one = practice_room(shop)
    (other,) = copy_room(one, 1)
    tape_room(other, "framing", "166", "93")
    tape_room(other, "finished", "150 1/2", "77 1/4")
    assert issue(one).digest == issue(other).digest


def test_what_the_engine_never_wrote_is_refused(db):
    room, _draft = _room_and_draft()
    written = json.loads(issue(room).inputs)
    written["inputs"]["surprise"] = 1
    with pytest.raises(cattrs.ClassValidationError):
        frozen.thaw_inputs(json.dumps(written))


def rerun_is_the_same(revision):
    thawed = frozen.thaw_inputs(revision.inputs)
    layout = lay_out(thawed)
    assert frozen.freeze_inputs(thawed) == revision.inputs
    assert frozen.freeze_result(layout) == revision.result
    assert frozen.digest(revision.inputs, frozen.freeze_result(layout)) == revision.digest
    stored = [(m.ident, m.kind, m.along, m.across, m.row, m.zone) for m in revision.marks.all()]
    assert stored == [(m.id, m.kind.value, m.along, m.across, m.row, m.zone) for m in layout.arrangement.marks]


def test_run_again_the_practice_room_is_the_same(db):
    room, _draft = _room_and_draft()
    rerun_is_the_same(issue(room))


def test_run_again_every_demo_revision_is_the_same(db):
    shop = demo.load()
    revisions = list(LayoutRevision.objects.of(shop).prefetch_related("marks").order_by("pk"))
    assert len(revisions) >= 20
    for revision in revisions:
        rerun_is_the_same(revision)


def test_an_issued_revision_reads_nothing_of_the_room_as_it_is_now(db):
    room, _draft = _room_and_draft()
    revision = issue(room)
    room.layers.all().delete()
    room.gap_left = inches(0)
    room.save()
    rerun_is_the_same(revision)
    assert inputs_of(fresh(room), draft_of(fresh(room))) != frozen.thaw_inputs(revision.inputs)
