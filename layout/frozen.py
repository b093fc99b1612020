"""A layout's inputs and result as canonical JSON: the same value gives the same bytes, so a hash can vouch for them."""

import hashlib
import json
from fractions import Fraction

import cattrs
from cattrs.gen import make_dict_unstructure_fn, override

from layout.engine.lengths import Distance, Length, nanometers
from layout.engine.room import Fitting, RoomInputs, RoomLayout

ENGINE = 1  # grows when the same inputs may give another layout

_converter = cattrs.Converter(forbid_extra_keys=True)
_converter.register_unstructure_hook_func(lambda kind: kind in (Length, Distance), lambda value: _number(value.nm))
_converter.register_structure_hook_func(lambda kind: kind is Length, lambda value, _: nanometers(value))
_converter.register_structure_hook_func(
    lambda kind: kind is Distance, lambda value, _: Distance(Fraction(value)) + nanometers(0)
)

# What came after the first revisions were issued stands only where it says something: those freeze as they did.
_LATER = {
    Fitting: ("square", "frame", "depth"),
    RoomInputs: (
        "overhead", "outline", "regions", "zones", "grid", "slope", "pins", "moved", "rows_of", "speaker_rows",
        "speakers_between", "switched",
    ),
}  # fmt: skip
for _kind, _names in _LATER.items():
    _left_out = {name: override(omit_if_default=True) for name in _names}
    _converter.register_unstructure_hook(_kind, make_dict_unstructure_fn(_kind, _converter, **_left_out))


def _number(nm: Fraction):
    """Whole nanometers as a number, anything finer as 'n/d'."""
    return int(nm) if nm.denominator == 1 else f"{nm.numerator}/{nm.denominator}"


def _canonical(value):
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def canonical(value) -> str:
    """Any of the engine's values, the same value as the same text."""
    return _canonical(_converter.unstructure(value))


def freeze_inputs(inputs: RoomInputs) -> str:
    return _canonical({"engine": ENGINE, "inputs": _converter.unstructure(inputs)})


def thaw_inputs(text: str) -> RoomInputs:
    return _converter.structure(json.loads(text)["inputs"], RoomInputs)


def freeze_result(layout: RoomLayout) -> str:
    """The marks, what they are pulled from, and how their frames are turned where they have any."""
    marks = [
        [mark.id, mark.kind.value, _number(mark.along.nm), _number(mark.across.nm), mark.row, mark.zone]
        for mark in layout.arrangement.marks
    ]
    axes = {
        name: {
            "ceiling": _number(result.datums.ceiling.nm),
            "from_framing": None if result.datums.start_offset is None else _number(result.datums.start_offset.nm),
            "from_finished_wall": _number(result.datums.start_gap.nm),
        }
        for name, result in (("along", layout.along), ("across", layout.across))
    }
    framed = {kind for kind, fitting in layout.inputs.fittings.items() if fitting.frame is not None}
    framed_marks = [mark.id for mark in layout.arrangement.marks if mark.kind in framed]
    turns = {ident: layout.turns[ident] for ident in framed_marks if ident in layout.turns}
    return _canonical({"marks": marks, **axes, **({"turns": turns} if turns else {})})


def digest(*frozen: str) -> str:
    return hashlib.sha256("\n".join(frozen).encode()).hexdigest()
