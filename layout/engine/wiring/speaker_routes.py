"""Speaker cable: each speaker its own run, a chained constant-voltage line, or through a volume control.

Knows nothing of amplifiers, lights or prices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from layout.engine.lengths import ZERO, Distance
from layout.engine.wiring.chain import Drop, by_id
from layout.engine.wiring.pull import Draft, Lacking, Pull
from layout.engine.wiring.values import Lacks, Ordered, Outlet, Part, RunKind, SpeakerLine, SpeakerWiring


def own_runs(speakers: Sequence[Drop], rack: Outlet | None, pull: Pull) -> list[Draft]:
    """Each speaker straight to the rack, a loop left at both ends."""
    return [
        pull.run(
            RunKind.SPEAKER,
            pull.cables.speaker,
            ((speaker.id, speaker.at), (rack.id, rack.at) if rack else ("rack", None)),
            (),
            (
                *(pull.drop_parts(Part.RACK_DROP, rack) if rack else ()),
                (Part.SPEAKER_LOOP, pull.allowances.speaker_loop),
                (Part.RACK_LOOP, pull.allowances.rack_loop),
            ),
            lacks=_rack_lacks([speaker], rack, pull),
        )
        for speaker in speakers
    ]


def line_drafts(line: SpeakerLine, rack: Outlet | None, pull: Pull) -> tuple[list[Draft], list[Ordered]]:
    """The runs of speakers wired together, and how good their order is where there is one."""
    if line.wiring is SpeakerWiring.HOME_RUN:
        return own_runs(line.speakers, rack, pull), []
    if line.wiring is SpeakerWiring.CONTROL:
        return _through_a_control(line, rack, pull), []
    return _chained(line, rack, pull)


def gauged(drafts: Sequence[Draft], lines: Sequence[SpeakerLine], pull: Pull) -> list[Draft]:
    """The heavier cable where a speaker is farther along its cable than the lighter one is good for.

    Through a control both pieces count: the way from the rack to the control, and on to the speaker.
    """
    behind: dict[str, Distance] = {}
    controls = {line.control.id: line for line in lines if line.control and line.wiring is SpeakerWiring.CONTROL}
    for draft in drafts:
        if draft.run.kind is RunKind.CONTROL_FEED and draft.run.to_id in controls:
            behind |= {speaker.id: draft.run.length for speaker in controls[draft.run.to_id].speakers}
    told = []
    for draft in drafts:
        run = draft.run
        if run.kind is RunKind.SPEAKER:
            speaker = run.to_id if run.to_id in behind else run.from_id
            if run.length + behind.get(speaker, ZERO) > pull.cables.speaker_up_to:
                draft = replace(draft, run=replace(run, cable=pull.cables.speaker_long))
        told.append(draft)
    return told


def _chained(line: SpeakerLine, rack: Outlet | None, pull: Pull) -> tuple[list[Draft], list[Ordered]]:
    start = rack.at if rack else None
    speakers, unreached = pull.reachable(by_id(line.speakers), start)
    found = pull.shortest(speakers, start)
    order = pull.as_set(line.order, speakers) if line.order else [speakers[index] for index in found.order]
    cable, allowances = pull.cables.speaker_line, pull.allowances
    drafts = []
    if order:
        drafts.append(
            pull.run(
                RunKind.SPEAKER_LINE,
                cable,
                ((rack.id, rack.at) if rack else ("rack", None), (order[0].id, order[0].at)),
                pull.drop_parts(Part.RACK_DROP, rack) if rack else (),
                ((Part.RACK_LOOP, allowances.rack_loop), (Part.SPEAKER_LOOP, allowances.speaker_loop)),
                lacks=_rack_lacks(order, rack, pull),
            )
        )
    loops = ((Part.SPEAKER_LOOP, 2 * allowances.speaker_loop),)
    for here, there in pairwise(order):
        ends = ((here.id, here.at), (there.id, there.at))
        drafts.append(pull.run(RunKind.SPEAKER_LINE, cable, ends, (), loops))
    drafts += pull.no_way(RunKind.SPEAKER_LINE, cable, unreached, speakers, rack.id if rack else "rack")
    length = pull.length_through(([start] if start else []) + [speaker.at for speaker in order])
    return drafts, [pull.told("speakers", line.id, order, length, found)]


def _through_a_control(line: SpeakerLine, rack: Outlet | None, pull: Pull) -> list[Draft]:
    control, allowances = line.control, pull.allowances
    ids = tuple(speaker.id for speaker in line.speakers)
    no_control: Lacking = () if control else ((Lacks.CONTROL, ids),)
    box = (control.id, control.at) if control else ("control", None)
    down = ((Part.CONTROL_DROP, pull.drop(control)),) if control else ()
    feed = pull.run(
        RunKind.CONTROL_FEED,
        pull.cables.speaker_four,
        ((rack.id, rack.at) if rack else ("rack", None), box),
        pull.drop_parts(Part.RACK_DROP, rack) if rack else (),
        (*down, (Part.RACK_LOOP, allowances.rack_loop), (Part.CONTROL_MAKE_UP, allowances.control_make_up)),
        lacks=(*no_control, *_rack_lacks(line.speakers, rack, pull)),
    )
    after = ((Part.CONTROL_MAKE_UP, allowances.control_make_up), (Part.SPEAKER_LOOP, allowances.speaker_loop))
    return [feed] + [
        pull.run(
            RunKind.SPEAKER,
            pull.cables.speaker,
            (box, (speaker.id, speaker.at)),
            down,
            after,
            lacks=(*no_control, *pull.height_lacks),
        )
        for speaker in line.speakers
    ]


def _rack_lacks(speakers: Sequence[Drop], rack: Outlet | None, pull: Pull) -> Lacking:
    ids = tuple(speaker.id for speaker in speakers)
    return pull.height_lacks if rack else ((Lacks.RACK, ids), *pull.height_lacks)
