from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from pytestqt.qtbot import QtBot

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.plots.polar import PolarPlot, PolarTrace, polar_plot
from seatproof.core.units import Unit
from seatproof.gui.bench.polar_view import PolarView
from seatproof.gui.shared.theme import DARK, LIGHT

pytestmark = [
    pytest.mark.qt_log_level_fail("WARNING"),
    pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints"),
]

SIZES = [(200, 150), (420, 460), (900, 300), (1900, 1000)]
CASES = [(size, scale, LIGHT) for size in SIZES for scale in (1.0, 2.0)] + [(SIZES[1], 1.0, DARK)]


def plot_of(state) -> PolarPlot:
    return polar_plot(evaluate(state).seats[0])


@pytest.fixture
def polar(qtbot: QtBot) -> PolarView:
    view = PolarView(LIGHT)
    qtbot.addWidget(view)
    view.resize(420, 460)
    view.show()
    return view


def spots(view: PolarView) -> int:
    return len(view._items.others.data) + len(view._items.current.data)


@pytest.mark.parametrize(("size", "text_scale", "theme"), CASES)
def test_a_circle_is_a_circle_at_every_size(
    qtbot: QtBot, dress, measure, kiln_fan, size, text_scale, theme
) -> None:
    view = PolarView(dress(theme, text_scale))
    qtbot.addWidget(view)
    view.resize(*size)
    view.show()
    view.show_plot(plot_of(measure(kiln_fan, 30)), Unit.MM, 3)
    view.grab()
    width, height = view._view.viewPixelSize()
    assert width == pytest.approx(height, rel=1e-6)
    assert view.size().width() == size[0]
    assert view.size().height() == size[1]
    (left, right), (low, high) = view._view.viewRange()
    assert min(-left, right, -low, high) > 1.3  # all that the plot may hold is in view


@pytest.mark.parametrize("plot", [None, "empty"])
def test_nothing_measured_leaves_an_empty_plot(polar, measure, kiln_fan, plot) -> None:
    polar.show_plot(None if plot is None else plot_of(measure(kiln_fan, 0)))
    polar.grab()
    assert spots(polar) == 0


def test_both_ends_of_every_diameter_are_shown(polar, measure, dense) -> None:
    polar.show_plot(plot_of(measure(dense, 288)), Unit.MM, 4)
    polar.grab()
    assert len(polar._items.current.data) == 2 * 24
    assert len(polar._items.others.data) == 11 * 2 * 24


@pytest.mark.parametrize("missing", [m for n in (1, 2, 5, 6) for m in combinations(range(6), n)])
def test_orientations_may_be_missing(polar, measure, kiln_fan, missing) -> None:
    plan = kiln_fan.replace("stations = 5\n", "stations = 1\n")
    polar.show_plot(plot_of(measure(plan, 6, skip=missing)), Unit.MM, 1)
    polar.grab()
    assert spots(polar) == 2 * (6 - len(missing))


def test_identical_values_lie_on_the_mean_circle(polar, measure, kiln_fan) -> None:
    polar.show_plot(plot_of(measure(kiln_fan, 30, form=lambda _: 0.012)), Unit.MM, 1)
    polar.grab()
    places = polar._items.others.data
    assert np.hypot(places["x"], places["y"]) == pytest.approx(np.ones(len(places)), abs=1e-6)


def test_a_value_that_is_not_finite_spoils_nothing(polar) -> None:
    nan, inf = float("nan"), float("inf")
    trace = PolarTrace.model_construct(
        station=1,
        label="station 1",
        angles_deg=(0.0, 60.0, 120.0),
        deviations_um=(1.0, nan, -1.0),
        curve_deg=(0.0, 5.0, 10.0),
        curve_um=(1.0, inf, 1.0),
    )
    polar.show_plot(
        PolarPlot.model_construct(
            traces=(trace,), radius_mm=55.0, magnification=500, grid_um=5.0, band_um=None
        ),
        Unit.MM,
        1,
    )
    polar.grab()
    assert spots(polar) == 2
    xs, ys = polar._items.curves[0].getData()
    assert len(xs) == 3  # two points, and back to the first
    assert np.isfinite([*xs, *ys]).all()


def test_deviations_are_drawn_at_their_angle_and_magnified(polar) -> None:
    trace = PolarTrace(station=2, label="station 2", angles_deg=(90.0,), deviations_um=(11.0,))
    plot = PolarPlot(traces=(trace,), radius_mm=55.0, magnification=500, grid_um=5, band_um=None)
    polar.show_plot(plot, Unit.MM, 2)
    (spot,) = polar._items.current.points()
    # By hand: 500 · 0.011 mm / 55 mm = 0.1 of the radius, straight up.
    assert (spot.pos().x(), spot.pos().y()) == pytest.approx((0.0, 1.1), abs=1e-9)
    assert "station 2 · 90°" in spot.data()
    assert "+11.0 µm" in spot.data()


def test_magnification_and_grid_are_written_in_the_view(polar, measure, kiln_fan) -> None:
    plot = plot_of(measure(kiln_fan, 30))
    polar.show_plot(plot, Unit.MM, 1)
    assert f"{plot.magnification}×" in polar._header.wordings[0]
    assert all(f"{plot.magnification}×" in wording for wording in polar._header.wordings)


def test_updates_reuse_what_is_there(polar, measure, kiln_fan) -> None:
    scene = polar._area.scene()
    states = [measure(kiln_fan, count) for count in (0, 1, 7, 30)]
    for state in states:
        polar.show_plot(plot_of(state), Unit.MM, 2)
    polar.grab()
    before = len(scene.items())
    for number in range(200):
        polar.show_plot(plot_of(states[number % 4]), Unit.MM, 1 + number % 5)
    polar.grab()
    assert len(scene.items()) == before


def test_a_double_click_fits_a_zoomed_plot(polar, qtbot, measure, kiln_fan) -> None:
    polar.show_plot(plot_of(measure(kiln_fan, 30)), Unit.MM, 1)
    whole = polar._view.viewRange()
    polar._view.scaleBy((0.2, 0.2))
    assert polar._view.viewRange() != whole
    qtbot.mouseDClick(polar._area.viewport(), Qt.MouseButton.LeftButton)
    assert np.allclose(polar._view.viewRange(), whole)


def test_no_menu_of_the_plotting_library_appears(polar) -> None:
    assert not polar._view.menuEnabled()
    assert polar._area.scene().contextMenu == []


def test_the_current_station_leads_the_legend(polar, measure, dense) -> None:
    polar.show_plot(plot_of(measure(dense, 288)), Unit.MM, 9)
    entries = polar._legend._entries
    assert entries[0].word == "station 9"
    assert entries[0].strong
    assert polar._view.mapSceneToView(QPointF(0, 0)) is not None
