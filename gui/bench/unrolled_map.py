"""The current seat unrolled as a grid: in every cell the figures of its point, and its mark.

Stations lie across, orientations upwards by their angle. The edge lettering stays in sight when the
map is enlarged; the more room a cell has, the more of its figures it shows.
"""

from typing import Final

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.record.state import InspectionState
from seatproof.gui.bench.map_cell import Look, look_of, paint_cell, paint_cell_frame
from seatproof.gui.bench.map_grid import Grid, lay_out_grid
from seatproof.gui.bench.points import PointView
from seatproof.gui.bench.seat_detail import place_text, with_room
from seatproof.gui.bench.seat_map import DepartureFrom, MapCell, SeatMap, captions
from seatproof.gui.bench.zoomed_view import ZoomedView
from seatproof.gui.shared.marks import paint_next_ring, paint_selection
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme

_CENTRED: Final = Qt.AlignmentFlag.AlignCenter
_LEFT: Final = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


class UnrolledMap(ZoomedView):
    """Shows the current seat as a grid of its points; everything shown is given.

    Signals
    -------
    point_chosen(PointKey)
        A point was clicked or touched.
    """

    point_chosen = Signal(object)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._map = SeatMap()
        self._seat: Seat | None = None
        self._captions: tuple[str, ...] = ()
        self._grid_now: Grid | None = None
        self._state: InspectionState | None = None
        self._picture: QPixmap | None = None
        self._stale: set[PointKey] = set()
        self.departure_from = DepartureFrom.NOMINAL
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(say("Map of the seat, unrolled"))

    def show_points(self, state: InspectionState, seat: Seat, views: tuple[PointView, ...]) -> None:
        """Show a seat with its points; `views` may be those of all seats."""
        if seat is not self._seat:
            self._seat, self._grid_now = seat, None
            self._lens = self.lens.whole()
            self.forget_picture()
        self._state = state
        before = self._map.following, self._map.selected
        self._stale |= self._map.show(state, seat, views, self.departure_from)
        words = captions(seat, state, self.departure_from)
        if words != self._captions:
            self._captions = words
            self.forget_picture()
        for was, now in zip(before, (self._map.following, self._map.selected), strict=True):
            if now is not None and (was is None or was.view.point.key != now.view.point.key):
                self._bring_into_sight(now.view.point.key)
        self._describe()
        self.update()

    def cell(self, key: PointKey) -> MapCell | None:
        """Return what is said of a point."""
        return self._map.cells.get(key)

    def box_of(self, key: PointKey) -> QRectF | None:
        """Return where a point's cell lies on the widget now."""
        grid = self._grid()
        return None if grid is None else self._seen_box(grid, key)

    def look(self, cell: MapCell, box: QRectF) -> Look:
        """Return how much of a cell has room in a box."""
        assert self._state is not None  # there is a cell
        return look_of(cell, box, self.font(), self._state.plan.unit)

    def point_at(self, position: QPointF) -> PointView | None:
        """Return the point whose cell lies there."""
        grid = self._grid()
        if grid is None or not self.room().contains(position):
            return None
        found = (
            cell.view
            for key, cell in self._map.cells.items()
            if self._seen_box(grid, key).contains(position)
        )
        return next(found, None)

    # --- what a drawing that can be enlarged is asked for ----------------------------------------

    def room(self) -> QRectF:
        grid = self._grid()
        return QRectF(self.rect()) if grid is None else grid.body

    def content_size(self) -> tuple[float, float]:
        grid = self._grid()
        return super().content_size() if grid is None else grid.size

    def forget_picture(self) -> None:
        super().forget_picture()
        self._picture = None

    def tapped(self, position: QPointF) -> bool:
        view = self.point_at(position)
        if view is not None:
            self.point_chosen.emit(view.point.key)
        return view is not None

    def story_at(self, position: QPointF) -> str:
        view = self.point_at(position)
        return view.story if view is not None else ""

    # --- layout ----------------------------------------------------------------------------------

    def _grid(self) -> Grid | None:
        if self._grid_now is None and self._seat is not None and self._state is not None:
            self.forget_picture()
            self._grid_now = lay_out_grid(
                self._seat, self._state.plan.unit, QRectF(self.rect()), self.font()
            )
        return self._grid_now

    def _seen_box(self, grid: Grid, key: PointKey) -> QRectF:
        box = grid.box(key)
        return QRectF(self.seen(box.topLeft()), self.seen(box.bottomRight()))

    def _bring_into_sight(self, key: PointKey) -> None:
        grid = self._grid()
        if grid is None or self.lens.is_all_seen:
            return
        box = grid.box(key)
        margin = max(box.width(), box.height()) * self.lens.factor / 2
        self.keep_in_sight(box.center(), margin)

    def _describe(self) -> None:
        following, selected = self._map.following, self._map.selected
        said = []
        if following is not None:
            said.append(say("next: {place}", place=place_text(following.view)))
        if selected is not None:
            said.append(again(selected.view.story))
        self.setAccessibleDescription("\n".join(said))

    # --- Qt --------------------------------------------------------------------------------------

    def sizeHint(self) -> QSize:
        em = self.fontMetrics().height()
        return QSize(50 * em, 28 * em)

    def minimumSizeHint(self) -> QSize:
        return QSize(180, 120)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._grid_now = None
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._grid_now = None
        super().changeEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        theme = self._theme
        painter.fillRect(self.rect(), theme.paper)
        grid = self._grid()
        if grid is None:
            return
        if self._picture is None:
            self._picture = self._whole(painter, grid)
        elif self._stale:
            on_it = QPainter(self._picture)
            on_it.setFont(self.font())
            self._paint_cells(on_it, grid, self._stale)
            on_it.end()
        self._stale.clear()
        painter.drawPixmap(0, 0, self._picture)
        painter.setFont(self.font())
        self._paint_edges(painter, grid)
        self._paint_special(painter, grid)
        if self.hasFocus():
            painter.setPen(QPen(theme.focus, 3.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5))

    # --- painting --------------------------------------------------------------------------------

    def _whole(self, painter: QPainter, grid: Grid) -> QPixmap:
        """Paint what no press changes and every cell into a picture that is kept."""
        ratio = painter.device().devicePixelRatioF()
        picture = QPixmap(self.size() * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        on_it = QPainter(picture)
        on_it.setFont(self.font())
        metrics = QFontMetricsF(self.font())
        width = grid.caption.width()
        fitting = (one for one in self._captions if metrics.horizontalAdvance(one) <= width)
        words = next(fitting, "")
        on_it.setPen(self._theme.faint_ink)
        on_it.drawText(grid.caption, _CENTRED, words)
        grid.legend.paint(on_it, self.font(), self._theme)
        self._paint_cells(on_it, grid, self._map.cells)
        on_it.end()
        return picture

    def _paint_cells(
        self, painter: QPainter, grid: Grid, keys: "set[PointKey] | dict[PointKey, MapCell]"
    ) -> None:
        painter.save()
        room = self.room()
        painter.setClipRect(room.adjusted(-1, -1, 1, 1))
        for key in keys:
            cell, box = self._map.cells.get(key), self._seen_box(grid, key)
            if cell is not None and box.intersects(room):
                look = self.look(cell, box)
                paint_cell(painter, cell, box, look, self.font(), self._theme)
        painter.restore()

    def _paint_edges(self, painter: QPainter, grid: Grid) -> None:
        """Letter stations and orientations beside what is seen; the next one stands out."""
        theme, em = self._theme, QFontMetricsF(self.font()).height()
        metrics = QFontMetricsF(self.font())
        room = self.room()
        following = self._map.following
        kept = following.view.point if following is not None else None
        has_places = room.top() - grid.caption.bottom() > 2 * em
        uppermost = min(grid.rows, key=grid.rows.__getitem__)
        first = self._seen_box(grid, PointKey(grid.seat.id, 1, uppermost))
        left, top = max(room.left(), first.left()), max(room.top(), first.top())
        columns = {
            station: self._seen_box(grid, PointKey(grid.seat.id, station, uppermost))
            for station in grid.stations
        }
        seen = {
            station: box.center().x()
            for station, box in columns.items()
            if room.left() <= box.center().x() <= room.right()
        }
        number_width = {
            station: metrics.horizontalAdvance(grid.stations[station][0]) + 0.6 * em
            for station in seen
        }
        next_station = kept.station if kept is not None and kept.station in seen else None
        for station in with_room(seen, number_width.__getitem__, next_station):
            number, place = grid.stations[station]
            x, width = seen[station], number_width[station]
            above = top - (2.5 if has_places else 1.35) * em
            where = QRectF(x - width / 2, above, width, 1.25 * em)
            self._paint_label(painter, where, number, strong=station == next_station)
            fits = metrics.horizontalAdvance(place) <= max(columns[station].width(), width)
            if has_places and fits:
                painter.setPen(theme.faint_ink)
                below = QRectF(x - 5 * em, top - 1.2 * em, 10 * em, 1.1 * em)
                painter.drawText(below, _CENTRED, place)
        heights = {
            orientation: self._seen_box(grid, PointKey(grid.seat.id, 1, orientation)).center().y()
            for orientation in grid.rows
        }
        seen = {one: y for one, y in heights.items() if room.top() <= y <= room.bottom()}
        next_row = kept.orientation if kept is not None and kept.orientation in seen else None
        for one in with_room(seen, lambda row: (1.3 if row == next_row else 1.0) * em, next_row):
            text = grid.angles[one]
            width = metrics.horizontalAdvance(text) + 0.8 * em
            where = QRectF(left - 0.5 * em - width, seen[one] - 0.6 * em, width, 1.2 * em)
            self._paint_label(painter, where, text, strong=one == next_row)

    def _paint_label(self, painter: QPainter, box: QRectF, text: str, *, strong: bool) -> None:
        theme = self._theme
        painter.save()
        if strong:
            font = QFont(painter.font())
            font.setBold(True)
            painter.setFont(font)
            over = 0.08 * QFontMetricsF(font).horizontalAdvance(text)
            box = box.adjusted(-over, 0, over, 0)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.next)
            painter.drawRoundedRect(box, 4, 4)
        painter.setPen(theme.on_next if strong else theme.ink)
        painter.drawText(box, _CENTRED, text)
        painter.restore()

    def _paint_special(self, painter: QPainter, grid: Grid) -> None:
        """Paint the frames of the next point and of the selected one."""
        theme = self._theme
        painter.save()
        painter.setClipRect(self.room().adjusted(-4, -4, 4, 4))
        following, selected = self._map.following, self._map.selected
        if following is not None:
            box = self._seen_box(grid, following.view.point.key)
            look = self.look(following, box)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            frame = QPen(QColor(theme.next), 4.0)
            frame.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
            painter.setPen(frame)
            painter.drawRect(box.adjusted(1, 1, -1, -1))
            paint_next_ring(painter, look.mark, 0.62 * look.mark_size + 2, theme)
            if look.has_line and not following.departure and not following.note:
                painter.setFont(look.font)
                painter.setPen(theme.next)
                beside = look.line.adjusted(0.35 * look.em, 0, 0, 0)
                painter.drawText(beside, _LEFT, again("next"))
        if selected is not None:
            box = self._seen_box(grid, selected.view.point.key)
            half = min(box.width(), box.height()) / 2 - 3
            if self.look(selected, box).has_line:
                paint_cell_frame(painter, box.adjusted(3, 3, -3, -3), theme)
            else:
                paint_selection(painter, box.center(), max(half, 6.0), theme)
        painter.restore()
