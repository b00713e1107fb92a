"""The taper plot: station means with U, the fitted line with its band, generatrices, limits."""

from collections.abc import Sequence
from functools import partial
from typing import Final

import numpy as np
from PySide6.QtCore import QMarginsF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen, QPolygonF

from seatproof.core import figures
from seatproof.core.plots.taper import TaperPlot
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.gui.shared.axes import axes_margins, paint_axes
from seatproof.gui.shared.figure import Canvas, Extent, Figure, Spots, clipped, polygon
from seatproof.gui.shared.legend import Entry
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.station_marks import ground_entry, station_colour, stroke_entry
from seatproof.gui.shared.theme import Theme

_BAR_PX: Final = 7.0
_DASHES: Final = (
    Qt.PenStyle.SolidLine,
    Qt.PenStyle.DashLine,
    Qt.PenStyle.DotLine,
    Qt.PenStyle.DashDotLine,
)


class TaperFigure(Figure):
    """Paints a `TaperPlot`; the generatrices only if they are wanted."""

    def __init__(
        self, plot: TaperPlot, title: str, unit: Unit, *, generatrices: bool = True
    ) -> None:
        self.title = title
        self._plot, self._unit = plot, unit
        self._lines = plot.generatrices if generatrices else ()
        notes = [
            say(
                "Departure from ⌀ {nominal} (diametral) over the distance from the datum face in "
                "{unit}.",
                nominal=f"{figures.position(plot.nominal_mm, unit)} {unit}",
                unit=unit,
            )
        ]
        if plot.expanded_um is not None:
            notes.append(
                say(
                    "Bars at the means: U = {expanded}, that of the size that is judged.",
                    expanded=figures.uncertainty(plot.expanded_um, unit),
                )
            )
        if plot.taper_um is not None:
            amount = figures.small(plot.taper_um, unit, sign=True)
            notes.append(
                say("Taper over the seat {taper}.", taper=amount)
                if plot.tolerance_um is None
                else say(
                    "Taper over the seat {taper}, tolerance {tolerance}.",
                    taper=amount,
                    tolerance=figures.tolerance(plot.tolerance_um, unit),
                )
            )
        self.notes = tuple(notes)

    def extent(self) -> Extent:
        plot = self._plot
        values = [value for _, _, value in plot.means]
        values += [value for one in plot.generatrices for value in one.departure_um]
        values += [value for _, value in plot.line]
        values += [limit for limit in (plot.lower_um, plot.upper_um) if limit is not None]
        values = values or [0.0]
        low, high = min(values), max(values)
        over = 0.12 * max(high - low, 1.0)
        beside = 0.04 * (plot.to_mm - plot.from_mm)
        return Extent(plot.from_mm - beside, plot.to_mm + beside, low - over, high + over)

    def margins(self, metrics: QFontMetricsF) -> QMarginsF:
        shown = self.extent()
        return axes_margins(metrics, max(map(self._figure, (shown.low, shown.high)), key=len))

    def legend(self) -> Sequence[Entry]:
        plot = self._plot
        entries = [Entry(stroke_entry(_limit_pen), wording("limit of size"), wide=True)]
        if plot.means:
            entries.append(Entry(stroke_entry(_mean_pen), wording("station mean, U"), wide=True))
        if plot.line:
            entries.append(Entry(stroke_entry(_line_pen), wording("fitted line"), wide=True))
        if len(plot.band_z_mm):
            entries.append(
                Entry(
                    ground_entry(lambda theme: QPen(theme.inside, 1), lambda theme: theme.band),
                    wording("95 % band of the line"),
                    wide=True,
                )
            )
        if plot.guard_um > 0:
            entries.append(
                Entry(
                    ground_entry(lambda theme: QPen(theme.edge, 1), lambda theme: theme.guard),
                    wording("guard band"),
                    wide=True,
                )
            )
        entries += [
            Entry(
                stroke_entry(partial(_orientation_pen, one.orientation)),
                figures.angle(one.angle_deg),
                wide=True,
            )
            for one in self._lines
        ]
        return entries

    def spots(self) -> Spots:
        plot, unit = self._plot, self._unit
        places: list[tuple[float, float, str]] = []
        for one in self._lines:
            for z_mm, value, station in zip(one.z_mm, one.departure_um, one.stations, strict=True):
                size = figures.size_unit(plot.nominal_mm + value / UM_PER_MM, unit)
                where = station_words(station, one.angle_deg)
                away = figures.small(value, unit, sign=True)
                local = say("local size {size} ({departure})", size=size, departure=away)
                places.append((z_mm, value, f"{where}\n{local}"))
        for station, z_mm, value in plot.means:
            size = figures.size_unit(plot.nominal_mm + value / UM_PER_MM, unit)
            lines = [
                say(
                    "station {station} at {z}",
                    station=str(station),
                    z=f"{figures.position(z_mm, unit)} {unit}",
                ),
                f"{say('mean')} {again(size)}",
            ]
            if plot.expanded_um is not None:
                expanded = again(figures.uncertainty(plot.expanded_um, unit))
                lines.append(f"U {expanded} ({again(plot.judged)})")
            places.append((z_mm, value, "\n".join(lines)))
        return Spots(
            np.array([x for x, _, _ in places]),
            np.array([y for _, y, _ in places]),
            lambda number: places[number][2],
        )

    def paint(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        plot = self._plot
        painter.setClipRect(canvas.area)
        for limit in (plot.lower_um, plot.upper_um):
            if limit is not None and plot.guard_um > 0:
                guard = QRectF(
                    canvas.at(canvas.shown.left, limit + plot.guard_um),
                    canvas.at(canvas.shown.right, limit - plot.guard_um),
                )
                painter.fillRect(guard, theme.guard)
        if len(plot.band_z_mm):
            band = polygon(
                canvas.xs(np.concatenate([plot.band_z_mm, plot.band_z_mm[::-1]])),
                canvas.ys(np.concatenate([plot.band_high_um, plot.band_low_um[::-1]])),
            )
            painter.setPen(QPen(theme.inside, 1))
            painter.setBrush(theme.band)
            painter.drawPolygon(band)
        painter.setClipping(False)
        paint_axes(
            painter,
            canvas,
            theme,
            (say("distance from the datum face, {unit}", unit=self._unit), self._upwards()),
            (lambda z: figures.position(z, self._unit), self._figure),
        )
        clipped(painter, canvas)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for limit, word in (
            (plot.lower_um, wording("lower limit {limit}")),
            (plot.upper_um, wording("upper limit {limit}")),
        ):
            if limit is None:
                continue
            painter.setPen(_limit_pen(theme))
            painter.drawLine(
                canvas.at(canvas.shown.left, limit), canvas.at(canvas.shown.right, limit)
            )
            size = figures.size_unit(plot.nominal_mm + limit / UM_PER_MM, self._unit)
            painter.setPen(theme.ink)
            below = limit == plot.upper_um
            place = canvas.at(canvas.shown.left, limit) + QPointF(
                0.5 * canvas.em, 1.0 * canvas.em if below else -0.3 * canvas.em
            )
            painter.drawText(place, say(word, limit=size))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for one in self._lines:
            painter.setPen(_orientation_pen(one.orientation, theme))
            painter.drawPolyline(polygon(canvas.xs(one.z_mm), canvas.ys(one.departure_um)))
        if plot.line:
            painter.setPen(_line_pen(theme))
            painter.drawPolyline(QPolygonF([canvas.at(z_mm, value) for z_mm, value in plot.line]))
        self._paint_means(painter, canvas, theme)

    def _paint_means(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        painter.setPen(_mean_pen(theme))
        half = self._plot.expanded_um
        for _, z_mm, value in self._plot.means:
            place = canvas.at(z_mm, value)
            painter.drawLine(place - QPointF(_BAR_PX, 0), place + QPointF(_BAR_PX, 0))
            if half is None:
                continue
            thin = _mean_pen(theme)
            thin.setWidthF(1.4)
            painter.setPen(thin)
            high, low = canvas.at(z_mm, value + half), canvas.at(z_mm, value - half)
            painter.drawLine(high, low)
            for end in (high, low):
                painter.drawLine(end - QPointF(4, 0), end + QPointF(4, 0))
            painter.setPen(_mean_pen(theme))

    def _figure(self, um: float) -> str:
        if self._unit is Unit.MM:
            return figures.received(f"{um:+g}" if um else "0")
        return figures.small_number(um, self._unit, sign=True)

    def _upwards(self) -> str:
        return say("departure from the nominal size, {unit}", unit=figures.small_unit(self._unit))


def station_words(station: int, angle_deg: float) -> str:
    """Say where a value lies: its station and its orientation."""
    said = say("station {station}", station=str(station))
    return f"{said} · {again(figures.angle(angle_deg))}"


def _limit_pen(theme: Theme) -> QPen:
    return QPen(theme.ink, 2.2 * theme.stroke)


def _mean_pen(theme: Theme) -> QPen:
    return QPen(theme.inside, 3.4)


def _line_pen(theme: Theme) -> QPen:
    return QPen(theme.inside, 1.8 * theme.stroke, Qt.PenStyle.DashLine)


def _orientation_pen(number: int, theme: Theme) -> QPen:
    dashes = _DASHES[(number - 1) % len(_DASHES)]
    return QPen(station_colour(number, theme), 1.2 * theme.stroke, dashes)
