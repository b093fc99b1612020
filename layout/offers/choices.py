"""Other layouts of the same room that differ in kind, each with its numbers and its drawing. Changes nothing."""

from layout.engine.findings import say
from layout.engine.lengths import LengthError
from layout.engine.ways.choices import choices, say_choice
from layout.offers.taking import key_of
from layout.offers.ways import Offer, small_plan


def choices_page(room, draft, layout, *, drawn=True) -> tuple[Offer, ...]:
    """drawn: with a small drawing each. What is as the room's layout already is left out;
    what fits comes before what does not.
    """
    tape = room.job.tape
    try:
        found = choices(layout.inputs, watts=draft.light_type.watts)
    except LengthError:
        return ()
    now = layout.arrangement.marks
    offers = [_offer(one, room, tape, drawn) for one in found if one.layout.arrangement.marks != now]
    return tuple(sorted(offers, key=lambda offer: (bool(offer.wont_fit), bool(offer.still))))


def _offer(choice, room, tape, drawn):
    title, words, *lines = say_choice(choice, tape)
    return Offer(
        key=key_of(choice.change),
        kind=f"choice_{choice.kind.value}",
        title=title,
        words=f"{words}.",
        change=choice.change,
        lines=tuple(lines),
        still=tuple(say(finding, tape) for finding in choice.left),
        svg=small_plan(choice.layout, room, tape, key=f"choice-{choice.kind.value}") if drawn else "",
    )
