"""The current seat enlarged: its half turn unrolled into a field of points, the next one marked.

Along the field lie the stations at their true proportions; up the field lie the orientations at
equal distances, by their angle, however large the seat. It is not to scale and says so.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from seatproof.core import figures
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.units import Unit
from seatproof.gui.bench.points import PointView
from seatproof.gui.shared.marks import paint_next_ring, paint_point_mark, paint_selection
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.theme import Theme

_UNIT_WORDS: Final = {Unit.MM: "mm", Unit.INCH: wording("inches")}
LEAST_MARK_PX: Final = 7.0
LETTERING: Final = 0.7  # the power of the enlargement by which lettering grows less
_CENTRED: Final = Qt.AlignmentFlag.AlignCenter


def place_text(view: PointView) -> str:
    """Say where a point is, as a fitter is told: its station and its angle."""
    station = say("station {station}", station=str(view.point.station))
    return f"{station} · {figures.angle(view.point.angle_deg)}"


def row_heights(seat: Seat) -> dict[int, float]:
    """Return how high each orientation lies in an unrolled half turn, as a share from 0 to 1.

    Angles grow upwards: so they do over the upper side of a shaft whose datum face is at the left.
    """
    angles = sorted((angle, number) for number, angle in enumerate(seat.orientations_deg, start=1))
    return {number: (row + 0.5) / len(angles) for row, (_, number) in enumerate(angles)}


@dataclass(frozen=True, slots=True)
class SeatDetail:
    """Where the parts of an enlarged seat lie on the screen.

    Attributes
    ----------
    seat : Seat
    unit : Unit
        The plan's.
    box : QRectF
        All of it, lettering included.
    field : QRectF
        The unrolled seat itself.
    columns : mapping from station to float
        Where along the screen each station lies.
    rows : mapping from orientation to float
        Where down the screen each orientation lies.
    pitch : float
        The least distance of neighbouring points.
    font : QFont
    em : float
        The height of a line of lettering.
    factor : float
        How many times enlarged all of it is painted.
    """

    seat: Seat
    unit: Unit
    box: QRectF
    field: QRectF
    columns: Mapping[int, float]
    rows: Mapping[int, float]
    pitch: float
    font: QFont
    em: float
    factor: float = 1.0

    @property
    def mark_size(self) -> float:
        """How large a mark is, so that neighbours keep apart where they can."""
        return max(LEAST_MARK_PX / self.factor, min(0.66 * self.pitch, 1.5 * self.em))

    def enlarged(self, factor: float) -> "SeatDetail":
        """Return it to be painted enlarged: what is lettered grows less than what is drawn."""
        em = self.em / factor**LETTERING
        return replace(self, font=scaled_font(self.font, em), em=em, factor=factor)

    def position(self, key: PointKey) -> QPointF:
        """Return where a point of this seat lies."""
        return QPointF(self.columns[key.station], self.rows[key.orientation])


def scaled_font(font: QFont, em: float) -> QFont:
    """Return a font whose lines are `em` high."""
    scaled = QFont(font)
    scaled.setPointSizeF(max(1.0, font.pointSizeF() * em / QFontMetricsF(font).height()))
    return scaled


def lay_out_detail(seat: Seat, unit: Unit, box: QRectF, font: QFont) -> SeatDetail:
    """Lay out an enlarged seat in a box; lettering gives way where the box is small."""
    em = min(QFontMetricsF(font).height(), max(box.width() / 12, 1.0), max(box.height() / 8, 1.0))
    font = scaled_font(font, em)
    metrics = QFontMetricsF(font)
    angles = [figures.angle(angle) for angle in seat.orientations_deg]
    left = max(metrics.horizontalAdvance(text) for text in angles) + 1.9 * em
    right = 1.1 * em
    top = (3.4 if _has_numbers(box, em) else 2.4) * em
    bottom = (0.8 + 1.2 * _has_positions(box, em) + 1.3 * _has_caption(box, em)) * em
    count_x, count_y = len(seat.stations_mm), len(seat.orientations_deg)
    width = min(box.width() - left - right, max(20.0, 7.5 * count_x) * em)
    height = min(box.height() - top - bottom, max(9.0, 3.2 * count_y) * em)
    field = QRectF(
        box.left() + left + max(0.0, (box.width() - left - right - width) / 2),
        box.top() + top + max(0.0, (box.height() - top - bottom - height) / 2),
        max(width, LEAST_MARK_PX),
        max(height, LEAST_MARK_PX),
    )
    scale = field.width() / float(seat.length_mm)
    columns = {
        station: field.left() + scale * float(z_mm - seat.from_mm)
        for station, z_mm in enumerate(seat.stations_mm, start=1)
    }
    rows = {
        number: field.bottom() - share * field.height()
        for number, share in row_heights(seat).items()
    }
    pitch = min(least_step(columns.values(), field.width()), field.height() / count_y)
    return SeatDetail(seat, unit, box, field, columns, rows, pitch, font, em)


def least_step(places: Iterable[float], whole: float) -> float:
    """Return the least distance between neighbours; the whole length where there is but one."""
    ordered = sorted(places)
    steps = [after - before for before, after in pairwise(ordered)]
    return min(steps, default=whole)


def paint_ground(painter: QPainter, detail: SeatDetail, theme: Theme) -> None:
    """Paint what of an enlarged seat no press changes."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(detail.font)
    _paint_caption(painter, detail, theme)
    _paint_field(painter, detail, theme)
    painter.restore()


def paint_detail(
    painter: QPainter, detail: SeatDetail, theme: Theme, special: Sequence[PointView]
) -> None:
    """Paint over an enlarged seat and its marks what tells the next point from all others.

    `special` are the next and the selected point, as far as they are on this seat.
    """
    following = next((view for view in special if view.is_next), None)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(detail.font)
    _paint_stations(painter, detail, following, theme)
    _paint_angles(painter, detail, following, theme)
    if following is not None:
        _paint_cross(painter, detail, following, theme)
    for view in special:
        centre = detail.position(view.point.key)
        mark_size = detail.mark_size
        if view.is_next:
            mark_size = max(mark_size, 0.6 * detail.em)
            radius = max(0.95 * mark_size, 0.75 * detail.em)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.paper)
            painter.drawEllipse(centre, radius, radius)
            paint_next_ring(painter, centre, radius, theme)
        paint_point_mark(painter, view.mark, centre, mark_size, theme)
        if view.is_selected:
            half = 0.72 * mark_size + 2.5
            if view.is_next:
                half = max(0.95 * mark_size, 0.75 * detail.em) + 5.0
            paint_selection(painter, centre, half, theme)
    if following is not None:
        _paint_flag(painter, detail, following, theme)
    painter.restore()


# --- lettering -----------------------------------------------------------------------------------


def _has_numbers(box: QRectF, em: float) -> bool:
    return box.height() >= 9 * em


def _has_positions(box: QRectF, em: float) -> bool:
    return box.height() >= 12 * em


def _has_caption(box: QRectF, em: float) -> bool:
    return box.height() >= 14 * em


def _paint_caption(painter: QPainter, detail: SeatDetail, theme: Theme) -> None:
    if not _has_caption(detail.box, detail.em):
        return
    seat = detail.seat
    metrics = QFontMetricsF(painter.font())
    captions = (
        say(
            "Seat {seat}, its half turn unrolled, not to scale; stations in {unit} from the datum "
            "face",
            seat=seat.id,
            unit=say(_UNIT_WORDS[detail.unit]),
        ),
        say("Seat {seat}, its half turn unrolled, not to scale", seat=seat.id),
        say("Seat {seat}, not to scale", seat=seat.id),
    )
    caption = next(
        (text for text in captions if metrics.horizontalAdvance(text) <= detail.box.width()), ""
    )
    painter.setPen(theme.faint_ink)
    top = detail.field.bottom() + 2.0 * detail.em
    place = QRectF(detail.box.left(), top, detail.box.width(), 1.2 * detail.em)
    painter.drawText(place, _CENTRED, caption)


def _paint_field(painter: QPainter, detail: SeatDetail, theme: Theme) -> None:
    field, seat = detail.field, detail.seat
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.paper)
    painter.drawRect(field)
    excluded = field.width() * float(seat.edge_exclusion_mm / seat.length_mm)
    painter.setBrush(theme.guard)
    painter.drawRect(QRectF(field.left(), field.top(), excluded, field.height()))
    painter.drawRect(QRectF(field.right() - excluded, field.top(), excluded, field.height()))
    painter.setPen(QPen(theme.grid, 1.0))
    for x in detail.columns.values():
        painter.drawLine(QPointF(x, field.top()), QPointF(x, field.bottom()))
    for y in detail.rows.values():
        painter.drawLine(QPointF(field.left(), y), QPointF(field.right(), y))
    painter.setPen(QPen(theme.ink, 1.8))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(field)


def _paint_stations(
    painter: QPainter, detail: SeatDetail, following: PointView | None, theme: Theme
) -> None:
    """Write the stations' numbers above the field, and below it where they lie."""
    em, field = detail.em, detail.field
    metrics = QFontMetricsF(painter.font())
    kept = following.point.station if following is not None else None
    painter.setPen(theme.ink)
    numbered = with_room(
        detail.columns, lambda number: metrics.horizontalAdvance(str(number)) + 0.5 * em, kept
    )
    for station in numbered if _has_numbers(detail.box, em) else ():
        if station != kept:  # the flag says it
            x = detail.columns[station]
            place = QRectF(x - 2 * em, field.top() - 1.35 * em, 4 * em, em)
            painter.drawText(place, _CENTRED, str(station))
    if not _has_positions(detail.box, em):
        return
    texts = {
        number: again(figures.position(z_mm, detail.unit))
        for number, z_mm in enumerate(detail.seat.stations_mm, start=1)
    }
    painter.setPen(theme.faint_ink)
    for station in with_room(
        detail.columns, lambda number: metrics.horizontalAdvance(texts[number]) + 0.5 * em, kept
    ):
        x = detail.columns[station]
        place = QRectF(x - 4 * em, field.bottom() + 0.7 * em, 8 * em, 1.1 * em)
        painter.drawText(place, _CENTRED, texts[station])


def _paint_angles(
    painter: QPainter, detail: SeatDetail, following: PointView | None, theme: Theme
) -> None:
    em = detail.em
    kept = following.point.orientation if following is not None else None
    painter.setPen(theme.ink)
    for orientation in with_room(
        detail.rows, lambda number: (1.45 if number == kept else 1.0) * em, kept
    ):
        text = figures.angle(detail.seat.orientations_deg[orientation - 1])
        y = detail.rows[orientation]
        right = detail.field.left() - 1.1 * em
        if orientation == kept:
            _paint_pill(painter, text, QPointF(right + 0.3 * em, y), em, theme, flush_right=True)
            painter.setPen(theme.ink)
            continue
        place = QRectF(detail.box.left(), y - em, right - detail.box.left(), 2 * em)
        painter.drawText(place, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, text)


def with_room(
    places: Mapping[int, float], length: Callable[[int], float], kept: int | None
) -> list[int]:
    """Return the numbers whose labels fit beside each other; one of them is kept in any case."""
    taken = [] if kept is None else [(places[kept], length(kept))]
    chosen = [] if kept is None else [kept]
    for number, place in places.items():
        if number == kept:
            continue
        here = length(number)
        if all(abs(place - other) >= (here + there) / 2 for other, there in taken):
            taken.append((place, here))
            chosen.append(number)
    return chosen


# --- what comes next -----------------------------------------------------------------------------


def _paint_cross(painter: QPainter, detail: SeatDetail, following: PointView, theme: Theme) -> None:
    """Lead the eye to the next point from all four edges of the seat."""
    field, em = detail.field, detail.em
    centre = detail.position(following.point.key)
    painter.setPen(QPen(theme.next, 2.0))
    painter.drawLine(QPointF(field.left(), centre.y()), QPointF(field.right(), centre.y()))
    painter.drawLine(QPointF(centre.x(), field.top()), QPointF(centre.x(), field.bottom()))
    length = 0.62 * em
    clear = 1.5 * em  # from the ring, which may reach over an edge
    for tip, along in (
        (QPointF(field.left() - 1, centre.y()), QPointF(-1, 0)),
        (QPointF(field.right() + 1, centre.y()), QPointF(1, 0)),
        (QPointF(centre.x(), field.top() - 1), QPointF(0, -1)),
        (QPointF(centre.x(), field.bottom() + 1), QPointF(0, 1)),
    ):
        if hypot(tip.x() - centre.x(), tip.y() - centre.y()) >= clear:
            paint_arrow_tip(painter, tip, along, length, theme.next)


def paint_arrow_tip(
    painter: QPainter, tip: QPointF, backwards: QPointF, length: float, colour: QColor
) -> None:
    """Paint a filled arrowhead at `tip`; `backwards` is the unit vector against its direction."""
    across = QPointF(-backwards.y(), backwards.x()) * (0.55 * length)
    base = tip + backwards * length
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    painter.drawPolygon(QPolygonF([tip, base + across, base - across]))


def _paint_flag(painter: QPainter, detail: SeatDetail, following: PointView, theme: Theme) -> None:
    """Write the place of the next point above its station."""
    em, field = detail.em, detail.field
    x = detail.columns[following.point.station]
    text = place_text(following)
    half = _pill_width(painter, text, em) / 2
    centre_x = min(max(x, detail.box.left() + half), detail.box.right() - half)
    y = field.top() - (2.35 if _has_numbers(detail.box, em) else 1.5) * em
    painter.setPen(QPen(theme.next, 2.0))
    painter.drawLine(QPointF(x, y), QPointF(x, field.top() - 0.4 * em))
    _paint_pill(painter, text, QPointF(centre_x, y), em, theme)


def _pill_width(painter: QPainter, text: str, em: float) -> float:
    font = QFont(painter.font())
    font.setBold(True)
    return QFontMetricsF(font).horizontalAdvance(text) + 0.9 * em


def _paint_pill(
    painter: QPainter,
    text: str,
    centre: QPointF,
    em: float,
    theme: Theme,
    *,
    flush_right: bool = False,
) -> None:
    """Write on the accent, centred at a place or ending there."""
    painter.save()
    width = _pill_width(painter, text, em)
    left = centre.x() - (width if flush_right else width / 2)
    pill = QRectF(left, centre.y() - 0.68 * em, width, 1.36 * em)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.next)
    painter.drawRoundedRect(pill, 0.25 * em, 0.25 * em)
    font = QFont(painter.font())
    font.setBold(True)
    painter.setFont(font)
    painter.setPen(theme.on_next)
    painter.drawText(pill, _CENTRED, text)
    painter.restore()
