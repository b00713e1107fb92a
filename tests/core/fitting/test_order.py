"""Orders of bolts: every bolt once, opposite first, and no neighbours in a row."""

from itertools import pairwise

import pytest

from seatproof.core.fitting.order import (
    circle_order,
    clamped_halves_order,
    middle_outwards,
    two_rows_order,
)


@pytest.mark.parametrize("bolts", range(2, 25))
def test_circle_takes_every_bolt_once_opposite_first_and_no_neighbours(bolts):
    order = circle_order(bolts)
    assert sorted(order) == list(range(bolts))
    apart = [min((b - a) % bolts, (a - b) % bolts) for a, b in pairwise(order)]
    assert apart[0] == bolts // 2  # opposite, or nearest to it where the number is odd
    if bolts >= 5:
        assert min(apart) >= 2


@pytest.mark.parametrize("bolts", range(4, 25, 2))
def test_circle_goes_by_opposite_pairs_and_a_quarter_off(bolts):
    order = circle_order(bolts)
    for first, second in zip(order[::2], order[1::2], strict=True):
        assert abs(first - second) == bolts // 2
    quarter = (order[2] - order[0]) % (bolts // 2)
    assert quarter in (bolts // 4, bolts // 2 - bolts // 4)


@pytest.mark.parametrize(
    ("bolts", "written"),
    [
        # As the trade writes them, numbered from 1.
        (4, "1-3-2-4"),
        (6, "1-4-2-5-3-6"),
        (8, "1-5-3-7-2-6-4-8"),
        (12, "1-7-4-10-2-8-5-11-3-9-6-12"),
    ],
)
def test_circle_agrees_with_the_orders_in_use(bolts, written):
    assert "-".join(str(bolt + 1) for bolt in circle_order(bolts)) == written


@pytest.mark.parametrize("per_joint", range(1, 7))
def test_clamped_halves_go_diagonally_so_that_gaps_stay_equal(per_joint):
    order = clamped_halves_order(per_joint)
    assert sorted(order) == list(range(4 * per_joint))
    places = [divmod(bolt // per_joint, 2) for bolt in order]
    for one, other in zip(places[::2], places[1::2], strict=True):
        assert one[0] != other[0]  # the other clamping ring
        assert one[1] != other[1]  # and the other joint
    for done in range(0, len(places), 2):
        # After each pair both joints, and both rings, have as many bolts.
        for which in (0, 1):
            assert sum(place[which] for place in places[:done]) * 2 == done


@pytest.mark.parametrize("per_row", range(1, 13))
def test_two_rows_go_from_the_middle_outwards(per_row):
    order = two_rows_order(per_row)
    assert sorted(order) == list(range(2 * per_row))
    from_middle = [abs(2 * (bolt % per_row) - (per_row - 1)) for bolt in order]
    assert from_middle == sorted(from_middle)
    assert [bolt // per_row for bolt in order] == [0, 1] * per_row


def test_middle_outwards_leaves_no_side_waiting():
    assert middle_outwards(5) == (2, 3, 1, 4, 0)
    assert middle_outwards(1) == (0,)


@pytest.mark.parametrize("order", [circle_order, clamped_halves_order, two_rows_order])
def test_no_bolts_are_refused(order):
    with pytest.raises(ValueError, match="one bolt at least"):
        order(0)
