"""The plot of diameter along the seat on paper: limits, guard band, sizes, means, taper line."""

from typing import Final

from seatproof.core import figures
from seatproof.core.plots.along import AlongPlot, SizeMark
from seatproof.core.plots.steps import ticks
from seatproof.core.sheet.figure import (
    BOLD,
    HAIR,
    THIN,
    Figure,
    at,
    from_scale,
    from_unit,
    in_scale,
    in_unit,
    scale_number,
)
from seatproof.core.sheet.markers import draw_polygon
from seatproof.core.sheet.style import INK, PAPER, RULE, SOFT
from seatproof.core.units import Unit
from seatproof.core.words import Words

_TITLE_ROOM: Final = 13.0
_STATION_ROOM: Final = 12.0
_LEFT: Final = 44.0
_RIGHT: Final = 4.0
_BOTTOM: Final = 25.0
_Y_TICKS: Final = 9
_X_TICKS: Final = 5
_HATCH_STEP: Final = 4.0
_DOT: Final = 1.5
_LEAST_STATION_STEP: Final = 9.0  # closer station numbers would run into each other


class AlongFigure(Figure):
    """Departures from the nominal diameter over the axial position."""

    def __init__(
        self, plot: AlongPlot, unit: Unit, say: Words, width: float, height: float
    ) -> None:
        super().__init__(say("Diameter along the seat"), width, height)
        self._say = say
        self._plot = plot
        self._unit = unit
        self._left, self._bottom = _LEFT, _BOTTOM
        self._right = width - _RIGHT
        self._top = height - _TITLE_ROOM - _STATION_ROOM
        self._y_ticks = _roomy_ticks(plot, unit)
        length_mm = plot.to_mm - plot.from_mm
        self._z_mm = (plot.from_mm - 0.05 * length_mm, plot.to_mm + 0.05 * length_mm)

    def draw(self) -> None:
        self._draw_title()
        self._draw_guard_bands()
        self._draw_axes()
        self._draw_limits()
        self._draw_line()
        for size in self._plot.sizes:
            self._draw_size(size)
        for z_mm, departure_um in self._plot.means:
            x, y = self._x(z_mm), self._y(departure_um)
            self.canv.setLineWidth(BOLD)
            self.canv.line(at(x - 5.0), y, at(x + 5.0), y)

    def _x(self, z_mm: float) -> float:
        low, high = self._z_mm
        return at(self._left + (z_mm - low) / (high - low) * (self._right - self._left))

    def _y(self, departure_um: float) -> float:
        low, high = self._y_ticks[0], self._y_ticks[-1]
        share = (in_scale(departure_um, self._unit) - low) / (high - low)
        return at(self._bottom + share * (self._top - self._bottom))

    def _draw_axes(self) -> None:
        self.canv.setStrokeColor(RULE)
        self.canv.setLineWidth(HAIR)
        for value in self._y_ticks:
            departure_um = from_scale(value, self._unit)
            y = self._y(departure_um)
            self.canv.line(self._left, y, self._right, y)
            text = scale_number(departure_um, self._unit, sign=True)
            self._letter(self._left - 3.0, y - 2.2, text, anchor=1.0)
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(THIN)
        self.canv.rect(
            self._left,
            self._bottom,
            at(self._right - self._left),
            at(self._top - self._bottom),
            stroke=1,
            fill=0,
        )
        low, high = (in_unit(edge, self._unit) for edge in self._z_mm)
        for value in ticks(low, high, _X_TICKS):
            if low <= value <= high:
                x = self._x(from_unit(value, self._unit))
                self.canv.line(x, self._bottom, x, self._bottom - 3.0)
                text = figures.position(from_unit(value, self._unit), self._unit)
                self._letter(x, self._bottom - 10.5, text, anchor=0.5)
        middle = (self._left + self._right) / 2.0
        label = self._say("z from the datum face, {unit}", unit=f"{self._unit}")
        self._letter(middle, 4.0, label, anchor=0.5)
        self._draw_station_numbers()
        self.canv.saveState()
        self.canv.translate(7.0, at((self._bottom + self._top) / 2.0))
        self.canv.rotate(90)
        unit = figures.small_unit(self._unit)
        label = self._say("departure from nominal (diametral), {unit}", unit=unit)
        self._letter(0.0, 0.0, label, anchor=0.5)
        self.canv.restoreState()

    def _draw_station_numbers(self) -> None:
        stations = {size.station: size.z_mm for size in self._plot.sizes}
        last_x = float("-inf")
        self._letter(self._left - 3.0, self._top + 5.0, self._say("station"), anchor=1.0, tone=SOFT)
        for station, z_mm in sorted(stations.items(), key=lambda pair: pair[1]):
            x = self._x(z_mm)
            self.canv.setStrokeColor(INK)
            self.canv.setLineWidth(HAIR)
            self.canv.line(x, self._top, x, self._top + 3.0)
            if x - last_x >= _LEAST_STATION_STEP:
                self._letter(x, self._top + 5.0, str(station), anchor=0.5, tone=SOFT)
                last_x = x

    def _draw_limits(self) -> None:
        plot, unit = self._plot, figures.small_unit(self._unit)
        self.canv.setStrokeColor(INK)
        for name, limit_um, lift in (
            ("upper limit {limit}", plot.upper_um, 2.5),
            ("lower limit {limit}", plot.lower_um, -6.5),
        ):
            y = self._y(limit_um)
            self.canv.setLineWidth(BOLD)
            self.canv.line(self._left, y, self._right, y)
            number = scale_number(limit_um, self._unit, sign=True)
            text = self._say(name, limit=f"{number} {unit}")
            self._letter(self._right - 3.0, y + lift, text, anchor=1.0, backed=True)

    def _draw_guard_bands(self) -> None:
        """Hatch the guard bands, where a value proves neither conformity nor the opposite."""
        plot = self._plot
        if plot.guard_um <= 0.0:
            return
        for limit_um in (plot.upper_um, plot.lower_um):
            low, high = self._y(limit_um - plot.guard_um), self._y(limit_um + plot.guard_um)
            self._hatch(low, high)
            self.canv.saveState()
            self.canv.setLineWidth(THIN)
            self.canv.setStrokeColor(INK)
            self.canv.setDash([3.0, 2.0])
            for y in (low, high):
                self.canv.line(self._left, y, self._right, y)
            self.canv.restoreState()

    def _hatch(self, low: float, high: float) -> None:
        self.canv.saveState()
        path = self.canv.beginPath()
        path.rect(self._left, low, at(self._right - self._left), at(high - low))
        self.canv.clipPath(path, stroke=0, fill=0)
        self.canv.setLineWidth(HAIR)
        self.canv.setStrokeColor(RULE)
        rise = high - low
        x = self._left - rise
        while x < self._right:
            self.canv.line(at(x), low, at(x + rise), high)
            x += _HATCH_STEP
        self.canv.restoreState()

    def _draw_line(self) -> None:
        if not self._plot.line:
            return
        (z_start, start_um), (z_end, end_um) = self._plot.line
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(THIN * 1.5)
        self.canv.line(self._x(z_start), self._y(start_um), self._x(z_end), self._y(end_um))

    def _draw_size(self, size: SizeMark) -> None:
        """Draw a local size: a dot, or a triangle that points to where it left the limits."""
        x, y = self._x(size.z_mm), self._y(size.departure_um)
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(THIN)
        if self._plot.lower_um <= size.departure_um <= self._plot.upper_um:
            self.canv.setFillColor(PAPER)
            self.canv.circle(x, y, _DOT, stroke=1, fill=1)
            return
        self.canv.setFillColor(INK)
        up = 2.6 if size.departure_um > self._plot.upper_um else -2.6
        draw_polygon(self.canv, [(x - 2.2, y - up / 2), (x + 2.2, y - up / 2), (x, y + up)])


def _roomy_ticks(plot: AlongPlot, unit: Unit) -> tuple[float, ...]:
    """Return ticks that leave room beyond the outermost value, for a limit's lettering."""
    low, high = (in_scale(edge, unit) for edge in plot.extent_um())
    room = 0.09 * (high - low)
    return ticks(low - room, high + room, _Y_TICKS)
