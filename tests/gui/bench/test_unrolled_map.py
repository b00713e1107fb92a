"""The map of a seat: what its cells say, which is next, and that all of it is reached."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QHelpEvent, QImage
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from seatproof.core.plan.points import PointKey
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.gui.bench import unrolled_map
from seatproof.gui.bench.model import BenchModel, Sealing
from seatproof.gui.bench.points import PointMark
from seatproof.gui.bench.seat_map import DepartureFrom, SeatMap, captions
from seatproof.gui.bench.unrolled_map import UnrolledMap
from seatproof.gui.bench.view import BenchView
from seatproof.gui.settings import Settings
from seatproof.gui.shared.theme import CONTRAST, DARK, LIGHT

pytestmark = [
    pytest.mark.qt_log_level_fail("WARNING"),
    pytest.mark.qt_log_ignore("This plugin does not support (propagateSizeHints|raise)"),
]

RADIAL = """
[[seat]]
id = "A2"
name = "Run-out"
same_seat_as = "A"
from = 150
length = 60
nominal = 110
method = "radial"
stations = [180]
orientations = 12
repeats = 1
"""


class Store:
    def __init__(self) -> None:
        self.kept = []

    def append(self, event) -> None:
        self.kept.append(event)

    def events(self, inspection):
        return tuple(self.kept)


class Bench:
    """A model whose points are measured by what is written on the gauge."""

    def __init__(self, plan_toml: str, unit: str = "mm") -> None:
        self.inspection = Inspection.create(
            Store(),
            plan_toml=plan_toml,
            identification=Identification(sheet_number="S 1"),
            actor="Ann",
            clock=lambda: datetime(2026, 3, 2, 8, 0, tzinfo=UTC),
        )
        self.inspection.put_in_service(
            GaugeInService(
                inventory_number="M 4", unit=unit, resolution="0.0001", source="-", format="auto"
            )
        )
        self.model = BenchModel(
            self.inspection, finish=lambda state: lambda: Sealing(None, None, "")
        )
        self.count = 0

    def press(self, text: str) -> None:
        self.count += 1
        raw = f"{self.count} {text}".encode()
        press = Press(Decimal(text), None, text, raw, "auto", self.count)
        self.model.act(lambda inspection: inspection.take(press))

    def cells(self, departure_from=DepartureFrom.NOMINAL):
        model, seats = self.model, SeatMap()
        seats.show(model.state, model.seat, model.points, departure_from)
        return seats.cells


@pytest.fixture
def bench(kiln_fan) -> Bench:
    return Bench(kiln_fan)


@pytest.fixture
def shown(qtbot: QtBot, dress):
    """Show the map of a bench."""

    def show(bench: Bench, size=(900, 420), theme=LIGHT, text_scale=1.0) -> UnrolledMap:
        view = UnrolledMap(dress(theme, text_scale))
        qtbot.addWidget(view)
        view.resize(*size)
        view.show_points(bench.model.state, bench.model.seat, bench.model.points)
        view.show()
        return view

    return show


def count_of(image: QImage, colour: QColor) -> int:
    wanted = colour.rgb()
    return sum(
        image.pixel(x, y) == wanted for x in range(image.width()) for y in range(image.height())
    )


# --- what the cells say --------------------------------------------------------------------------


def test_a_cell_says_value_and_departure_from_the_nominal_size(bench) -> None:
    bench.press("110.0125")
    cell = bench.cells()[PointKey("A", 1, 1)]
    assert (cell.value, cell.departure) == ("110.0125", "+12.5")
    assert cell.view.mark is PointMark.INSIDE
    assert not cell.note


def test_a_cell_says_the_departure_from_the_middle_of_the_tolerance(bench) -> None:
    bench.press("110.0125")  # 110 k6 is 110.003 to 110.025, with 110.014 in the middle
    cell = bench.cells(DepartureFrom.MIDDLE)[PointKey("A", 1, 1)]
    assert cell.departure == "−1.5"


def test_inches_are_said_in_inches(screw_pump) -> None:
    bench = Bench(screw_pump, unit="in")
    nominal_in = bench.model.seat.nominal_mm / Decimal("25.4")
    bench.press(f"{nominal_in + Decimal('0.0003'):.5f}")
    cell = bench.cells()[bench.model.last_reading.key]
    assert cell.departure == "+0.000300"
    assert captions(bench.model.seat, bench.model.state, DepartureFrom.NOMINAL)[0].endswith(
        "in inches"
    )


def test_repeats_say_their_mean_and_how_many_there_are_of_how_many(kiln_fan) -> None:
    bench = Bench(kiln_fan.replace("repeats = 1", "repeats = 3"))
    key = PointKey("A", 1, 1)
    bench.press("110.010")
    bench.press("110.013")
    cell = bench.cells()[key]
    assert cell.view.mark is PointMark.OPEN
    assert (cell.departure, cell.note) == ("+11.5", "2 of 3")
    bench.press("110.016")
    cell = bench.cells()[key]
    assert (cell.value, cell.departure, cell.note) == ("110.0130", "+13.0", "")


def test_what_is_open_skipped_or_taken_back_is_said_as_such(bench) -> None:
    bench.press("110.012")
    bench.model.take_back("a chip")
    bench.model.go_to(PointKey("A", 1, 2))
    bench.model.skip("a burr")
    cells = bench.cells()
    back, skipped, fresh = (cells[PointKey("A", 1, number)] for number in (1, 2, 3))
    assert (back.note, back.was_redone, back.departure) == ("taken back", True, "")
    assert back.view.mark is PointMark.OPEN
    assert (skipped.note, skipped.view.mark) == ("skipped", PointMark.SKIPPED)
    assert (fresh.note, fresh.value, fresh.was_redone) == ("", "", False)


def test_a_point_that_was_measured_again_says_so_beside_its_new_value(bench) -> None:
    key = PointKey("A", 1, 1)
    bench.press("110.012")
    bench.model.go_to(key, "doubtful")
    bench.press("110.015")
    cell = bench.cells()[key]
    assert (cell.departure, cell.was_redone) == ("+15.0", True)
    assert "doubtful" in cell.view.story
    assert '"110.012"' in cell.view.story


def test_an_indicators_readings_are_shown_as_they_are(kiln_fan) -> None:
    bench = Bench(kiln_fan + RADIAL)
    bench.model.go_to(PointKey("A2", 1, 1))
    bench.press("-0.004")
    cell = bench.cells()[PointKey("A2", 1, 1)]
    assert (cell.value, cell.departure) == ("", "−4.0")
    assert cell.view.mark is PointMark.MEASURED
    words = captions(bench.model.seat, bench.model.state, DepartureFrom.NOMINAL)
    assert "zero means nothing" in words[0]


def test_a_press_makes_no_more_cells_than_it_touches(kiln_fan, dense) -> None:
    bench = Bench(dense)
    model, seats = bench.model, SeatMap()
    reference = DepartureFrom.NOMINAL
    assert len(seats.show(model.state, model.seat, model.points, reference)) == 12 * 24
    bench.press("110.012")
    changed = seats.show(model.state, model.seat, model.points, reference)
    assert changed == {PointKey("A", 1, 1), PointKey("A", 1, 2)}  # the one measured, and the next


# --- the picture ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("theme", "text_scale"), [(LIGHT, 1.0), (DARK, 2.0), (CONTRAST, 1.0)])
def test_the_next_cell_stands_out(bench, shown, theme, text_scale) -> None:
    view = shown(bench, theme=theme, text_scale=text_scale)
    picture = view.grab().toImage()
    box = view.box_of(bench.model.state.cursor).toAlignedRect()
    assert count_of(picture.copy(box), theme.next) > 150
    other = view.box_of(PointKey("A", 4, 4)).toAlignedRect().adjusted(2, 2, -2, -2)
    assert count_of(picture.copy(other), theme.next) == 0
    assert "station 1 · 0°" in view.accessibleDescription()


def test_marks_differ_by_their_shape_and_not_by_colour_alone(bench, shown) -> None:
    for text in ("110.012", "110.040", "110.001"):
        bench.press(text)
    bench.model.skip("a burr")
    bench.press("110.012")
    view = shown(bench, (400, 300))
    picture = view.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)
    shapes = set()
    for number in (1, 2, 3, 4, 6):
        box = view.box_of(PointKey("A", 1, number))
        size = round(min(box.width(), box.height())) - 4
        left, top = round(box.left()) + 2, round(box.top()) + 2
        shapes.add(bytes(picture.copy(left, top, size, size).constBits()))
    assert len(shapes) == 5


@pytest.mark.parametrize("plan", ["single", "kiln_fan", "screw_pump", "dense"])
@pytest.mark.parametrize("size", [(200, 150), (620, 330), (900, 560), (1900, 1000)])
def test_every_cell_lies_in_the_view_and_is_found_there(request, shown, plan, size) -> None:
    bench = Bench(request.getfixturevalue(plan))
    view = shown(bench, size)
    for point in bench.model.state.plan.points_of(bench.model.seat.id):
        box = view.box_of(point.key)
        assert view.rect().contains(box.center().toPoint())
        assert view.point_at(box.center()).point.key == point.key


def test_angles_grow_upwards_and_stations_to_the_right(bench, shown) -> None:
    view = shown(bench)
    here = view.box_of(PointKey("A", 2, 2)).center()
    assert view.box_of(PointKey("A", 2, 3)).center().y() < here.y()
    assert view.box_of(PointKey("A", 3, 2)).center().x() > here.x()


def test_a_tap_chooses_the_cell_also_when_it_is_enlarged(bench, shown, qtbot) -> None:
    view = shown(bench)
    for factor in (1.0, 3.0):
        key = PointKey("A", 3, 3)
        view.zoom(factor, view.box_of(key).center())
        place = view.box_of(key).center().toPoint()
        with qtbot.waitSignal(view.point_chosen, timeout=1000) as chosen:
            qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=place)
        assert chosen.args == [key]


def test_hovering_tells_the_points_story(bench, shown) -> None:
    bench.press("110.012")
    bench.model.take_back("<b>chip</b>")
    view = shown(bench)
    at = view.box_of(PointKey("A", 1, 1)).center().toPoint()
    event = QHelpEvent(QHelpEvent.Type.ToolTip, at, view.mapToGlobal(at))
    QApplication.sendEvent(view, event)
    assert "110.012" in QToolTip.text()
    assert "&lt;b&gt;chip&lt;/b&gt;" in QToolTip.text()
    QToolTip.hideText()


def test_a_cell_shows_more_the_more_room_it_has(dense, shown) -> None:
    bench = Bench(dense)
    bench.press("110.012")
    view = shown(bench)
    key = PointKey("A", 1, 1)
    assert not view.look(view.cell(key), view.box_of(key)).has_line
    view.zoom(2.5, view.box_of(key).center())
    assert view.look(view.cell(key), view.box_of(key)).has_line
    view.zoom(2.0, view.box_of(key).center())
    assert view.look(view.cell(key), view.box_of(key)).has_value


def test_a_press_paints_only_the_cells_it_touches(dense, shown, monkeypatch) -> None:
    bench = Bench(dense)
    view = shown(bench)
    view.grab()
    painted = []
    monkeypatch.setattr(
        unrolled_map, "paint_cell", lambda _, cell, *__: painted.append(cell.view.point.key)
    )
    bench.press("110.012")
    view.show_points(bench.model.state, bench.model.seat, bench.model.points)
    view.grab()
    assert set(painted) == {PointKey("A", 1, 1), PointKey("A", 1, 2)}


def test_enlarged_it_follows_the_next_point_and_the_selected_one(dense, shown) -> None:
    bench = Bench(dense)
    view = shown(bench)
    view.zoom(6.0, QPointF(view.room().topRight()))

    def show() -> None:
        view.show_points(bench.model.state, bench.model.seat, bench.model.points)

    bench.press("110.012")
    show()
    assert view.room().contains(view.box_of(bench.model.state.cursor).center())
    bench.model.select(PointKey("A", 12, 24))
    show()
    assert view.room().contains(view.box_of(PointKey("A", 12, 24)).center())


# --- at the bench --------------------------------------------------------------------------------


@pytest.fixture
def opened(qtbot: QtBot, dress):
    views = []

    def open_it(bench: Bench) -> BenchView:
        view = BenchView(bench.model, dress(LIGHT, 1.0), settings=Settings(muted=True))
        qtbot.addWidget(view)
        view.resize(1180, 800)
        view.show()
        view.activateWindow()
        qtbot.waitUntil(view.isActiveWindow)
        views.append(view)
        return view

    yield open_it
    for view in views:
        view.shut()


def test_the_key_and_the_button_turn_to_the_map_and_back(bench, opened, qtbot) -> None:
    view = opened(bench)
    drawings = view.readings.drawings
    assert drawings.shaft.isVisible()
    qtbot.mouseClick(drawings.switch, Qt.MouseButton.LeftButton)
    assert drawings.map.isVisible()
    assert not drawings.shaft.isVisible()
    qtbot.keyClick(view, Qt.Key.Key_U, Qt.KeyboardModifier.ControlModifier)
    assert drawings.shaft.isVisible()


def test_the_choice_stays_while_the_inspection_is_at_the_bench(bench, opened) -> None:
    first = opened(bench)
    first.readings.drawings.switch.click()
    bench.press("110.012")
    assert first.readings.drawings.is_map
    again = opened(bench)  # as after going to another place and coming back
    assert again.readings.drawings.is_map
    assert again.readings.drawings.map.cell(PointKey("A", 1, 1)).departure == "+12.0"


def test_the_arrow_keys_move_the_selection_over_the_map(bench, opened, qtbot) -> None:
    view = opened(bench)
    view.readings.drawings.show_map(on=True)
    bench.model.select(PointKey("A", 2, 2))
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_Right)
    qtbot.keyClick(view, Qt.Key.Key_Up)
    assert bench.model.selected_point.key == PointKey("A", 3, 3)
    cell = view.readings.drawings.map.cell(PointKey("A", 3, 3))
    assert cell.view.is_selected
    view.readings.drawings.map.setFocus()
    qtbot.keyClick(view.readings.drawings.map, Qt.Key.Key_Left)
    assert bench.model.selected_point.key == PointKey("A", 2, 3)


def test_a_tap_on_the_map_selects_and_tells_the_story(bench, opened, qtbot) -> None:
    bench.press("110.012")
    view = opened(bench)
    view.readings.drawings.show_map(on=True)
    grid = view.readings.drawings.map
    place = grid.box_of(PointKey("A", 1, 1)).center().toPoint()
    qtbot.mouseClick(grid, Qt.MouseButton.LeftButton, pos=place)
    assert bench.model.selected_point.key == PointKey("A", 1, 1)
    assert view.readings.story.isVisible()


def test_whole_shows_all_drawings_whole_again(bench, opened, qtbot) -> None:
    view = opened(bench)
    view.shaft.zoom(3.0)
    view.readings.end.zoom(3.0)
    qtbot.keyClick(view, Qt.Key.Key_0, Qt.KeyboardModifier.AltModifier)
    assert view.shaft.lens.is_whole
    assert view.readings.end.lens.is_whole


def test_the_reference_is_turned_to_and_said(bench, opened) -> None:
    bench.press("110.0125")
    view = opened(bench)
    drawings = view.readings.drawings
    drawings.show_map(on=True)
    assert drawings.map.cell(PointKey("A", 1, 1)).departure == "+12.5"
    drawings.reference.click()
    assert drawings.map.cell(PointKey("A", 1, 1)).departure == "−1.5"
    assert "middle" in drawings.reference.text()
