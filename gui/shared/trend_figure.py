"""A seat over the years: the range of its local sizes at every inspection, with the limits."""

from collections.abc import Sequence
from datetime import UTC, datetime
from itertools import pairwise

import numpy as np
from PySide6.QtCore import QMarginsF, QPointF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from seatproof.core import figures
from seatproof.core.comparison.trend import Trend, TrendPoint
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.gui.shared.axes import axes_margins, paint_axes
from seatproof.gui.shared.figure import Canvas, Extent, Figure, Spots, clipped, polygon
from seatproof.gui.shared.legend import Entry, PaintMark
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.station_marks import stroke_entry
from seatproof.gui.shared.theme import Theme

_DAY_S = 86_400.0


class TrendFigure(Figure):
    """Paints a `Trend`; each inspection has a bar from its smallest to its largest local size."""

    def __init__(self, trend: Trend, title: str) -> None:
        self.title = title
        self._trend = trend
        self.notes = (
            say(
                "Departure from ⌀ {nominal} (diametral); bars from the smallest to the largest "
                "local size, mean across.",
                nominal=f"{figures.position(trend.nominal_mm, trend.unit)} {trend.unit}",
            ),
        )
        self._days = np.array([point.moment.timestamp() / _DAY_S for point in trend.points])

    def extent(self) -> Extent:
        points = self._trend.points
        values = [value for point in points for value in (point.smallest_um, point.largest_um)]
        for point in points:
            values += [one for one in (point.lower_um, point.upper_um) if one is not None]
        low, high = min(values), max(values)
        over = 0.12 * max(high - low, 1.0)
        first, last = float(self._days[0]), float(self._days[-1])
        beside = max(0.05 * (last - first), 1.0)
        return Extent(first - beside, last + beside, low - over, high + over)

    def margins(self, metrics: QFontMetricsF) -> QMarginsF:
        shown = self.extent()
        return axes_margins(metrics, max(map(self._figure, (shown.low, shown.high)), key=len))

    def legend(self) -> Sequence[Entry]:
        entries = [
            Entry(stroke_entry(_limit_pen), wording("limit of size then"), wide=True),
            Entry(_bar(strong=False), wording("an inspection")),
        ]
        if self._trend.this is not None:
            entries.append(Entry(_bar(strong=True), wording("this inspection"), strong=True))
        return entries

    def spots(self) -> Spots:
        points = self._trend.points
        return Spots(
            self._days,
            np.array([point.mean_um for point in points]),
            lambda number: self._story(points[number]),
        )

    def paint(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        paint_axes(
            painter,
            canvas,
            theme,
            (
                say("day of the inspection"),
                say("departure, {unit}", unit=figures.small_unit(self._trend.unit)),
            ),
            (_day, self._figure),
            at_x=tuple(map(float, self._days)),
        )
        clipped(painter, canvas)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        points = self._trend.points
        self._paint_limits(painter, canvas, theme)
        painter.setPen(QPen(theme.edge, 1))
        painter.drawPolyline(
            polygon(canvas.xs(self._days), canvas.ys([point.mean_um for point in points]))
        )
        for day, point in zip(self._days, points, strict=True):
            middle = canvas.at(float(day), point.mean_um)
            painter.setPen(_bar_pen(theme, strong=point.is_this))
            painter.drawLine(
                canvas.at(float(day), point.smallest_um), canvas.at(float(day), point.largest_um)
            )
            painter.drawLine(middle - QPointF(6, 0), middle + QPointF(6, 0))

    def _paint_limits(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        """Draw the limits that held at each inspection as steps; plans change over the years."""
        edges = [(float(one) + float(other)) / 2 for one, other in pairwise(self._days)]
        steps = [canvas.shown.left, *edges, canvas.shown.right]
        painter.setPen(_limit_pen(theme))
        for number, point in enumerate(self._trend.points):
            for limit in (point.lower_um, point.upper_um):
                if limit is not None:
                    painter.drawLine(
                        canvas.at(steps[number], limit), canvas.at(steps[number + 1], limit)
                    )

    def _story(self, point: TrendPoint) -> str:
        trend = self._trend

        def size(um: float) -> str:
            return again(figures.size(trend.nominal_mm + um / UM_PER_MM, trend.unit))

        lines = [
            f"{point.moment:%Y-%m-%d} · {point.sheet_number} · {again(point.verdict)}",
            f"{size(point.smallest_um)} … {size(point.largest_um)} {trend.unit}",
        ]
        for word, value in (
            ("roundness", point.roundness_um),
            ("ovality", point.ovality_um),
            ("taper", point.taper_um),
        ):
            if value is not None:
                lines.append(f"{again(word)} {again(figures.small(value, trend.unit))}")
        return "\n".join(lines)

    def _figure(self, um: float) -> str:
        if self._trend.unit is Unit.MM:
            return figures.received(f"{um:+g}" if um else "0")
        return figures.small_number(um, self._trend.unit, sign=True)


def _day(day: float) -> str:
    return f"{datetime.fromtimestamp(day * _DAY_S, UTC):%Y-%m-%d}"


def _limit_pen(theme: Theme) -> QPen:
    return QPen(theme.ink, 2.0 * theme.stroke)


def _bar_pen(theme: Theme, *, strong: bool) -> QPen:
    pen = QPen(theme.ink if strong else theme.inside, 4.0 if strong else 2.4)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen


def _bar(*, strong: bool) -> PaintMark:
    def paint(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
        painter.setPen(_bar_pen(theme, strong=strong))
        half = 0.5 * size
        painter.drawLine(centre - QPointF(0, half), centre + QPointF(0, half))
        painter.drawLine(centre - QPointF(0.4 * size, 0), centre + QPointF(0.4 * size, 0))

    return paint
