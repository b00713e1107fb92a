import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.drawing.placement import Placement, Stretch, place, widest_scale


def stretches(*pieces):
    found, z_mm = [], 0.0
    for length, plain in pieces:
        found.append(Stretch(z_mm, z_mm + length, plain))
        z_mm += length
    return found


SHAFT = stretches((100, False), (600, True), (50, False), (200, True), (50, False))
ROOM = {"left": 10.0, "width": 500.0, "gap": 6.0, "axis_y": 70.0}


def test_a_shaft_with_room_is_drawn_whole_and_centred():
    placement = place(SHAFT, scale=0.4, **ROOM)
    assert placement.breaks == ()
    assert placement.x(0) == pytest.approx(60)  # 400 of 500 are used: 50 stay free at each side
    assert placement.x(1000) == pytest.approx(460)
    assert placement.x(725) == pytest.approx(60 + 0.4 * 725)


def test_the_longest_plain_piece_is_shortened_first():
    # 1000 mm at 0.8 are 800, which is 300 too long: of 480, 80, 40, 160 and 40 only 480 gives way.
    placement = place(SHAFT, scale=0.8, **ROOM)
    (gap,) = placement.breaks
    assert 100 < gap.from_mm < gap.to_mm < 700
    assert gap.to_x - gap.from_x == pytest.approx(6)
    assert placement.x(700) - placement.x(100) == pytest.approx(180)
    assert placement.x(950) - placement.x(750) == pytest.approx(160)
    assert placement.x(0) == pytest.approx(10)
    assert placement.x(1000) == pytest.approx(510)


def test_two_pieces_are_shortened_to_one_length():
    placement = place(SHAFT, scale=1.5, **ROOM)
    # 1.5 × 200 mm of seats take 300; the 200 left are shared.
    assert len(placement.breaks) == 2
    assert placement.x(700) - placement.x(100) == pytest.approx(100)
    assert placement.x(950) - placement.x(750) == pytest.approx(100)


def test_outside_a_break_the_scale_is_the_same_everywhere():
    placement = place(SHAFT, scale=1.5, **ROOM)
    first = placement.breaks[0]
    assert placement.x(first.from_mm) - placement.x(first.from_mm - 10) == pytest.approx(15)
    assert placement.x(first.to_mm + 10) - placement.x(first.to_mm) == pytest.approx(15)
    assert placement.x(60) - placement.x(50) == pytest.approx(15)
    assert placement.y(10) - placement.y(0) == pytest.approx(15)


def test_what_is_left_out_falls_into_the_gap():
    placement = place(SHAFT, scale=1.5, **ROOM)
    gap = placement.breaks[0]
    middle = (gap.from_mm + gap.to_mm) / 2
    assert placement.x(middle) == pytest.approx((gap.from_x + gap.to_x) / 2)


def test_a_point_lies_on_the_surface_at_its_angle():
    placement = Placement(2.0, 50.0, ((0.0, 10.0), (100.0, 210.0)), ())
    assert placement.point(30, 40) == pytest.approx((70, 90))
    assert placement.point(30, 40, 0) == pytest.approx((70, 50))
    assert placement.point(30, 40, 30) == pytest.approx((70, 70))
    assert placement.point(30, 40, 270) == pytest.approx((70, 10))


def test_the_widest_scale_fills_the_width():
    # Two plain pieces of at least 20 leave 460 for 200 mm.
    assert widest_scale(SHAFT, 500, least=20) == pytest.approx(2.3)
    assert widest_scale(stretches((250, False)), 500, least=20) == pytest.approx(2)


def test_without_seats_any_scale_fits():
    assert widest_scale(stretches((250, True)), 500, least=20) > 1000


@given(
    st.lists(st.tuples(st.floats(1, 3000), st.booleans()), min_size=1, max_size=30),
    st.floats(0.1, 1),
)
def test_a_placement_ascends_and_keeps_within_its_width(pieces, share):
    shaft = stretches(*pieces)
    scale = min(share * widest_scale(shaft, 500, least=20), 5.0)
    placement = place(shaft, scale=scale, **ROOM)
    xs = [x for _, x in placement.marks]
    assert all(before < after for before, after in pairwise(xs))
    assert xs[0] >= 10 - 1e-6
    assert xs[-1] <= 510 + 1e-6
    for piece in shaft:
        if not piece.plain:
            drawn = placement.x(piece.to_mm) - placement.x(piece.from_mm)
            assert math.isclose(drawn, scale * piece.length_mm, rel_tol=1e-9, abs_tol=1e-9)
