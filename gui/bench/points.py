"""How the points of a walk look on the bench: a mark and a word each, without Qt."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from seatproof.core import figures
from seatproof.core.evaluation.sizes import local_size_at
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.record.state import InspectionState, LoggedReading
from seatproof.core.wording.moments import local_time
from seatproof.core.wording.seat_part import mark_of
from seatproof.gui.shared.saying import say, wording


class PointMark(StrEnum):
    """Where a point stands; the value is the word that goes with the mark."""

    OPEN = "not measured"
    INSIDE = "inside the limits"
    ABOVE = "above the upper limit"
    BELOW = "below the lower limit"
    MEASURED = "measured"  # where a reading is no size, so that no limit is its own
    SKIPPED = "skipped"

    @property
    def is_outside(self) -> bool:
        return self in (PointMark.ABOVE, PointMark.BELOW)


# The story of a point is kept, and said again when it is shown; a text is as the gauge sent it.
_PLACE: Final = wording("seat {seat}, station {station} ({z}), at {angle}")
_STANDS: Final = wording("Seat {seat}, station {station} ({z}), at {angle}: {mark}")
_TOLD: Final = wording("{value} at {clock}, as {text} from {gauge}")
_TOLD_WITH_FATE: Final = wording("{value} at {clock}, as {text} from {gauge} – {finding}")

_MARKS: Final = {"": PointMark.INSIDE, "above": PointMark.ABOVE, "below": PointMark.BELOW}


@dataclass(frozen=True, slots=True)
class PointView:
    """One point as the shaft diagram shows it.

    `story` is what a tip says of it, in English: place, every value, what happened there.
    """

    point: Point
    mark: PointMark
    is_next: bool
    is_selected: bool
    story: str


def mark_at(state: InspectionState, key: PointKey) -> PointMark:
    """Return where a point stands."""
    if key in state.skipped:
        return PointMark.SKIPPED
    if not state.is_complete(key):
        return PointMark.OPEN
    seat = state.plan.seat(key.seat_id)
    size = local_size_at(state, key)
    if not seat.has_size or size is None:
        return PointMark.MEASURED
    return _MARKS[mark_of(seat, size.size_mm)]


def place_words(plan: Plan, point: Point) -> str:
    """Say where a point is."""
    return say(_PLACE, **_place(plan, point))


def _place(plan: Plan, point: Point) -> dict[str, str]:
    return {
        "seat": point.seat_id,
        "station": str(point.station),
        "z": f"{figures.position(point.z_mm, plan.unit)} {plan.unit}",
        "angle": figures.angle(point.angle_deg),
    }


class PointBoard:
    """The views of all points, kept; a change costs as much as the points it touches.

    With thousands of points, making them all anew at every press would hold the window up.
    """

    def __init__(self, state: InspectionState) -> None:
        self._points = state.plan.points()
        self._index = {point.key: number for number, point in enumerate(self._points)}
        self._readings: dict[PointKey, list[int]] = {}
        self._last_seq = 0
        self._selected: PointKey | None = None
        self._begin(state)

    def _begin(self, state: InspectionState) -> None:
        self._state = state
        self._take_readings(state)
        self._open = {point.key for point in self._points if state.is_open(point.key)}
        self._open_of = Counter(key.seat_id for key in self._open)
        self._to_do = sum(state.is_to_do(point.seat_id) for point in self._points)
        self._views = [self._view(point) for point in self._points]

    @property
    def views(self) -> tuple[PointView, ...]:
        """All points, in the order of the plan."""
        return tuple(self._views)

    @property
    def progress(self) -> tuple[int, int]:
        """How many of the points to be done are done, and how many there are."""
        return self._to_do - len(self._open), self._to_do

    def has_open(self, seat_id: str) -> bool:
        """Tell whether a seat has an open point."""
        return self._open_of[seat_id] > 0

    def view(self, key: PointKey) -> PointView:
        return self._views[self._index[key]]

    def point(self, key: PointKey) -> Point:
        return self._points[self._index[key]]

    def update(self, state: InspectionState, selected: PointKey | None) -> None:
        """Bring the views up to a state and a selection."""
        before = self._state
        touched = {before.cursor, state.cursor, self._selected, selected} - {None}
        if state.identification is not before.identification:
            self._selected = selected
            self._begin(state)  # other seats are to be done
            return
        if state is not before:
            touched |= _changed(before.counting, state.counting)
            touched |= _changed(before.skipped, state.skipped)
            touched |= _changed(before.repeats, state.repeats)
            touched |= self._take_readings(state)
        self._state, self._selected = state, selected
        for key in touched:
            number = self._index.get(key) if key is not None else None
            if key is not None and number is not None:
                self._count(key, is_open=state.is_open(key))
                self._views[number] = self._view(self._points[number])

    def refresh_seat(self, seat_id: str) -> None:
        """Look at all points of a seat anew, as after something that bears on all of them."""
        for number, point in enumerate(self._points):
            if point.seat_id == seat_id:
                self._views[number] = self._view(point)

    def _count(self, key: PointKey, *, is_open: bool) -> None:
        if is_open == (key in self._open):
            return
        if is_open:
            self._open.add(key)
        else:
            self._open.remove(key)
        self._open_of[key.seat_id] += 1 if is_open else -1

    def _take_readings(self, state: InspectionState) -> set[PointKey]:
        """Note the readings that are new; return their points."""
        new: list[LoggedReading] = []
        for seq in reversed(tuple(state.readings)):
            if seq <= self._last_seq:
                break
            new.append(state.readings[seq])
        for reading in reversed(new):
            self._readings.setdefault(reading.key, []).append(reading.seq)
            self._last_seq = reading.seq
        return {reading.key for reading in new}

    def _view(self, point: Point) -> PointView:
        key, state = point.key, self._state
        mark = mark_at(state, key)
        return PointView(
            point=point,
            mark=mark,
            is_next=key == state.cursor,
            is_selected=key == self._selected,
            story=self._story(point, mark),
        )

    def _story(self, point: Point, mark: PointMark) -> str:
        state = self._state
        lines = [_STANDS.format(**_place(state.plan, point), mark=mark)]
        readings = [state.readings[seq] for seq in self._readings.get(point.key, ())]
        lines += [_told(state, reading) for reading in readings]
        if mark is PointMark.SKIPPED:
            lines.append(state.skipped[point.key])
        return "\n".join(lines)


def _told(state: InspectionState, reading: LoggedReading) -> str:
    received = reading.received
    told = _TOLD_WITH_FATE if reading.fate else _TOLD
    return told.format(
        value=f"{figures.received(received.value)} {received.unit}",
        clock=local_time(reading.moment, state.opened.offset_min)[11:19],
        text=f'"{received.text}"',
        gauge=received.gauge,
        finding=reading.fate,
    )


def _changed(before: Mapping[PointKey, Any], after: Mapping[PointKey, Any]) -> set[PointKey]:
    """Return the keys whose values differ between two mappings."""
    if before is after:
        return set()
    found = {key for key, value in after.items() if before.get(key) != value}
    return found | {key for key in before if key not in after}
