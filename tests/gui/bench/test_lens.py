"""What part of a drawing is seen, by itself."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.gui.bench.lens import LARGEST, Lens

WHOLE = Lens(room=(800.0, 300.0), content=(800.0, 300.0))
lengths = st.floats(min_value=20.0, max_value=4000.0)


def test_the_whole_lies_where_it_is() -> None:
    assert WHOLE.seen(10.0, 20.0) == (10.0, 20.0)
    assert WHOLE.is_whole
    assert WHOLE.is_all_seen


def test_what_is_under_the_pointer_stays_there() -> None:
    lens = WHOLE.zoomed(4.0, (200.0, 150.0))
    assert lens.factor == 4.0
    assert lens.seen(200.0, 150.0) == pytest.approx((200.0, 150.0))
    assert lens.seen(210.0, 150.0) == pytest.approx((240.0, 150.0))
    assert lens.hidden == (2400.0, 900.0)


def test_it_is_never_smaller_than_the_whole_nor_larger_than_the_largest() -> None:
    assert WHOLE.zoomed(0.5) == WHOLE
    assert WHOLE.zoomed(3.0).zoomed(0.2) == WHOLE
    assert WHOLE.zoomed(1000.0).factor == LARGEST


def test_it_is_moved_no_further_than_there_is_something() -> None:
    lens = WHOLE.zoomed(2.0, (0.0, 0.0))
    assert lens.moved(50.0, 50.0) == lens
    assert lens.moved(-10_000.0, -10_000.0).origin == (-800.0, -300.0)


def test_a_small_drawing_lies_in_the_middle() -> None:
    lens = replace(WHOLE, content=(400.0, 300.0))
    assert lens.origin == (200.0, 0.0)
    assert lens.zoomed(1.5).origin == (100.0, pytest.approx(-75.0))


def test_a_place_is_moved_into_sight_and_no_further() -> None:
    lens = WHOLE.zoomed(4.0, (0.0, 0.0))
    assert lens.with_seen(100.0, 50.0, 20.0) == lens  # in sight already
    moved = lens.with_seen(300.0, 50.0, 20.0)  # at 1200, of a room of 800
    assert moved.seen(300.0, 50.0) == pytest.approx((780.0, 200.0))


@given(room=st.tuples(lengths, lengths), factor=st.floats(1.0, LARGEST), other=lengths)
def test_going_there_and_back_is_the_same_place(room, factor, other) -> None:
    lens = Lens(room=room, content=room).zoomed(factor, (room[0] / 3, room[1] / 2))
    assert lens.back(*lens.seen(7.0, 9.0)) == pytest.approx((7.0, 9.0))
    wider = lens.refitted((other, room[1]), (other, room[1]))
    left, top = wider.origin
    assert left <= 0.0
    assert top <= 0.0
    assert left + wider.factor * other >= other - 1e-6  # no empty margin at the other side
