"""What lies where, and what is still to buy: sums of movements, by hand and against a count of single pieces."""

from hypothesis import given, settings
from hypothesis import strategies as st

from reports.purchasing.stock import Lies, Moved, OnOrder, lying, standings


def test_to_buy_is_need_less_on_hand_less_on_order():
    """24 boxes needed, 10 on site, 4 in rooms, 6 of an order of 8 still to come: 24 - 14 - 6 = 4."""
    lies = lying([Moved("box", "", "site", 14), Moved("box", "site", "room", 4, room_id=1)])
    found = standings({"box": 24}, lies, [OnOrder("box", 8, 2, 0)])["box"]
    assert (found.lies.places["site"], found.lies.in_rooms, found.on_order, found.to_buy, found.over) == (
        10,
        4,
        6,
        4,
        0,
    )


def test_what_is_given_up_is_to_buy_again():
    assert standings({"box": 8}, {}, [OnOrder("box", 8, 0, 3)])["box"].to_buy == 3


def test_more_than_the_need_is_over_and_never_below_zero():
    found = standings({"box": 5}, lying([Moved("box", "", "shop", 9)]), [])["box"]
    assert (found.to_buy, found.over) == (0, 4)


def test_what_came_without_a_need_is_told_too():
    found = standings({}, lying([Moved("own:ladder", "", "van", 1)]), [OnOrder("tape", 3, 0, 0)])
    assert list(found) == ["own:ladder", "tape"] and found["tape"].on_order == 3


def test_what_went_to_the_shelf_has_left_the_job():
    lies = lying([Moved("box", "", "site", 9), Moved("box", "site", "", 9)])
    assert lies["box"] == Lies()


ENDS = st.sampled_from(["", "shop", "van", "site", "room"])


@settings(max_examples=50)
@given(st.lists(st.tuples(ENDS, ENDS, st.integers(1, 5)), max_size=20))
def test_every_piece_is_in_one_place(moves):
    """Pieces carried one by one, each with its own place, against the sums."""
    pieces, booked = [], []
    for start, end, quantity in moves:
        there = [piece for piece in pieces if piece[0] == start] if start else [[""] for _ in range(quantity)]
        if start == end or len(there) < quantity:
            continue
        for piece in there[:quantity]:
            if not start:
                pieces.append(piece)
            piece[0] = end
        booked.append(Moved("x", start, end, quantity, 7 if "room" in (start, end) else None))
    lies = lying(booked).get("x", Lies())
    for place in ("shop", "van", "site"):
        assert lies.places[place] == sum(piece[0] == place for piece in pieces)
    assert lies.in_rooms == sum(piece[0] == "room" for piece in pieces)
