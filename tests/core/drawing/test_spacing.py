from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.drawing.spacing import every_nth, spread

LABELS = st.lists(st.tuples(st.floats(0, 400), st.floats(1, 60)), min_size=1, max_size=25).map(
    sorted
)


def test_labels_with_room_stay_where_they_are():
    assert spread([20, 60], [10, 10], 2, 0, 100) == [20, 60]


def test_two_labels_on_one_place_move_aside_equally():
    assert spread([50, 50], [10, 10], 2, 0, 100) == [44, 56]


def test_labels_beyond_the_end_are_pushed_back():
    assert spread([-5, 3, 98], [10, 10, 10], 0, 0, 100) == [5, 15, 95]


def test_a_row_that_is_too_short_is_refused():
    assert spread([10, 20], [50, 50], 1, 0, 100) is None
    assert spread([10, 20], [50, 50], 0, 0, 100) == [25, 75]


def test_an_empty_row_is_a_row():
    assert spread([], [], 1, 0, 100) == []


@given(LABELS)
def test_labels_keep_order_distance_and_bounds(labels):
    centres, widths = zip(*labels, strict=True)
    found = spread(centres, widths, 3, 0, 400)
    if sum(widths) + 3 * (len(widths) - 1) > 400:
        assert found is None
        return
    assert found is not None
    boxes = [(x - w / 2, x + w / 2) for x, w in zip(found, widths, strict=True)]
    assert all(b[0] - a[1] >= 3 - 1e-9 for a, b in pairwise(boxes))
    assert boxes[0][0] >= -1e-9
    assert boxes[-1][1] <= 400 + 1e-9


@pytest.mark.parametrize(
    ("pitch", "numbers"),
    [(10, [1, 2, 3, 4, 5]), (11, [1, 3, 5]), (20, [1, 3, 5]), (21, [1, 5]), (41, [1])],
)
def test_a_row_is_thinned_out_evenly(pitch, numbers):
    places = [(10.0 * number, number) for number in range(1, 6)]
    assert [number for _, number in every_nth(places, pitch)] == numbers


def test_the_last_of_a_thinned_row_displaces_its_neighbour():
    places = [(10.0 * number, number) for number in range(1, 7)]
    assert [number for _, number in every_nth(places, 20)] == [1, 3, 6]


def test_single_and_empty_rows_stay():
    assert every_nth([(3.0, 1)], 10) == [(3.0, 1)]
    assert every_nth([], 10) == []
