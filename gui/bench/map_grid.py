"""The grid of a seat's map: where its cells, its lettering and its legend lie."""

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter

from seatproof.core import figures
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.units import Unit
from seatproof.gui.bench.map_cell import REDONE
from seatproof.gui.bench.point_legend import PointLegend, lay_out_legend
from seatproof.gui.bench.seat_detail import row_heights
from seatproof.gui.shared.legend import Entry
from seatproof.gui.shared.saying import again, wording
from seatproof.gui.shared.theme import Theme

_CENTRED: Final = Qt.AlignmentFlag.AlignCenter
_LARGEST_CELL_EM: Final = (17.0, 6.5)  # at the usual size; more would tear the grid apart
_LEAST_CELL_PX: Final = 1.0
_HIGH_EM: Final = 14.0  # from this height on there is room to say how far the stations are


@dataclass(frozen=True, slots=True)
class Grid:
    """Where the parts of the map lie, at its usual size.

    `whole` is the grid with the room for its edge lettering taken off; `columns` and `rows` count
    from its left and from its top.
    """

    seat: Seat
    caption: QRectF
    body: QRectF
    cell: tuple[float, float]
    rows: dict[int, int]
    angles: dict[int, str]
    stations: dict[int, tuple[str, str]]
    legend: PointLegend

    @property
    def size(self) -> tuple[float, float]:
        return self.cell[0] * len(self.stations), self.cell[1] * len(self.rows)

    def box(self, key: PointKey) -> QRectF:
        """Return the cell of a point, counted from the corner of the body."""
        width, height = self.cell
        corner = QPointF((key.station - 1) * width, self.rows[key.orientation] * height)
        return QRectF(self.body.topLeft() + corner, self.body.topLeft() + corner).adjusted(
            0, 0, width, height
        )


def lay_out_grid(seat: Seat, unit: Unit, rect: QRectF, font: QFont) -> Grid:
    """Lay out the map of a seat in a rectangle, with room for its lettering."""
    metrics = QFontMetricsF(font)
    em = metrics.height()
    margin = 0.4 * em
    room = QRectF(rect).adjusted(margin, margin, -margin, -margin)
    legend = lay_out_legend((seat,), room, metrics, (_redone_entry(font),))
    room.setBottom(legend.box.top())
    caption = QRectF(room.left(), room.top(), room.width(), 1.2 * em)
    angles = {
        number: figures.angle(angle) for number, angle in enumerate(seat.orientations_deg, start=1)
    }
    stations = {
        number: (str(number), again(f"{figures.position(z_mm, unit)} {unit}"))
        for number, z_mm in enumerate(seat.stations_mm, start=1)
    }
    left = max(metrics.horizontalAdvance(text) for text in angles.values()) + 1.6 * em
    body = room.adjusted(
        left, 1.2 * em + (2.7 if room.height() >= _HIGH_EM * em else 1.5) * em, 0, -0.2 * em
    )
    body.setSize(body.size().expandedTo(QSize(20, 20).toSizeF()))
    cell = (
        max(min(body.width() / len(stations), _LARGEST_CELL_EM[0] * em), _LEAST_CELL_PX),
        max(min(body.height() / len(angles), _LARGEST_CELL_EM[1] * em), _LEAST_CELL_PX),
    )
    ordered = sorted(row_heights(seat).items(), key=lambda pair: -pair[1])
    rows = {number: place for place, (number, _) in enumerate(ordered)}
    return Grid(seat, caption, body, cell, rows, angles, stations, legend)


def _redone_entry(font: QFont) -> Entry:
    def paint(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
        painter.setFont(font)
        painter.setPen(theme.ink)
        box = QRectF(centre.x() - size, centre.y() - size, 2 * size, 2 * size)
        painter.drawText(box, _CENTRED, REDONE)

    return Entry(paint, wording("measured again, or taken back"))
