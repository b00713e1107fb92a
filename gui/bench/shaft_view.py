"""The shaft with every point of the walk: where one stands, and where the gauge goes next.

A side elevation to scale shows the whole shaft; the current seat stands beside it enlarged, so that
the next point is found at once and every point can be hit. The current seat is that of the selected
point, otherwise that of the next one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from math import hypot, inf
from typing import Final

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from seatproof.core.drawing.shaft import SideElevation, side_elevation
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.plan.seat import Seat
from seatproof.gui.bench.mark_layer import MarkLayer
from seatproof.gui.bench.points import PointMark, PointView
from seatproof.gui.bench.seat_detail import (
    LEAST_MARK_PX,
    SeatDetail,
    lay_out_detail,
    least_step,
    paint_detail,
    paint_ground,
    place_text,
    row_heights,
)
from seatproof.gui.shared.drawing_view import paint_drawing
from seatproof.gui.shared.legend import Entry, Placed, lay_out, legend_height, paint_legend
from seatproof.gui.shared.marks import paint_next_ring, paint_point_mark, paint_selection
from seatproof.gui.shared.theme import MM_PER_INCH, TOUCH_MM, Theme

_LARGEST_ELEVATION_MARK_EM: Final = 0.85
_DRAWING_TEXT_EM: Final = 0.72  # lettering of drawings, in heights of a line of the widget's font


@dataclass(frozen=True, slots=True)
class _Layout:
    """Everything that depends on the size, the font, the plan and the current seat."""

    elevation: SideElevation | None
    elevation_at: QPointF
    elevation_marks: dict[PointKey, QPointF]
    elevation_mark_px: float
    seat_box: QRectF | None
    detail: SeatDetail
    legend: tuple[Placed, ...]
    legend_box: QRectF


class ShaftView(QWidget):
    """Shows a plan's shaft and its points; everything shown is given, nothing is decided here.

    Signals
    -------
    point_chosen(PointKey)
        A point was clicked, touched, or reached with the arrow keys.
    """

    point_chosen = Signal(object)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._plan: Plan | None = None
        self._views: tuple[PointView, ...] = ()
        self._seat_id: str | None = None
        self._layout_now: _Layout | None = None
        self._special: tuple[PointView, ...] = ()  # the next point and the selected one
        self._of_shaft = MarkLayer(self._paint_shaft, self._on_shaft)
        self._of_seat = MarkLayer(self._paint_seat, self._on_seat)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Shaft with its points")

    def show_plan(self, plan: Plan | None) -> None:
        """Show a plan's shaft, with no points on it yet; None for none."""
        self._plan = plan
        self.show_points(())

    def show_points(self, views: tuple[PointView, ...], seat_id: str | None = None) -> None:
        """Show points of the plan's walk, in its order; not all need to be there.

        `seat_id` names the seat that is shown enlarged; without it, it is that of the selected
        point or of the next.
        """
        before = self._current_seat()
        self._take_views(views)
        self._seat_id = seat_id
        if self._current_seat() is not before or not views:
            self._layout_now = None
        following = next(self._next(), None)
        self.setAccessibleDescription(
            f"next: seat {following.point.seat_id}, {place_text(following)}" if following else ""
        )
        self.update()

    def _take_views(self, views: tuple[PointView, ...]) -> None:
        """Take views, and note which marks have changed: with thousands few do."""
        had = self._views
        self._views = views
        if len(had) != len(views):
            self._of_shaft.forget()
            self._of_seat.forget()
            self._special = tuple(v for v in views if v.is_next or v.is_selected)
            return
        special = {view.point.key: view for view in self._special}
        for old, new in zip(had, views, strict=True):
            if old is not new:
                if old.point.key != new.point.key:
                    self._views = ()
                    self._take_views(views)
                    return
                self._of_shaft.change(new, old.mark)
                self._of_seat.change(new, old.mark)
                special[new.point.key] = new
        self._special = tuple(v for v in special.values() if v.is_next or v.is_selected)

    def point_at(self, position: QPointF) -> PointView | None:
        """Return the point nearest to a position, if it is within a finger's width of it."""
        reach = TOUCH_MM / 2 / MM_PER_INCH * self.logicalDpiX()
        nearest = min(
            (
                (hypot(at.x() - position.x(), at.y() - position.y()), view)
                for at, view in self._hits()
            ),
            key=lambda hit: hit[0],
            default=None,
        )
        return nearest[1] if nearest is not None and nearest[0] <= reach else None

    def position_of(self, key: PointKey) -> QPointF | None:
        """Return where a point is drawn: enlarged where its seat is, otherwise on the shaft."""
        layout = self._layout()
        if layout is None:
            return None
        if key.seat_id == layout.detail.seat.id:
            return layout.detail.position(key)
        return layout.elevation_marks.get(key)

    # --- layout ----------------------------------------------------------------------------------

    def _current_seat(self) -> Seat | None:
        if self._plan is None:
            return None
        if self._seat_id is not None:
            return self._plan.seat(self._seat_id)
        for view in (*(v for v in self._special if v.is_selected), *self._next()):
            return self._plan.seat(view.point.seat_id)
        return self._plan.seats[0]

    def _next(self) -> Iterator[PointView]:
        return (view for view in self._special if view.is_next)

    def _layout(self) -> _Layout | None:
        if self._layout_now is None and self._plan is not None:
            self._of_shaft.forget()
            self._of_seat.forget()
            self._layout_now = self._laid_out(self._plan)
        return self._layout_now

    def _laid_out(self, plan: Plan) -> _Layout:
        metrics = QFontMetricsF(self.font())
        em = metrics.height()
        margin = 0.4 * em
        room = QRectF(self.rect()).adjusted(margin, margin, -margin, -margin)
        most_rows = int(0.2 * room.height() / (1.25 * em))
        only_sizes = all(seat.has_size for seat in plan.seats)
        entries = [one for one in _LEGEND if not only_sizes or one.word != PointMark.MEASURED]
        legend, left_out = lay_out(entries, metrics, room.width(), most_rows)
        if left_out:  # half a legend would be taken for the whole; tips say the words as well
            legend = ()
        height = legend_height(legend, metrics)
        legend_box = QRectF(room.left(), room.bottom() - height, room.width(), height)
        room.setBottom(room.bottom() - height)
        elevation_box, detail_box = _shared_out(room, em)
        seat = self._current_seat()
        assert seat is not None  # there is a plan
        detail = lay_out_detail(seat, plan.unit, detail_box, self.font())
        if elevation_box is None:
            return _Layout(None, QPointF(), {}, 0.0, None, detail, legend, legend_box)
        elevation = side_elevation(
            plan, elevation_box.width(), elevation_box.height(), _DRAWING_TEXT_EM * em
        )
        at = elevation_box.topLeft()
        marks, size = _elevation_marks(plan, elevation, at, _LARGEST_ELEVATION_MARK_EM * em)
        return _Layout(
            elevation,
            at,
            marks,
            size,
            _seat_box(seat, elevation, at),
            detail,
            legend,
            legend_box,
        )

    def _hits(self) -> Iterator[tuple[QPointF, PointView]]:
        layout = self._layout()
        if layout is None:
            return
        for view in self._views:
            key = view.point.key
            if key in layout.elevation_marks:
                yield layout.elevation_marks[key], view
            if key.seat_id == layout.detail.seat.id:
                yield layout.detail.position(key), view

    # --- Qt --------------------------------------------------------------------------------------

    def sizeHint(self) -> QSize:
        em = self.fontMetrics().height()
        return QSize(50 * em, 28 * em)

    def minimumSizeHint(self) -> QSize:
        return QSize(180, 120)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._layout_now = None
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._layout_now = None
        super().changeEvent(event)

    def event(self, event: QEvent) -> bool:
        if event.type() is QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            view = self.point_at(QPointF(event.pos()))
            # A story may hold what somebody wrote, so it is never taken for markup.
            text = f'<p style="white-space: pre-wrap">{escape(view.story)}</p>' if view else ""
            QToolTip.showText(event.globalPos(), text, self)
            return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        view = self.point_at(event.position())
        if event.button() is Qt.MouseButton.LeftButton and view is not None:
            self.point_chosen.emit(view.point.key)
            return
        super().mousePressEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = _ARROWS.get(Qt.Key(event.key()))
        point = self._neighbour(*step) if step is not None else None
        if point is None:
            super().keyPressEvent(event)
            return
        self.point_chosen.emit(point.key)

    def _neighbour(self, along: int, up: int) -> Point | None:
        """Return the shown point beside the selected one, or else beside the next one."""
        start = next((view for view in self._special if view.is_selected), None)
        start = start or next(self._next(), None)
        if start is None or self._plan is None:
            return self._views[0].point if self._views else None
        here = start.point
        ranks = row_heights(self._plan.seat(here.seat_id))

        def distance(point: Point) -> float:
            """Return how far a point lies in the direction wanted; infinite where it is not."""
            if along:
                far = along * (point.z_mm - here.z_mm)
                in_line = point.orientation == here.orientation
            else:
                in_line = (point.seat_id, point.station) == (here.seat_id, here.station)
                far = up * (ranks[point.orientation] - ranks[here.orientation]) if in_line else 0.0
            return far if in_line and far > 0 else inf

        beside = min((view.point for view in self._views), key=distance)
        return beside if distance(beside) < inf else None

    # --- painting --------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        theme = self._theme
        painter.fillRect(self.rect(), theme.paper)
        layout = self._layout()
        if layout is not None:
            if layout.elevation is not None:
                self._paint_elevation(painter, layout, theme)
            seat_id = layout.detail.seat.id
            here = [view for view in self._special if view.point.seat_id == seat_id]
            paint_detail(
                painter, layout.detail, self._views, theme, self._of_seat, self.size(), here
            )
        if self.hasFocus():
            painter.setPen(QPen(theme.focus, 3.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5))

    def _paint_elevation(self, painter: QPainter, layout: _Layout, theme: Theme) -> None:
        self._of_shaft.paint(
            painter,
            self.size(),
            self._views,
            layout.elevation_mark_px,
            theme,
        )
        for view in self._special:
            centre = layout.elevation_marks[view.point.key]
            size = layout.elevation_mark_px
            if view.is_next:
                paint_next_ring(painter, centre, max(0.9 * size, 7.0), theme)
                paint_point_mark(painter, view.mark, centre, size, theme)
            if view.is_selected:
                half = max(0.9 * size, 7.0) + 4.0 if view.is_next else 0.72 * size + 2.0
                paint_selection(painter, centre, half, theme)

    def _on_shaft(self, key: PointKey) -> QPointF | None:
        layout = self._layout()
        return None if layout is None else layout.elevation_marks.get(key)

    def _on_seat(self, key: PointKey) -> QPointF | None:
        layout = self._layout()
        if layout is None or key.seat_id != layout.detail.seat.id:
            return None
        return layout.detail.position(key)

    def _paint_shaft(self, painter: QPainter) -> None:
        """Paint what of the shaft no press changes."""
        layout = self._layout()
        if layout is None or layout.elevation is None:
            return
        if layout.seat_box is not None:
            _paint_enlarging(painter, layout.seat_box, layout.detail.field, self._theme)
        painter.save()
        painter.translate(layout.elevation_at)
        paint_drawing(painter, layout.elevation, self._theme)
        painter.restore()

    def _paint_seat(self, painter: QPainter) -> None:
        layout = self._layout()
        if layout is not None:
            painter.save()
            painter.setFont(self.font())
            metrics = QFontMetricsF(self.font())
            paint_legend(painter, layout.legend, layout.legend_box, metrics, self._theme)
            painter.restore()
            paint_ground(painter, layout.detail, self._theme)


def _shared_out(room: QRectF, em: float) -> tuple[QRectF | None, QRectF]:
    """Share the room between elevation and detail: one above the other, or side by side.

    Where there is not enough for both, the detail has it all: it shows what to do next.
    """
    gap = 0.6 * em
    is_wide = room.width() >= 1.8 * room.height()
    if is_wide and room.width() >= 42 * em and room.height() >= 10 * em:
        width = 0.58 * room.width()
        beside = QRectF(room.left(), room.top(), width, room.height())
        return beside, room.adjusted(width + gap, 0, 0, 0)
    if room.height() >= 21 * em and room.width() >= 22 * em:
        height = min(0.44 * room.height(), 0.45 * room.width())
        above = QRectF(room.left(), room.top(), room.width(), height)
        return above, room.adjusted(0, height + gap, 0, 0)
    return None, room


def _elevation_marks(
    plan: Plan, elevation: SideElevation, at: QPointF, largest: float
) -> tuple[dict[PointKey, QPointF], float]:
    """Lay every point of the walk on the elevation; return how large a mark may be as well."""
    placement = elevation.placement
    marks: dict[PointKey, QPointF] = {}
    pitch = largest / 0.85
    for seat in plan.seats:
        radius_mm = float(seat.nominal_mm) / 2
        rows = row_heights(seat)
        columns = [placement.x(float(z_mm)) for z_mm in seat.stations_mm]
        height = 2 * radius_mm * placement.scale
        pitch = min(pitch, least_step(columns, largest), height / len(rows))
        for station, x in enumerate(columns, start=1):
            for orientation, share in rows.items():
                y = elevation.height - placement.y(radius_mm * (2 * share - 1))
                marks[PointKey(seat.id, station, orientation)] = at + QPointF(x, y)
    return marks, max(LEAST_MARK_PX, 0.85 * pitch)


def _seat_box(seat: Seat, elevation: SideElevation, at: QPointF) -> QRectF:
    placement = elevation.placement
    radius_mm = float(seat.nominal_mm) / 2
    left, right = placement.x(float(seat.from_mm)), placement.x(float(seat.to_mm))
    top = elevation.height - placement.y(radius_mm)
    bottom = elevation.height - placement.y(-radius_mm)
    return QRectF(left, top, right - left, bottom - top).translated(at)


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


def _mark_entry(mark: PointMark) -> Entry:
    return Entry(
        lambda painter, centre, size, theme: paint_point_mark(painter, mark, centre, size, theme),
        mark.value,
    )


_LEGEND: Final = (
    *(_mark_entry(mark) for mark in PointMark),
    Entry(
        lambda painter, centre, size, theme: paint_next_ring(painter, centre, 0.5 * size, theme),
        "next",
    ),
)
_ARROWS: Final = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}
