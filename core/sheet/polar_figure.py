"""The polar form plot on paper: tolerance band, grid, curves and measured points of stations."""

from math import cos, radians, sin
from typing import Final

from seatproof.core import figures
from seatproof.core.plots.polar import PolarPlot, PolarTrace
from seatproof.core.sheet.figure import HAIR, THIN, Figure, at
from seatproof.core.sheet.fonts import FONTS
from seatproof.core.sheet.markers import DISTINCT, dashes, draw_marker, draw_polygon
from seatproof.core.sheet.style import INK, PAPER, RULE, SMALL, SOFT, TINT
from seatproof.core.units import Unit
from seatproof.core.words import Words

_REACH: Final = 1.34  # of the mean circle; deviations are scaled to stay within it
_LABEL_ROOM: Final = 17.0
_TITLE_ROOM: Final = 13.0
_LEGEND_LINE: Final = 9.5
_LEGEND_COLUMNS: Final = 3
_SPOKES_DEG: Final = tuple(range(0, 360, 30))
_MARKER: Final = 1.9


class PolarFigure(Figure):
    """A polar plot of some of a seat's stations, at the seat's common magnification."""

    def __init__(
        self,
        plot: PolarPlot,
        traces: tuple[PolarTrace, ...],
        unit: Unit,
        say: Words,
        width: float,
    ) -> None:
        lines = -(-len(traces) // _LEGEND_COLUMNS)
        super().__init__(
            say("Form at the stations (radial deviations)"),
            width,
            width + _TITLE_ROOM + lines * _LEGEND_LINE + 2.0,
        )
        self._plot = plot
        self._traces = traces
        self._unit = unit
        self._say = say
        self._radius = (width / 2.0 - _LABEL_ROOM) / _REACH
        self._x = width / 2.0
        self._y = self.height - _TITLE_ROOM - width / 2.0

    def draw(self) -> None:
        self._draw_title()
        self._draw_band()
        self._draw_grid()
        self._draw_datum()
        for number, trace in enumerate(self._traces):
            self._draw_curve(number, trace)
        for number, trace in enumerate(self._traces):
            self._draw_points(number, trace)
        self._draw_middle()
        self._draw_legend()

    def _place(self, angle_deg: float, relative: float) -> tuple[float, float]:
        angle = radians(angle_deg)
        distance = self._radius * relative
        return at(self._x + distance * cos(angle)), at(self._y + distance * sin(angle))

    def _draw_band(self) -> None:
        if self._plot.band_um is None:
            return
        inner, outer = (self._plot.relative(edge) for edge in self._plot.band_um)
        self.canv.setLineWidth(HAIR)
        self.canv.setStrokeColor(INK)
        for relative, tone in ((outer, TINT), (inner, PAPER)):
            self.canv.setFillColor(tone)
            self.canv.circle(self._x, self._y, at(self._radius * relative), stroke=1, fill=1)

    def _rings(self) -> list[int]:
        """Return the grid rings that lie in the plot, in steps from the mean circle."""
        step = self._plot.relative(self._plot.grid_um) - 1.0
        count = int((_REACH - 1.0) / step + 1e-9)
        return [ring for ring in range(-count, count + 1) if ring]

    def _draw_grid(self) -> None:
        self.canv.setStrokeColor(RULE)
        self.canv.setLineWidth(HAIR)
        rings = self._rings()
        relative = [self._plot.relative(ring * self._plot.grid_um) for ring in rings]
        for ring in relative:
            self.canv.circle(self._x, self._y, at(self._radius * ring), stroke=1, fill=0)
        for angle_deg in _SPOKES_DEG:
            start = self._place(angle_deg, min(relative, default=1.0))
            self.canv.line(*start, *self._place(angle_deg, _REACH))
            x, y = self._place(angle_deg, _REACH + 9.0 / self._radius)
            text = figures.angle(float(angle_deg))
            self._letter(x, y - 2.3, text, anchor=0.5, tone=SOFT)
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(THIN * 1.5)
        self.canv.circle(self._x, self._y, at(self._radius), stroke=1, fill=0)

    def _draw_datum(self) -> None:
        """Draw the ray from which angles are counted, with a triangle on the rim."""
        self.canv.setStrokeColor(INK)
        self.canv.setFillColor(INK)
        self.canv.setLineWidth(THIN)
        self.canv.line(*self._place(0.0, 0.0), *self._place(0.0, _REACH))
        tip = self._place(0.0, _REACH)
        draw_polygon(self.canv, [tip, (tip[0] - 5.0, tip[1] + 2.4), (tip[0] - 5.0, tip[1] - 2.4)])

    def _draw_curve(self, number: int, trace: PolarTrace) -> None:
        if not trace.curve_deg:
            return
        points = [
            self._place(angle_deg, self._plot.relative(deviation_um))
            for angle_deg, deviation_um in zip(trace.curve_deg, trace.curve_um, strict=True)
        ]
        path = self.canv.beginPath()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        path.close()
        self.canv.saveState()
        self.canv.setLineWidth(THIN)
        self.canv.setLineJoin(1)
        self.canv.setStrokeColor(INK)
        self.canv.setDash(dashes(number))
        self.canv.drawPath(path, stroke=1, fill=0)
        self.canv.restoreState()

    def _draw_points(self, number: int, trace: PolarTrace) -> None:
        for angle_deg, deviation_um in zip(trace.angles_deg, trace.deviations_um, strict=True):
            x, y = self._place(angle_deg, self._plot.relative(deviation_um))
            draw_marker(self.canv, number, x, y, _MARKER)

    def _draw_middle(self) -> None:
        """Say in the empty middle how far the deviations are magnified."""
        grid = figures.tolerance(self._plot.grid_um, self._unit)
        lines = [
            (self._say("magnified {times}×", times=str(self._plot.magnification)), FONTS.bold),
            (self._say("one ring = {grid}", grid=grid), FONTS.text),
            (self._say("bold circle: mean"), FONTS.text),
        ]
        if not self._traces:
            lines.insert(0, (self._say("no readings"), FONTS.bold))
        y = self._y - 12.0
        for text, font in lines:
            self._letter(self._x, y, text, anchor=0.5, font=font, backed=True)
            y -= SMALL + 1.5

    def _draw_legend(self) -> None:
        for number, trace in enumerate(self._traces):
            row, column = divmod(number, _LEGEND_COLUMNS)
            x = column * self.width / _LEGEND_COLUMNS + 4.0
            y = self.height - _TITLE_ROOM - self.width - 7.0 - row * _LEGEND_LINE
            self.canv.saveState()
            self.canv.setStrokeColor(INK)
            self.canv.setLineWidth(THIN)
            self.canv.setDash(dashes(number))
            self.canv.line(x, y + 2.3, x + 22.0, y + 2.3)
            self.canv.restoreState()
            draw_marker(self.canv, number, x + 11.0, y + 2.3, _MARKER)
            self._letter(x + 26.0, y, self._say.again(trace.label))


def polar_figures(plot: PolarPlot, unit: Unit, say: Words, width: float) -> list[PolarFigure]:
    """Spread the stations of a plot over as many figures as keep their markers distinct."""
    traces = plot.traces
    count = max(1, -(-len(traces) // DISTINCT))
    share = -(-len(traces) // count)
    return [
        PolarFigure(plot, traces[start : start + share], unit, say, width)
        for start in range(0, max(1, len(traces)), max(1, share))
    ]
