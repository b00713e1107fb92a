"""A picture of many marks that is kept, and in which only what has changed is painted again.

Painting thousands of marks at every press would hold the window up; nearly all of them are as they
were.
"""

from collections.abc import Callable, Iterable, Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPixmap

from seatproof.core.plan.points import PointKey
from seatproof.gui.bench.points import PointMark, PointView
from seatproof.gui.shared.marks import paint_point_mark
from seatproof.gui.shared.theme import Theme


class MarkLayer:
    """What lies under the ring of the next point: a background with a mark at every place.

    Parameters
    ----------
    background : callable
        Paints all that is not a mark.
    place_of : callable
        Returns where a point's mark lies, or None where it has no place in this picture.
    room : callable
        Returns the part of the picture beyond which no mark is painted.
    """

    def __init__(
        self,
        background: Callable[[QPainter], None],
        place_of: Callable[[PointKey], QPointF | None],
        room: Callable[[], QRectF],
    ) -> None:
        self._background = background
        self._place_of = place_of
        self._room = room
        self._picture: QPixmap | None = None
        self._changed: dict[PointKey, PointMark] = {}

    def forget(self) -> None:
        """Paint everything anew the next time: place, size, colours or the plan have changed."""
        self._picture = None

    def change(self, view: PointView, before: PointMark) -> None:
        """Take another mark of a point; it is painted with the next picture."""
        if view.mark is before:
            return
        # A mark covers the open one. Others may be larger than what takes their place.
        if before is PointMark.OPEN:
            self._changed[view.point.key] = view.mark
        else:
            self.forget()

    def paint(
        self,
        painter: QPainter,
        size: QSize,
        views: Sequence[PointView],
        mark_size: float,
        theme: Theme,
    ) -> None:
        """Paint the picture, with the marks as they are now; `views` are all points."""
        if self._picture is None:
            self._picture = self._whole(painter, size, views, mark_size, theme)
        elif self._changed:
            on_it = QPainter(self._picture)
            self._paint_marks(on_it, self._changed.items(), mark_size, theme)
            on_it.end()
        self._changed.clear()
        painter.drawPixmap(0, 0, self._picture)

    def _whole(
        self,
        painter: QPainter,
        size: QSize,
        views: Sequence[PointView],
        mark_size: float,
        theme: Theme,
    ) -> QPixmap:
        ratio = painter.device().devicePixelRatioF()
        picture = QPixmap(size * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        on_it = QPainter(picture)
        on_it.setFont(painter.font())
        self._background(on_it)
        marks = ((view.point.key, view.mark) for view in order_of_painting(views))
        self._paint_marks(on_it, marks, mark_size, theme)
        on_it.end()
        return picture

    def _paint_marks(
        self,
        painter: QPainter,
        marks: Iterable[tuple[PointKey, PointMark]],
        mark_size: float,
        theme: Theme,
    ) -> None:
        room = self._room()
        reached = room.adjusted(-mark_size, -mark_size, mark_size, mark_size)
        painter.setClipRect(room)
        for key, mark in marks:
            place = self._place_of(key)
            if place is not None and reached.contains(place):
                paint_point_mark(painter, mark, place, mark_size, theme)


def order_of_painting(views: Sequence[PointView]) -> list[PointView]:
    """Order points so that where there is no room the more telling mark lies on top."""
    return sorted(views, key=lambda view: (view.is_next, view.is_selected, _RANKS.index(view.mark)))


_RANKS = (
    PointMark.INSIDE,
    PointMark.OPEN,
    PointMark.MEASURED,
    PointMark.SKIPPED,
    PointMark.BELOW,
    PointMark.ABOVE,
)
