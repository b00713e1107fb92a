"""The plots on paper: what is drawn lies where the scales say."""

from io import BytesIO
from math import atan2, degrees, hypot
from typing import Any

import pytest
from reportlab.pdfgen.canvas import Canvas

from seatproof.core.plots.along import AlongPlot, SizeMark
from seatproof.core.plots.polar import PolarPlot, PolarTrace
from seatproof.core.sheet import polar_figure
from seatproof.core.sheet.along_figure import AlongFigure
from seatproof.core.sheet.figure import scale_number
from seatproof.core.sheet.fonts import register_fonts
from seatproof.core.sheet.markers import DISTINCT
from seatproof.core.sheet.polar_figure import PolarFigure, polar_figures
from seatproof.core.units import Unit
from seatproof.core.wording.words import words_of

ENGLISH = words_of("en")


class Recorder(Canvas):
    """A canvas that notes the texts and circles it is asked to draw."""

    def __init__(self) -> None:
        register_fonts()
        self.texts: list[tuple[str, float, float]] = []
        self.circles: list[tuple[float, float, float]] = []
        super().__init__(BytesIO())

    def drawString(self, x: float, y: float, text: str, *rest: Any, **more: Any) -> None:  # noqa: N802 - reportlab's name
        self.texts.append((text, x, y))
        super().drawString(x, y, text, *rest, **more)

    def circle(self, x_cen: float, y_cen: float, r: float, *rest: Any, **more: Any) -> None:
        self.circles.append((x_cen, y_cen, r))
        super().circle(x_cen, y_cen, r, *rest, **more)

    def at(self, wanted: str) -> tuple[float, float]:
        ((_, x, y),) = [entry for entry in self.texts if entry[0] == wanted]
        return x, y


def along(sizes: tuple[tuple[float, float], ...], upper_um: float = 25.0) -> AlongPlot:
    return AlongPlot(
        nominal_mm=110.0,
        from_mm=150.0,
        to_mm=210.0,
        lower_um=3.0,
        upper_um=upper_um,
        guard_um=2.5,
        sizes=tuple(
            SizeMark(station=number, orientation=1, z_mm=z_mm, departure_um=departure_um)
            for number, (z_mm, departure_um) in enumerate(sizes, start=1)
        ),
        means=sizes,
        line=((150.0, 10.0), (210.0, 20.0)),
    )


def drawn(figure: Any) -> Recorder:
    canvas = Recorder()
    figure.drawOn(canvas, 0, 0)
    return canvas


def test_dot_lies_at_the_height_that_the_axis_gives_it() -> None:
    canvas = drawn(AlongFigure(along(((160.0, 10.0), (200.0, 20.0))), Unit.MM, ENGLISH, 270, 250))
    (x_160, y_10, _), (x_200, y_20, _) = canvas.circles
    # Figures are centred on their tick: their baseline is 2.2 points lower.
    assert canvas.at("+10")[1] == pytest.approx(y_10 - 2.2, abs=0.01)
    assert canvas.at("+20")[1] == pytest.approx(y_20 - 2.2, abs=0.01)
    assert canvas.at("160")[0] < x_160 < canvas.at("160")[0] + 20
    assert canvas.at("200")[0] < x_200 < canvas.at("200")[0] + 20
    assert canvas.at("160")[0] - x_160 == pytest.approx(canvas.at("200")[0] - x_200, abs=0.01)


def test_axis_of_an_inch_plan_shows_inches() -> None:
    # 10.16 µm are 0.0004 in, and 152.4 mm are 6 in.
    canvas = drawn(
        AlongFigure(along(((152.4, 10.16), (203.2, 10.16))), Unit.INCH, ENGLISH, 270, 250)
    )
    (x, y, _), *_ = canvas.circles
    assert canvas.at("+0.0004")[1] == pytest.approx(y - 2.2, abs=0.01)
    assert canvas.at("6")[0] < x < canvas.at("6")[0] + 6
    texts = [text for text, _, _ in canvas.texts]
    assert "departure from nominal (diametral), in" in texts
    assert "z from the datum face, in" in texts
    assert not any("µm" in text for text in texts)


def test_size_outside_the_limits_is_no_dot() -> None:
    canvas = drawn(
        AlongFigure(along(((160.0, 10.0), (180.0, 26.0), (200.0, 2.0))), Unit.MM, ENGLISH, 270, 250)
    )
    assert len(canvas.circles) == 1


def test_limits_are_named_with_their_departure() -> None:
    canvas = drawn(AlongFigure(along(((160.0, 10.0),)), Unit.MM, ENGLISH, 270, 250))
    assert canvas.at("upper limit +25 µm")
    assert canvas.at("lower limit +3 µm")


def test_point_lies_where_angle_and_magnification_put_it(monkeypatch: pytest.MonkeyPatch) -> None:
    placed: list[tuple[float, float]] = []
    monkeypatch.setattr(
        polar_figure, "draw_marker", lambda canvas, number, x, y, radius: placed.append((x, y))
    )
    trace = PolarTrace(
        station=1, label="station 1", angles_deg=(0.0, 90.0, 200.0), deviations_um=(0.0, 5.0, -5.0)
    )
    plot = PolarPlot(traces=(trace,), radius_mm=55.0, magnification=2000, grid_um=2.0, band_um=None)
    drawn(PolarFigure(plot, plot.traces, Unit.MM, ENGLISH, 240))
    zero, up, down = placed[:3]  # the fourth is the legend's
    centre = 120.0, up[1] - (up[1] - zero[1])
    radius = zero[0] - centre[0]
    # By hand: 2000 · 0.005 mm are 10 mm on a radius of 55 mm.
    assert hypot(up[0] - centre[0], up[1] - centre[1]) / radius == pytest.approx(65 / 55, abs=1e-3)
    assert hypot(down[0] - centre[0], down[1] - centre[1]) / radius == pytest.approx(
        45 / 55, abs=1e-3
    )
    assert degrees(atan2(up[1] - centre[1], up[0] - centre[0])) == pytest.approx(90, abs=0.05)
    turn = degrees(atan2(down[1] - centre[1], down[0] - centre[0])) % 360
    assert turn == pytest.approx(200, abs=0.05)


@pytest.mark.parametrize("stations", [0, 1, 6, 7, 12, 100])
def test_stations_of_one_plot_have_distinct_markers(stations: int) -> None:
    traces = tuple(
        PolarTrace(station=n, label=f"station {n}", angles_deg=(), deviations_um=())
        for n in range(1, stations + 1)
    )
    plot = PolarPlot(traces=traces, radius_mm=55.0, magnification=2000, grid_um=2.0, band_um=None)
    canvases = [drawn(figure) for figure in polar_figures(plot, Unit.MM, ENGLISH, 240)]
    named = [
        [text for text, _, _ in canvas.texts if text.startswith("station ")] for canvas in canvases
    ]
    assert [name for names in named for name in names] == [trace.label for trace in traces]
    assert max(map(len, named)) <= DISTINCT


@pytest.mark.parametrize(
    ("length_um", "unit", "text"),
    [
        (-5.0, Unit.MM, "−5"),
        (2.5, Unit.MM, "+2.5"),
        (0.0, Unit.MM, "0"),
        (-25.4, Unit.INCH, "−0.001"),
        (5.08, Unit.INCH, "+0.0002"),
    ],
)
def test_number_of_a_scale_is_short(length_um: float, unit: Unit, text: str) -> None:
    assert scale_number(length_um, unit, sign=True) == text
