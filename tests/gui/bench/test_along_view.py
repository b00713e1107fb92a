from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.plots.along import AlongPlot, SizeMark, along_plot
from seatproof.core.units import Unit
from seatproof.gui.bench.along_view import AlongView
from seatproof.gui.shared.theme import DARK, LIGHT

pytestmark = [
    pytest.mark.qt_log_level_fail("WARNING"),
    pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints"),
]

SIZES = [(200, 150), (420, 460), (620, 300), (1900, 1000)]
CASES = [(size, scale, LIGHT) for size in SIZES for scale in (1.0, 2.0)] + [(SIZES[1], 1.0, DARK)]


def plot_of(state) -> AlongPlot:
    return along_plot(evaluate(state).seats[0])


@pytest.fixture
def along(qtbot: QtBot) -> AlongView:
    view = AlongView(LIGHT)
    qtbot.addWidget(view)
    view.resize(620, 300)
    view.show()
    return view


def in_view(view: AlongView, y: float) -> bool:
    _, (low, high) = view._view.viewRange()
    return low < y < high


@pytest.mark.parametrize(("size", "text_scale", "theme"), CASES)
@pytest.mark.parametrize("plan", ["kiln_fan", "screw_pump"])
def test_both_limits_are_in_view_at_every_size(
    request, qtbot: QtBot, dress, measure, plan, size, text_scale, theme
) -> None:
    view = AlongView(dress(theme, text_scale))
    qtbot.addWidget(view)
    view.resize(*size)
    view.show()
    state = measure(request.getfixturevalue(plan), 5, form=lambda _: -0.005)
    plot = plot_of(state)
    view.show_plot(plot, state.plan.unit, 1)
    view.grab()
    assert (view.width(), view.height()) == size
    assert in_view(view, view._items.lower.value())
    assert in_view(view, view._items.upper.value())


@pytest.mark.parametrize("count", [0, 1])
def test_with_nothing_or_one_value_the_limits_stand(along, measure, kiln_fan, count) -> None:
    along.show_plot(plot_of(measure(kiln_fan, count)), Unit.MM, 1)
    along.grab()
    # 110 k6: +3 and +25 µm (ISO 286-2)
    assert along._items.lower.value() == pytest.approx(3.0)
    assert along._items.upper.value() == pytest.approx(25.0)
    assert len(along._items.current.data) == count
    assert len(along._items.others.data) == 0


def test_without_a_plot_nothing_is_shown(along) -> None:
    along.show_plot(None)
    along.grab()
    assert not any(item.isVisible() for item in along._items.all())


def test_inches_are_shown_as_inches(along, measure, screw_pump) -> None:
    state = measure(screw_pump, 0)
    along.show_plot(plot_of(state), Unit.INCH, 1)
    along.grab()
    # 3 15/16 h7: 0 and -35 µm (ISO 286-2), in units of 0.0001 in of 2.54 µm each
    assert along._items.upper.value() == pytest.approx(0.0)
    assert along._items.lower.value() == pytest.approx(-35 / 2.54)
    assert "3.9375 in" in along._header.wordings[0]
    assert "0.0001 in" in along._header.wordings[0]
    (left, right), _ = along._view.viewRange()
    assert left < 1.5 < 4.25 < right  # the seat lies from 1 1/2 to 4 1/4 in


def test_identical_values_keep_the_axis(along, measure, kiln_fan) -> None:
    along.show_plot(plot_of(measure(kiln_fan, 30, form=lambda _: 0.012)), Unit.MM, 2)
    along.grab()
    assert along._items.others.data["y"] == pytest.approx(np.full(24, 12.0))
    assert in_view(along, 3.0)
    assert in_view(along, 25.0)


def test_values_far_outside_are_in_view(along, measure, kiln_fan) -> None:
    along.show_plot(plot_of(measure(kiln_fan, 2, form=lambda _: 0.080)), Unit.MM, 1)
    along.grab()
    assert in_view(along, 80.0)


@pytest.mark.parametrize("missing", [m for n in (1, 3, 5) for m in combinations(range(5), n)])
def test_stations_may_be_missing(along, measure, kiln_fan, missing) -> None:
    plan = kiln_fan.replace("orientations = 6", "orientations = 1")
    along.show_plot(plot_of(measure(plan, 5, skip=missing)), Unit.MM, 1)
    along.grab()
    assert len(along._items.current.data) == (0 not in missing)
    assert len(along._items.others.data) == 4 - sum(number > 0 for number in missing)
    xs, _ = along._items.bars.getData()
    assert (0 if xs is None else len(xs)) == 2 * (5 - len(missing))


def test_a_value_that_is_not_finite_spoils_nothing(along) -> None:
    nan = float("nan")
    plot = AlongPlot.model_construct(
        nominal_mm=110.0,
        from_mm=150.0,
        to_mm=210.0,
        lower_um=3.0,
        upper_um=25.0,
        guard_um=2.5,
        sizes=(
            SizeMark(station=1, orientation=1, z_mm=158.0, departure_um=12.0),
            SizeMark.model_construct(station=1, orientation=2, z_mm=158.0, departure_um=nan),
        ),
        means=((158.0, 12.0), (180.0, nan)),
        line=(),
    )
    along.show_plot(plot, Unit.MM, 1)
    along.grab()
    assert len(along._items.current.data) == 1
    assert np.isfinite(along._items.bars.getData()).all()
    assert in_view(along, 12.0)


def test_updates_reuse_what_is_there(along, measure, dense) -> None:
    scene = along._area.scene()
    plots = [plot_of(measure(dense, count)) for count in (0, 1, 40)]
    for plot in plots:
        along.show_plot(plot, Unit.MM, 1)
        along.grab()
    before = len(scene.items())
    for number in range(200):
        along.show_plot(plots[number % 3], Unit.MM, 1 + number % 12)
    along.grab()
    assert len(scene.items()) == before


def test_a_new_value_inside_leaves_the_zoom_alone(along, measure, kiln_fan) -> None:
    along.show_plot(plot_of(measure(kiln_fan, 5)), Unit.MM, 1)
    along._view.scaleBy((0.2, 0.2))
    zoomed = along._view.viewRange()
    along.show_plot(plot_of(measure(kiln_fan, 6)), Unit.MM, 1)
    assert np.allclose(along._view.viewRange(), zoomed)


def test_a_double_click_fits_a_zoomed_plot(along, qtbot, measure, kiln_fan) -> None:
    along.show_plot(plot_of(measure(kiln_fan, 30)), Unit.MM, 1)
    whole = along._view.viewRange()
    along._view.scaleBy((0.2, 0.2))
    qtbot.mouseDClick(along._area.viewport(), Qt.MouseButton.LeftButton)
    assert np.allclose(along._view.viewRange(), whole)


def test_figures_on_the_axis_have_typographic_signs(along) -> None:
    axis = along._area.plotItem.getAxis("left")
    assert axis.tickStrings([-10, 0, 5], 1.0, 5.0) == ["−10", "0", "+5"]
