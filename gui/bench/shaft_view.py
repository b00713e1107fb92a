"""The shaft with every point of the walk: where one stands, and where the gauge goes next.

A side elevation to scale shows the whole shaft; the current seat stands beside it enlarged, so that
the next point is found at once and every point can be hit. The current seat is that of the selected
point, otherwise that of the next one. All of it can be enlarged and moved.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot, inf
from typing import Final

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.plan.seat import Seat
from seatproof.gui.bench.elevation import Elevation, lay_out_elevation, paint_elevation, shared_out
from seatproof.gui.bench.mark_layer import MarkLayer
from seatproof.gui.bench.point_legend import PointLegend, lay_out_legend
from seatproof.gui.bench.points import PointView
from seatproof.gui.bench.seat_detail import (
    SeatDetail,
    lay_out_detail,
    paint_detail,
    paint_ground,
    place_text,
    row_heights,
)
from seatproof.gui.bench.zoomed_view import ZoomedView
from seatproof.gui.shared.marks import paint_next_ring, paint_point_mark, paint_selection
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import MM_PER_INCH, TOUCH_MM, Theme

_IN_SIGHT_EM: Final = 3.0  # how far from the edge of what is seen the next point shall lie


@dataclass(frozen=True, slots=True)
class _Layout:
    """Everything that depends on the size, the font, the plan and the current seat."""

    elevation: Elevation | None
    detail: SeatDetail
    legend: PointLegend

    def places(self, key: PointKey) -> Iterator[QPointF]:
        """Yield where a point lies: enlarged where its seat is, and on the shaft."""
        if key.seat_id == self.detail.seat.id:
            yield self.detail.position(key)
        if self.elevation is not None and key in self.elevation.marks:
            yield self.elevation.marks[key]


class ShaftView(ZoomedView):
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
        self._of_shaft = MarkLayer(self._paint_shaft, self._on_shaft, self.room)
        self._of_seat = MarkLayer(self._paint_seat, self._on_seat, self.room)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(say("Shaft with its points"))

    def show_plan(self, plan: Plan | None) -> None:
        """Show a plan's shaft, with no points on it yet; None for none."""
        self._plan = plan
        self.show_points(())

    def show_points(self, views: tuple[PointView, ...], seat_id: str | None = None) -> None:
        """Show points of the plan's walk, in its order; not all need to be there.

        `seat_id` names the seat that is shown enlarged; without it, it is that of the selected
        point or of the next.
        """
        before, was_next = self._current_seat(), next(self._next(), None)
        self._take_views(views)
        self._seat_id = seat_id
        if self._current_seat() is not before or not views:
            self._layout_now = None
        following = next(self._next(), None)
        if following and (was_next is None or following.point.key != was_next.point.key):
            self._show_place_of(following.point.key)
        self.setAccessibleDescription(
            say(
                "next: seat {seat}, {place}",
                seat=following.point.seat_id,
                place=place_text(following),
            )
            if following
            else ""
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
        return next((self.seen(place) for place in layout.places(key)), None)

    def room(self) -> QRectF:
        """Return where the drawing is shown: all but the legend."""
        layout = self._layout()
        room = QRectF(self.rect())
        if layout is not None:
            room.setBottom(max(layout.legend.box.top(), room.top() + 1))
        return room

    def forget_picture(self) -> None:
        super().forget_picture()
        self._of_shaft.forget()
        self._of_seat.forget()

    def tapped(self, position: QPointF) -> bool:
        view = self.point_at(position)
        if view is not None:
            self.point_chosen.emit(view.point.key)
        return view is not None

    def story_at(self, position: QPointF) -> str:
        view = self.point_at(position)
        return again(view.story) if view is not None else ""

    def _show_place_of(self, key: PointKey) -> None:
        """Bring a point into sight, if neither place of it is seen."""
        layout = self._layout()
        if layout is None or self.lens.is_whole:
            return
        places = tuple(layout.places(key))
        if places and not any(self.room().contains(self.seen(place)) for place in places):
            self.keep_in_sight(places[0], _IN_SIGHT_EM * self.fontMetrics().height())

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
            self.forget_picture()
            self._layout_now = self._laid_out(self._plan)
        return self._layout_now

    def _laid_out(self, plan: Plan) -> _Layout:
        metrics = QFontMetricsF(self.font())
        em = metrics.height()
        margin = 0.4 * em
        room = QRectF(self.rect()).adjusted(margin, margin, -margin, -margin)
        legend = lay_out_legend(plan.seats, room, metrics)
        room.setBottom(legend.box.top())
        elevation_box, detail_box = shared_out(room, em)
        seat = self._current_seat()
        assert seat is not None  # there is a plan
        detail = lay_out_detail(seat, plan.unit, detail_box, self.font())
        elevation = None
        if elevation_box is not None:
            elevation = lay_out_elevation(plan, elevation_box, em)
        return _Layout(elevation, detail, legend)

    def _hits(self) -> Iterator[tuple[QPointF, PointView]]:
        layout = self._layout()
        if layout is not None:
            for view in self._views:
                for place in layout.places(view.point.key):
                    yield self.seen(place), view

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

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_moving = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
        step = None if is_moving else _ARROWS.get(Qt.Key(event.key()))
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
            factor = self.lens.factor
            if layout.elevation is not None:
                size = factor * layout.elevation.mark_size(factor)
                self._of_shaft.paint(painter, self.size(), self._views, size, theme)
            detail = layout.detail.enlarged(factor)
            size = factor * detail.mark_size
            self._of_seat.paint(painter, self.size(), self._views, size, theme)
            painter.save()
            self.look_through(painter)
            if layout.elevation is not None:
                self._paint_special(painter, layout.elevation, theme)
            here = [view for view in self._special if view.point.seat_id == detail.seat.id]
            paint_detail(painter, detail, theme, here)
            painter.restore()
        if self.hasFocus():
            painter.setPen(QPen(theme.focus, 3.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5))

    def _paint_special(self, painter: QPainter, elevation: Elevation, theme: Theme) -> None:
        """Paint the next point and the selected one on the shaft."""
        size, factor = elevation.mark_size(self.lens.factor), self.lens.factor
        for view in self._special:
            centre = elevation.marks[view.point.key]
            if view.is_next:
                paint_next_ring(painter, centre, max(0.9 * size, 7.0 / factor), theme)
                paint_point_mark(painter, view.mark, centre, size, theme)
            if view.is_selected:
                half = 0.72 * size + 2.0
                if view.is_next:
                    half = max(0.9 * size, 7.0 / factor) + 4.0
                paint_selection(painter, centre, half, theme)

    def _on_shaft(self, key: PointKey) -> QPointF | None:
        layout = self._layout()
        place = layout.elevation.marks.get(key) if layout and layout.elevation else None
        return None if place is None else self.seen(place)

    def _on_seat(self, key: PointKey) -> QPointF | None:
        layout = self._layout()
        if layout is None or key.seat_id != layout.detail.seat.id:
            return None
        return self.seen(layout.detail.position(key))

    def _paint_shaft(self, painter: QPainter) -> None:
        """Paint what of the shaft no press changes."""
        layout = self._layout()
        if layout is None or layout.elevation is None:
            return
        painter.save()
        self.look_through(painter)
        detail = layout.detail
        paint_elevation(painter, layout.elevation, detail.seat, detail.field, self._theme)
        painter.restore()

    def _paint_seat(self, painter: QPainter) -> None:
        layout = self._layout()
        if layout is None:
            return
        layout.legend.paint(painter, self.font(), self._theme)
        painter.save()
        self.look_through(painter)
        paint_ground(painter, layout.detail.enlarged(self.lens.factor), self._theme)
        painter.restore()


_ARROWS: Final = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}
