"""How a table says what the API has for a page. One line a page, by its name in ROUTES:

    "wall": over("rooms"),                                 a page that is only read
    "job": over("job job_rooms", "job"),                   read from two addresses; what its form does, PATCH does
    "new_job": over(FORM, "jobs"),                         its reading is an empty form
    "sign_in": left("A program brings a token."),          not in the API, and why
    "note": over("note", left("Kept in the browser.")),    one half is not, and why
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Left:
    """Not in the API. why: one sentence, said to whoever reads the table."""

    why: str


FORM = Left("An empty form: what it asks stands in the description of the address that takes it.")


@dataclass(frozen=True, slots=True)
class Row:
    """The API's addresses by name that give what a page shows (`read`) and do what it does (`write`), or why none."""

    read: tuple[str, ...] | Left = ()
    write: tuple[str, ...] | Left = ()


def over(read="", write=""):
    return Row(*(half if isinstance(half, Left) else tuple(half.split()) for half in (read, write)))


def left(why):
    return Left(why)
