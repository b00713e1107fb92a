"""The unrolled seat: a disc for every point, filled above the mean and open below it."""

from collections.abc import Sequence
from math import sqrt

import numpy as np
from PySide6.QtCore import QMarginsF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from seatproof.core import figures
from seatproof.core.plots.unrolled import UnrolledMap
from seatproof.core.units import Unit
from seatproof.gui.review.figures.taper import station_words
from seatproof.gui.shared.axes import axes_margins, paint_axes
from seatproof.gui.shared.figure import Canvas, Extent, Figure, Spots, clipped
from seatproof.gui.shared.legend import Entry, PaintMark
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.theme import Theme


class MapFigure(Figure):
    """Paints an `UnrolledMap`; a disc's area is as large as the departure."""

    def __init__(self, unrolled: UnrolledMap, title: str, unit: Unit) -> None:
        self.title = title
        self._map, self._unit = unrolled, unit
        sense = say("diametral") if unrolled.diametral else say("radial")
        self.notes = (
            say(
                "Departure from the mean of the seat ({sense}); a disc's area is its amount; "
                "largest {largest}.",
                sense=sense,
                largest=figures.small(unrolled.largest_um, unit),
            ),
        )

    def extent(self) -> Extent:
        beside = 0.08 * (self._map.to_mm - self._map.from_mm)
        angles = [point.angle_deg for point in self._map.points]
        low, high = min([0.0, *angles]), max([self._map.span_deg * 0.8, *angles])
        over = 0.12 * (high - low)
        return Extent(self._map.from_mm - beside, self._map.to_mm + beside, low - over, high + over)

    def margins(self, metrics: QFontMetricsF) -> QMarginsF:
        return axes_margins(metrics, "360°")

    def legend(self) -> Sequence[Entry]:
        return (
            Entry(_disc(filled=True), wording("larger than the mean")),
            Entry(_disc(filled=False), wording("smaller than the mean")),
        )

    def spots(self) -> Spots:
        points = self._map.points

        def story(number: int) -> str:
            point = points[number]
            lines = [station_words(point.key.station, point.angle_deg)]
            away = figures.small(point.departure_um, self._unit, sign=True)
            said = say("{departure} from the mean", departure=away)
            if point.size_mm is None:
                lines.append(f"({said})")
            else:
                size = again(figures.size_unit(point.size_mm, self._unit))
                lines.append(f"{size} ({said})")
            return "\n".join(lines)

        return Spots(
            np.array([point.z_mm for point in points]),
            np.array([point.angle_deg for point in points]),
            story,
        )

    def paint(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        paint_axes(
            painter,
            canvas,
            theme,
            (say("distance from the datum face, {unit}", unit=self._unit), say("orientation")),
            (lambda z: figures.position(z, self._unit), lambda angle: f"{angle:g}°"),
            at_y=tuple(sorted({point.angle_deg for point in self._map.points})),
        )
        clipped(painter, canvas)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        points = self._map.points
        if not points:
            return
        rows = len({point.angle_deg for point in points})
        columns = len({point.z_mm for point in points})
        scale = (self.extent().width / canvas.shown.width) ** 0.5
        most = 0.42 * scale * min(canvas.area.height() / rows, canvas.area.width() / columns)
        most = min(most, 2.2 * canvas.em * scale)
        lettered = most > 1.5 * canvas.em
        for point in points:
            radius = max(most * sqrt(abs(point.departure_um) / self._map.largest_um), 1.5)
            place = canvas.at(point.z_mm, point.angle_deg)
            painter.setPen(QPen(theme.ink, 1.4))
            painter.setBrush(theme.inside if point.departure_um > 0 else theme.paper)
            painter.drawEllipse(place, radius, radius)
            if lettered:
                text = again(figures.small_number(point.departure_um, self._unit, sign=True))
                painter.setPen(theme.ink)
                box = QRectF(
                    place.x() - 4 * canvas.em, place.y() + radius, 8 * canvas.em, canvas.em
                )
                painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, text)


def _disc(*, filled: bool) -> PaintMark:
    def paint(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
        painter.setPen(QPen(theme.ink, 1.4))
        painter.setBrush(theme.inside if filled else theme.paper)
        painter.drawEllipse(centre, 0.36 * size, 0.36 * size)

    return paint
