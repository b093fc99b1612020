"""From the trade's takeoff table to the lengths and cables a room is wired with. Knows no rooms and no prices."""

from layout.engine.lengths import Length
from layout.engine.wiring.runs import Allowances, Cables
from layout.engine.wiring.values import ONE_FOOT, TWO_FEET
from projects.catalogue.table_values import TakeoffRules

POWER, SPEAKER, SPEAKER_LONG = "14/2", "speaker_16/2", "speaker_14/2"


def allowances(rules: TakeoffRules) -> Allowances:
    """What is added at the ends of a run, each from its own rule."""
    wire = rules.wire
    return Allowances(
        light_make_up=wire["box_end"].length,
        switch_make_up=wire["switch_make_up"].length,
        panel_make_up=wire["panel_make_up"].length,
        feed_make_up=wire["home_run_extra"].length,
        speaker_loop=wire["speaker_loop"].length,
        rack_loop=wire["rack_loop"].length,
        # rules kept before these two were in the table do without them
        control_make_up=wire["control_make_up"].length if "control_make_up" in wire else ONE_FOOT,
        whip=wire["box_whip"].length if "box_whip" in wire else TWO_FEET,
    )


def usual_cables(rules: TakeoffRules) -> Cables:
    """14/2 for lights on 15 A; 16/2 to a speaker, 14/2 past the length the table names. Common practice, no source."""
    return Cables(POWER, SPEAKER, SPEAKER_LONG, rules.wire["speaker_gauge_change"].length)


def switch_height(rules: TakeoffRules) -> Length:
    """Where a switch is taken to be when only its place on the plan was entered."""
    return rules.wire["switch_height"].length
