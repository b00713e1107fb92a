from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QHelpEvent, QImage
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from seatproof.core.plan.points import PointKey
from seatproof.gui.bench.points import PointMark
from seatproof.gui.bench.seat_detail import LEAST_MARK_PX, row_heights
from seatproof.gui.bench.shaft_view import ShaftView
from seatproof.gui.shared.theme import DARK, LIGHT

pytestmark = [
    pytest.mark.qt_log_level_fail("WARNING"),
    pytest.mark.qt_log_ignore("This plugin does not support (propagateSizeHints|raise)"),
]

SIZES = [(200, 150), (620, 400), (900, 560), (1200, 320), (1900, 1000)]
CASES = [(size, scale, LIGHT) for size in SIZES for scale in (1.0, 2.0)] + [(SIZES[1], 1.0, DARK)]


@pytest.fixture
def shaft(qtbot: QtBot) -> ShaftView:
    view = ShaftView(LIGHT)
    qtbot.addWidget(view)
    view.resize(900, 560)
    return view


def count_of(image: QImage, colour: QColor, *, within: int = 0) -> int:
    """Count pixels of a colour; `within` lets soft edges of small marks count as well."""
    image = image.convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)
    wanted = np.array([colour.blue(), colour.green(), colour.red()], dtype=np.int16)
    off = np.abs(pixels[:, :, :3].astype(np.int16) - wanted).max(axis=2)
    return int((off <= within).sum())


def test_without_a_plan_it_is_plain_paper(shaft: ShaftView) -> None:
    image = shaft.grab().toImage()
    assert count_of(image, LIGHT.paper) == image.width() * image.height()
    assert shaft.point_at(QPointF(10, 10)) is None


@pytest.mark.parametrize(("size", "text_scale", "theme"), CASES)
def test_the_next_point_is_shown_at_every_size(
    qtbot: QtBot, dress, measure, views, kiln_fan, size, text_scale, theme
) -> None:
    view = ShaftView(dress(theme, text_scale))
    qtbot.addWidget(view)
    view.resize(*size)
    state = measure(kiln_fan, 14, skip=(3,))
    view.show_plan(state.plan)
    view.show_points(views(state))
    assert count_of(view.grab().toImage(), theme.next) > 100
    at = view.position_of(state.cursor)
    assert at is not None
    assert view.rect().contains(at.toPoint())


@pytest.mark.parametrize("plan", ["single", "kiln_fan", "screw_pump", "dense"])
@pytest.mark.parametrize("size", SIZES)
def test_every_point_lies_in_the_view_and_is_found_there(
    request, qtbot: QtBot, dress, measure, views, plan, size
) -> None:
    view = ShaftView(LIGHT)
    qtbot.addWidget(view)
    view.resize(*size)
    state = measure(request.getfixturevalue(plan), 0)
    view.show_plan(state.plan)
    view.show_points(views(state))
    seat = state.plan.points()[0].seat_id
    for point in state.plan.points():
        at = view.position_of(point.key)
        if point.seat_id != seat and at is None:
            continue  # there is room for the current seat only
        assert view.rect().contains(at.toPoint())
        found = view.point_at(at)
        if point.seat_id == seat:
            assert found.point.key == point.key


def test_a_click_chooses_the_point_under_it(shaft, qtbot, measure, views, kiln_fan) -> None:
    state = measure(kiln_fan, 3)
    shaft.show_plan(state.plan)
    shaft.show_points(views(state))
    for point in state.plan.points():
        place = shaft.position_of(point.key).toPoint()
        with qtbot.waitSignal(shaft.point_chosen, timeout=1000) as chosen:
            qtbot.mouseClick(shaft, Qt.MouseButton.LeftButton, pos=place)
        assert chosen.args == [point.key]


def test_a_touch_beside_a_point_still_hits_it(shaft, measure, views, kiln_fan) -> None:
    state = measure(kiln_fan, 0)
    shaft.show_plan(state.plan)
    shaft.show_points(views(state))
    outermost = PointKey("A", 5, 1)
    five_mm = 5 / 25.4 * shaft.logicalDpiX()
    found = shaft.point_at(shaft.position_of(outermost) + QPointF(five_mm, 0))
    assert found.point.key == outermost


def test_a_click_far_from_every_point_chooses_none(shaft, qtbot, measure, views, kiln_fan) -> None:
    state = measure(kiln_fan, 0)
    shaft.show_plan(state.plan)
    shaft.show_points(views(state))
    with qtbot.assertNotEmitted(shaft.point_chosen):
        qtbot.mouseClick(shaft, Qt.MouseButton.LeftButton, pos=QPoint(450, 10))


def test_the_arrow_keys_walk_over_the_field(shaft, qtbot, measure, views, kiln_fan) -> None:
    state = measure(kiln_fan, 0)
    shaft.show_plan(state.plan)
    moves = {
        Qt.Key.Key_Up: PointKey("A", 3, 4),
        Qt.Key.Key_Down: PointKey("A", 3, 2),
        Qt.Key.Key_Right: PointKey("A", 4, 3),
        Qt.Key.Key_Left: PointKey("A", 2, 3),
    }
    for key, expected in moves.items():
        shaft.show_points(views(state, PointKey("A", 3, 3)))
        with qtbot.waitSignal(shaft.point_chosen, timeout=1000) as chosen:
            qtbot.keyClick(shaft, key)
        assert chosen.args == [expected]


def test_the_arrow_keys_lead_to_the_next_seat_and_end_at_the_last(
    shaft, qtbot, measure, views, kiln_fan
) -> None:
    state = measure(kiln_fan, 0)
    shaft.show_plan(state.plan)
    shaft.show_points(views(state, PointKey("A", 5, 2)))
    with qtbot.waitSignal(shaft.point_chosen, timeout=1000) as chosen:
        qtbot.keyClick(shaft, Qt.Key.Key_Right)
    assert chosen.args == [PointKey("B", 1, 2)]
    shaft.show_points(views(state, PointKey("B", 5, 2)))
    with qtbot.assertNotEmitted(shaft.point_chosen):
        qtbot.keyClick(shaft, Qt.Key.Key_Right)


def test_a_selected_point_brings_its_seat_into_the_detail(shaft, measure, views, kiln_fan) -> None:
    state = measure(kiln_fan, 0)
    shaft.show_plan(state.plan)
    shaft.show_points(views(state))
    small = shaft.position_of(PointKey("B", 5, 1)) - shaft.position_of(PointKey("B", 1, 1))
    shaft.show_points(views(state, PointKey("B", 2, 2)))
    large = shaft.position_of(PointKey("B", 5, 1)) - shaft.position_of(PointKey("B", 1, 1))
    assert large.x() > 3 * small.x()


def test_angles_grow_upwards_whatever_their_order_in_the_plan(measure, kiln_fan) -> None:
    plan = kiln_fan.replace("orientations = 6", "orientations = [90, 0, 45]")
    heights = row_heights(measure(plan, 0).plan.seats[0])
    assert heights == pytest.approx({2: 1 / 6, 3: 3 / 6, 1: 5 / 6})


@pytest.mark.parametrize("missing", [m for n in (0, 1, 3) for m in combinations(range(3), n)])
def test_points_may_be_missing(shaft, measure, views, kiln_fan, missing) -> None:
    state = measure(kiln_fan, 3)
    shown = tuple(v for n, v in enumerate(views(state)[:3]) if n not in missing)
    shaft.show_plan(state.plan)
    shaft.show_points(shown)
    shaft.grab()
    found = {shaft.point_at(shaft.position_of(view.point.key)).point.key for view in shown}
    assert found == {view.point.key for view in shown}


def test_marks_keep_a_visible_size_where_stations_crowd(shaft, measure, views, dense) -> None:
    shaft.resize(200, 150)
    state = measure(dense, 0)
    shaft.show_plan(state.plan)
    shaft.show_points(views(state))
    shaft.grab()
    assert shaft._layout().detail.mark_size == LEAST_MARK_PX


def test_values_outside_are_seen_on_a_crowded_shaft(shaft, measure, views, dense) -> None:
    inside = measure(dense, 288)
    shaft.show_plan(inside.plan)
    shaft.show_points(views(inside))
    before = count_of(shaft.grab().toImage(), LIGHT.outside, within=60)
    outside = measure(dense, 288, form=lambda p: 0.03 if p.key[1:] == (5, 7) else 0.01)
    shaft.show_points(views(outside))
    assert sum(view.mark is PointMark.ABOVE for view in views(outside)) == 1
    assert count_of(shaft.grab().toImage(), LIGHT.outside, within=60) > before + 10


def test_the_tip_is_never_taken_for_markup(shaft, qtbot, measure, views, kiln_fan) -> None:
    state = measure(kiln_fan, 1)
    shaft.show_plan(state.plan)
    first = replace(views(state)[0], story="<b>112</b> & more")
    shaft.show_points((first,))
    at = shaft.position_of(first.point.key).toPoint()
    shaft.show()
    event = QHelpEvent(QHelpEvent.Type.ToolTip, at, shaft.mapToGlobal(at))
    QApplication.sendEvent(shaft, event)
    assert "&lt;b&gt;112&lt;/b&gt; &amp; more" in QToolTip.text()
    QToolTip.hideText()


def test_it_says_what_is_next_to_those_who_cannot_see_it(shaft, measure, views, kiln_fan) -> None:
    state = measure(kiln_fan, 14)
    shaft.show_plan(state.plan)
    shaft.show_points(views(state))
    assert shaft.accessibleDescription() == "next: seat A, station 3 · 60°"
