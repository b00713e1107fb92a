"""Drawings of the bench are enlarged and moved, and points stay where a finger finds them."""

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from seatproof.core.plan.points import PointKey
from seatproof.gui.bench.end_view import EndView
from seatproof.gui.bench.shaft_view import ShaftView
from seatproof.gui.bench.zoom_pane import ZoomButtons, ZoomPane, ZoomPlace
from seatproof.gui.shared.theme import LIGHT, MM_PER_INCH, TOUCH_MM

pytestmark = [
    pytest.mark.qt_log_level_fail("WARNING"),
    pytest.mark.qt_log_ignore("This plugin does not support (propagateSizeHints|raise)"),
]

NONE = Qt.KeyboardModifier.NoModifier
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shaft(qtbot: QtBot, measure, views, kiln_fan) -> ShaftView:
    view = ShaftView(LIGHT)
    qtbot.addWidget(view)
    view.resize(900, 560)
    state = measure(kiln_fan, 3)
    view.show_plan(state.plan)
    view.show_points(views(state))
    view.show()
    return view


def turn_wheel(view, at: QPointF, notches: int, modifiers=NONE) -> None:
    event = QWheelEvent(
        at,
        QPointF(view.mapToGlobal(at.toPoint())),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        modifiers,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(view, event)


def drag(qtbot: QtBot, view, start: QPoint, by: QPoint) -> None:
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    for part in (1, 2, 3):
        qtbot.mouseMove(view, start + by * part / 3)
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=start + by)


def test_the_wheel_with_control_enlarges_about_the_pointer(shaft) -> None:
    key = PointKey("A", 3, 3)
    before = shaft.position_of(key)
    turn_wheel(shaft, before, 3, CONTROL)
    assert shaft.lens.factor > 2
    after = shaft.position_of(key)
    assert (after.x(), after.y()) == pytest.approx((before.x(), before.y()))


def test_the_wheel_alone_leaves_a_whole_drawing_as_it_is(shaft) -> None:
    turn_wheel(shaft, QPointF(100, 100), 3)
    assert shaft.lens.is_whole


def test_points_are_hit_where_they_are_seen_enlarged(shaft, qtbot) -> None:
    key = PointKey("A", 2, 4)
    shaft.zoom(3.0, shaft.position_of(key))
    other = PointKey("A", 2, 5)
    apart = shaft.position_of(other) - shaft.position_of(key)
    assert abs(apart.y()) > 30
    place = shaft.position_of(key).toPoint()
    with qtbot.waitSignal(shaft.point_chosen, timeout=1000) as chosen:
        qtbot.mouseClick(shaft, Qt.MouseButton.LeftButton, pos=place)
    assert chosen.args == [key]


def test_dragging_moves_the_drawing_and_chooses_nothing(shaft, qtbot) -> None:
    key = PointKey("A", 3, 3)
    shaft.zoom(3.0, shaft.position_of(key))
    before = shaft.position_of(key)
    with qtbot.assertNotEmitted(shaft.point_chosen):
        drag(qtbot, shaft, before.toPoint(), QPoint(-60, -30))
    moved = shaft.position_of(key) - before
    assert moved.x() == pytest.approx(-60, abs=2)
    assert moved.y() == pytest.approx(-30, abs=2)


def test_keys_enlarge_and_show_the_whole_again(shaft, qtbot) -> None:
    qtbot.keyClick(shaft, Qt.Key.Key_Plus)
    qtbot.keyClick(shaft, Qt.Key.Key_Plus)
    enlarged = shaft.lens.factor
    qtbot.keyClick(shaft, Qt.Key.Key_Minus)
    assert 1 < shaft.lens.factor < enlarged
    before = shaft.lens.x
    qtbot.keyClick(shaft, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert shaft.lens.x > before
    qtbot.keyClick(shaft, Qt.Key.Key_Home)
    assert shaft.lens.is_whole


def test_marks_keep_apart_when_a_dense_seat_is_enlarged(qtbot, measure, views, dense) -> None:
    view = ShaftView(LIGHT)
    qtbot.addWidget(view)
    view.resize(500, 260)
    state = measure(dense, 0)
    view.show_plan(state.plan)
    view.show_points(views(state))

    def gap() -> float:
        apart = view.position_of(PointKey("A", 2, 3)) - view.position_of(PointKey("A", 2, 2))
        factor = view.lens.factor
        return abs(apart.y()) - factor * view._layout().detail.enlarged(factor).mark_size

    assert gap() < 0  # they overlap
    view.zoom(4.0)
    assert gap() > 0


def test_the_next_point_comes_into_sight(shaft, measure, views, kiln_fan) -> None:
    shaft.zoom(6.0, shaft.position_of(PointKey("A", 1, 1)))
    state = measure(kiln_fan, 29)
    shaft.show_points(views(state))
    assert shaft.room().contains(shaft.position_of(state.cursor))


def test_the_legend_stays_where_it_is(shaft) -> None:
    legend = shaft.room().bottom()
    assert legend < shaft.height()
    shaft.zoom(4.0)
    assert shaft.room().bottom() == legend


def test_scroll_bars_come_with_what_is_hidden_and_move_it(qtbot, measure, views, kiln_fan) -> None:
    shaft = ShaftView(LIGHT)
    state = measure(kiln_fan, 3)
    shaft.show_plan(state.plan)
    shaft.show_points(views(state))
    pane = ZoomPane(shaft)
    qtbot.addWidget(pane)
    pane.resize(900, 560)
    pane.show()
    assert not pane.across.isVisible()
    shaft.zoom(3.0)
    assert pane.across.isVisible()
    assert pane.down.isVisible()
    pane.across.setValue(40)
    assert shaft.lens.x == pytest.approx(40)
    shaft.fit()
    assert not pane.across.isVisible()


def test_the_end_view_is_enlarged_and_says_what_is_next_all_the_same(
    qtbot, measure, views, kiln_fan
) -> None:
    view = EndView(LIGHT)
    qtbot.addWidget(view)
    view.resize(300, 300)
    state = measure(kiln_fan, 3)
    seat = state.plan.seat("A")
    here = tuple(v for v in views(state) if v.point.key[:2] == ("A", 1))
    view.show_section(state.plan, seat, here)
    view.show()
    whole = view.grab().toImage()
    turn_wheel(view, QPointF(150, 130), 3, CONTROL)
    enlarged = view.grab().toImage()
    assert enlarged != whole
    foot = view.room().bottom()
    assert foot < view.height() - 20
    below = (0, round(foot) + 1, 300, view.height() - round(foot) - 1)
    assert enlarged.copy(*below) == whole.copy(*below)
    view.fit()
    assert view.grab().toImage() == whole


@pytest.mark.parametrize("text_scale", [1.0, 2.0])
def test_the_buttons_are_large_and_do_it(qtbot, dress, shaft, text_scale) -> None:
    dress(LIGHT, text_scale)
    buttons = ZoomButtons(lambda: shaft, QBoxLayout.Direction.TopToBottom, "Whole shaft")
    qtbot.addWidget(buttons)
    buttons.show()
    buttons.show_lens()
    touch_px = TOUCH_MM / MM_PER_INCH * shaft.logicalDpiY()
    for button in buttons.buttons:
        assert button.height() >= touch_px - 1
    assert not buttons.smaller.isEnabled()
    qtbot.mouseClick(buttons.larger, Qt.MouseButton.LeftButton)
    assert shaft.lens.factor > 1
    buttons.show_lens()
    qtbot.mouseClick(buttons.whole, Qt.MouseButton.LeftButton)
    assert shaft.lens.is_whole


def test_a_small_drawing_gives_no_room_to_buttons(qtbot, dress) -> None:
    dress(LIGHT, 1.0)
    window = QWidget()
    qtbot.addWidget(window)
    place = ZoomPlace(EndView(LIGHT), "Whole", window)
    place.resize(500, 500)
    window.resize(500, 500)
    window.show()
    qtbot.waitUntil(place.buttons.isVisible)
    place.resize(120, 500)
    qtbot.waitUntil(lambda: not place.buttons.isVisible())
