"""The side elevation of a shaft: where points lie on it, and which seat is enlarged beside it."""

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from seatproof.core.drawing.shaft import SideElevation, side_elevation
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.gui.bench.seat_detail import LEAST_MARK_PX, LETTERING, least_step, row_heights
from seatproof.gui.shared.drawing_view import paint_drawing
from seatproof.gui.shared.theme import Theme

_LARGEST_MARK_EM: Final = 0.85
_DRAWING_TEXT_EM: Final = 0.72  # lettering of drawings, in heights of a line of the widget's font


@dataclass(frozen=True, slots=True)
class Elevation:
    """A shaft's side elevation as it lies on the screen.

    Attributes
    ----------
    drawing : SideElevation
    at : QPointF
        Where its box begins.
    marks : dict from PointKey to QPointF
    pitch : float
        The least distance of neighbouring points.
    em : float
        The height of a line of the widget's lettering.
    """

    drawing: SideElevation
    at: QPointF
    marks: dict[PointKey, QPointF]
    pitch: float
    em: float

    def mark_size(self, factor: float) -> float:
        """Return how large a mark is where all is painted so many times enlarged."""
        largest = _LARGEST_MARK_EM * self.em / factor**LETTERING
        return max(LEAST_MARK_PX / factor, min(0.85 * self.pitch, largest))

    def seat_box(self, seat: Seat) -> QRectF:
        """Return the box round a seat."""
        placement = self.drawing.placement
        radius_mm = float(seat.nominal_mm) / 2
        left, right = placement.x(float(seat.from_mm)), placement.x(float(seat.to_mm))
        top = self.drawing.height - placement.y(radius_mm)
        bottom = self.drawing.height - placement.y(-radius_mm)
        return QRectF(left, top, right - left, bottom - top).translated(self.at)


def lay_out_elevation(plan: Plan, box: QRectF, em: float) -> Elevation:
    """Lay every point of the walk on the elevation of a shaft, drawn as large as a box allows."""
    drawing = side_elevation(plan, box.width(), box.height(), _DRAWING_TEXT_EM * em)
    at, placement = box.topLeft(), drawing.placement
    marks: dict[PointKey, QPointF] = {}
    pitch = box.width()
    for seat in plan.seats:
        radius_mm = float(seat.nominal_mm) / 2
        rows = row_heights(seat)
        columns = [placement.x(float(z_mm)) for z_mm in seat.stations_mm]
        height = 2 * radius_mm * placement.scale
        pitch = min(pitch, least_step(columns, pitch), height / len(rows))
        for station, x in enumerate(columns, start=1):
            for orientation, share in rows.items():
                y = drawing.height - placement.y(radius_mm * (2 * share - 1))
                marks[PointKey(seat.id, station, orientation)] = at + QPointF(x, y)
    return Elevation(drawing, at, marks, pitch, em)


def paint_elevation(
    painter: QPainter, elevation: Elevation, seat: Seat, field: QRectF, theme: Theme
) -> None:
    """Paint what of a shaft no press changes; `field` is where a seat of it is enlarged."""
    _paint_enlarging(painter, elevation.seat_box(seat), field, theme)
    painter.save()
    painter.translate(elevation.at)
    paint_drawing(painter, elevation.drawing, theme)
    painter.restore()


def shared_out(room: QRectF, em: float) -> tuple[QRectF | None, QRectF]:
    """Share the room between elevation and detail: one above the other, or side by side.

    Where there is not enough for both, the detail has it all: it shows what to do next.
    """
    gap = 0.6 * em
    is_wide = room.width() >= 1.8 * room.height()
    if is_wide and room.width() >= 34 * em and room.height() >= 10 * em:
        width = 0.58 * room.width()
        beside = QRectF(room.left(), room.top(), width, room.height())
        return beside, room.adjusted(width + gap, 0, 0, 0)
    if room.height() >= 21 * em and room.width() >= 22 * em:
        height = min(0.44 * room.height(), 0.45 * room.width())
        above = QRectF(room.left(), room.top(), room.width(), height)
        return above, room.adjusted(0, height + gap, 0, 0)
    return None, room


def _paint_enlarging(painter: QPainter, seat: QRectF, field: QRectF, theme: Theme) -> None:
    """Show which seat is enlarged: tinted, and with a pale beam down to its detail."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    tint = QColor(theme.band)
    painter.setBrush(tint)
    painter.drawRect(seat)
    if field.top() > seat.bottom():
        tint.setAlphaF(0.5)
        painter.setBrush(tint)
        beam = [seat.bottomLeft(), seat.bottomRight(), field.topRight(), field.topLeft()]
        painter.drawPolygon(QPolygonF(beam))
    painter.restore()
