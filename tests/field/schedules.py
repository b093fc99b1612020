"""What two phones and a server should come to, as a plain model: lists, and one rule. Shares no code with the product.

The rule: an entry is somebody's answer to what their phone knew. If the value has changed since, to another one than
is entered, both are shown to a person; otherwise it is applied. Each entry counts once, in the order the server had it.
"""

import random
from dataclasses import dataclass, field

NOTE, TAPED = "note", "measure"
OFTEN = {  # what happens on a phone, out of 42
    "enter": 20, "signal": 5, "look": 4, "send": 2, "lose the answer": 3, "send twice": 2, "kill": 2,
    "kill while sending": 2, "sign out": 1, "session ends": 1,
}  # fmt: skip
DAY = 24 * 3600 * 1000  # ms


@dataclass
class Entered:
    """One entry as a person made it. knew: how many values of this thing the page on the phone had been made with."""

    key: str
    phone: int
    kind: str
    value: str
    knew: int


@dataclass
class Open:
    """A conflict that nobody has settled: what stood when it was shown, and how many values there were by then."""

    entry: Entered
    stood: str
    by_then: int


@dataclass
class Model:
    """history: every value a thing of the room ever had, oldest first."""

    history: dict[str, list[str]] = field(default_factory=lambda: {NOTE: [], TAPED: []})
    learned: dict[tuple[int, str], int] = field(default_factory=dict)
    open: dict[str, Open] = field(default_factory=dict)

    def arrives(self, entry: Entered) -> str:
        values = self.history[entry.kind]
        # A phone knows what its own entries came to.
        knows = max(entry.knew, self.learned.get((entry.phone, entry.kind), 0))
        if len(values) > knows and values[-1] != entry.value:
            self.open[entry.key] = Open(entry, values[-1], len(values))
            return "conflict"
        self._take(entry.kind, entry.value)
        self.learned[entry.phone, entry.kind] = len(values)
        return "applied"

    def settled(self, key: str, how: str) -> bool:
        """A person chooses. False: the value changed again meanwhile, and both are shown anew."""
        one = self.open[key]
        values, kind = self.history[one.entry.kind], one.entry.kind
        mine = f"{one.stood}\n{one.entry.value}" if how == "both" else one.entry.value
        if how != "theirs":
            if len(values) > one.by_then and values[-1] != mine:
                one.stood, one.by_then = values[-1], len(values)
                return False
            self._take(kind, mine)
        del self.open[key]
        return True

    def _take(self, kind: str, value: str) -> None:
        """Readings are added each time; a note that says the same is the same note."""
        if kind == TAPED or not self.history[kind] or self.history[kind][-1] != value:
            self.history[kind].append(value)


def steps(seed: int):
    """What happens to two phones, from a seed: (phone, what, more)."""
    dice = random.Random(seed)
    for phone in (0, 1):
        yield phone, "clock", dice.choice((0, 0, -DAY, DAY, -365 * DAY))
    for _n in range(dice.randint(5, 9)):
        phone = dice.randrange(2)
        what = dice.choices(tuple(OFTEN), tuple(OFTEN.values()))[0]
        if what != "enter":
            yield phone, what, None
            continue
        kind = dice.choice((NOTE, NOTE, TAPED))
        # Few values, so that two people often say the same.
        value = dice.choice(("150", "151", "152")) if kind == TAPED else f"note {dice.randrange(3)}"
        yield phone, "enter", (kind, value)
