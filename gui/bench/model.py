"""What the bench shows and does, as plain Python: the widgets paint it and decide nothing."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Final

from seatproof.core import figures
from seatproof.core.archive.errors import ArchiveError
from seatproof.core.evaluation.evaluate import (
    Evaluation,
    SeatEvaluation,
    evaluate,
    evaluate_further,
)
from seatproof.core.evaluation.requirement import BLIND
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.plots.along import AlongPlot, along_plot
from seatproof.core.plots.polar import PolarPlot, polar_plot
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.state import InspectionState, LoggedReading, ParkedPress
from seatproof.core.sheet.compose import compose, local_time, mark_of, polar_notes, requirement_line
from seatproof.core.sheet.content import RequirementLine
from seatproof.core.units import UM_PER_MM
from seatproof.core.version import PROGRAM
from seatproof.devices.formats import Refusal
from seatproof.devices.gauge import Arrival, LineKind, LineState
from seatproof.gui.bench.points import PointMark, PointView
from seatproof.gui.intake import press_of

_MARKS: Final = {"": PointMark.INSIDE, "above": PointMark.ABOVE, "below": PointMark.BELOW}


class ValueKind(StrEnum):
    """What became of the press that came last; the value is the word shown beside it."""

    NONE = "no press yet"
    LOGGED = "logged"
    PARKED = "parked: decide below"
    REFUSED = "not understood: press again"
    NOT_STORED = "NOT logged"


@dataclass(frozen=True, slots=True)
class LastValue:
    """The last press in large figures.

    `figures` is the value as the gauge sent it; `note` says where it lies or why it did not count.
    """

    kind: ValueKind
    figures: str
    unit: str
    place: str
    note: str
    mark: PointMark | None


@dataclass(frozen=True, slots=True)
class ParkedNotice:
    """A parked press that waits for a decision."""

    seq: int
    text: str
    came: str
    finding: str


@dataclass(frozen=True, slots=True)
class Sealing:
    """What came of sealing: where the files lie, or why a file could not be written."""

    sheet: Path | None
    record: Path | None
    trouble: str


_NO_VALUE: Final = LastValue(ValueKind.NONE, figures.NOTHING, "", "", "", None)


def _nobody() -> None:
    """Stand in for a listener until there is one."""


class BenchModel:
    """An inspection at the bench; `on_change` is called after anything that shows has changed."""

    def __init__(
        self,
        inspection: Inspection,
        *,
        finish: Callable[[InspectionState], Sealing],
    ) -> None:
        self.on_change: Callable[[], None] = _nobody
        self._inspection = inspection
        self._finish = finish
        self._evaluation = evaluate(inspection.state)
        self._last = _last_value_of(self._evaluation, inspection.state)
        self._line: LineState | None = None
        self._selected: PointKey | None = None
        self._seat_id = self._seat_to_show()
        self._sealing: Sealing | None = None

    # --- what shows ------------------------------------------------------------------------------

    @property
    def plan(self) -> Plan:
        return self._inspection.state.plan

    @property
    def state(self) -> InspectionState:
        return self._inspection.state

    @property
    def evaluation(self) -> Evaluation:
        return self._evaluation

    @property
    def heading(self) -> str:
        return f"{self.plan.heading.title} · sheet {self.state.identification.sheet_number}"

    @property
    def inspector(self) -> str:
        return self._inspection.actor

    @property
    def instruction(self) -> str:
        """What to do next, in one sentence."""
        state = self.state
        if state.sealed is not None:
            sheet = self._sealing.sheet if self._sealing is not None else None
            return f"Sealed. The sheet is {sheet}." if sheet else "The inspection is sealed."
        point = self.next_point
        if point is None:
            if state.waiting_presses():
                return "All points are done. Decide on the parked presses, then seal."
            return "All points are done. Seal the inspection."
        seat = self.plan.seat(point.seat_id)
        again = "once more " if state.redo_reason else ""
        place = self._place(point)
        count = ""
        if seat.repeats > 1:
            done = 0 if state.redo_reason else len(state.readings_at(point.key))
            count = f" (reading {done + 1} of {seat.repeats})"
        return f"Measure {again}{place}{count}."

    @property
    def progress(self) -> tuple[int, int]:
        """How many points are done (measured or left out), and how many there are."""
        total = len(self.plan.points())
        return total - len(self.state.open_points()), total

    @property
    def next_point(self) -> Point | None:
        return self._point(self.state.cursor)

    @property
    def selected_point(self) -> Point | None:
        return self._point(self._selected)

    @property
    def last_reading(self) -> LoggedReading | None:
        """The newest reading that counts: what a person means by taking back."""
        return self.state.last_reading()

    @property
    def is_simulated(self) -> bool:
        """Whether any reading came from a simulated gauge."""
        return any(gauge.simulated for gauge in self.state.gauges)

    @property
    def last(self) -> LastValue:
        return self._last

    @property
    def line(self) -> LineState | None:
        return self._line

    @property
    def line_is_up(self) -> bool:
        return self._line is not None and self._line.kind is LineKind.CONNECTED

    @property
    def seat(self) -> Seat:
        """The seat that drawings and plots show: that of the next point, or of the last one."""
        return self.plan.seat(self._seat_id)

    @property
    def seat_evaluation(self) -> SeatEvaluation:
        return self._evaluation.seat(self._seat_id)

    @property
    def polar(self) -> PolarPlot:
        return polar_plot(self.seat_evaluation)

    @property
    def polar_notes(self) -> tuple[str, ...]:
        return polar_notes(self.plan, self.polar)

    @property
    def along(self) -> AlongPlot:
        return along_plot(self.seat_evaluation)

    @property
    def requirements(self) -> tuple[RequirementLine, ...]:
        """The requirements of the seat shown, with what can be said of them by now."""
        return tuple(
            requirement_line(self.plan, requirement)
            for requirement in self.seat_evaluation.requirements
        )

    @property
    def blindness(self) -> str:
        return BLIND

    @property
    def points(self) -> tuple[PointView, ...]:
        told: dict[PointKey, list[LoggedReading]] = {}
        for reading in self.state.readings.values():
            told.setdefault(reading.key, []).append(reading)
        return tuple(self._view(point, told.get(point.key, [])) for point in self.plan.points())

    @property
    def parked(self) -> tuple[ParkedNotice, ...]:
        return tuple(
            ParkedNotice(
                seq=press.seq,
                text=f"{figures.received(press.received.value)} {press.received.unit}",
                came=self._when(press),
                finding=press.finding,
            )
            for press in self.state.waiting_presses()
        )

    @property
    def is_sealed(self) -> bool:
        return self.state.sealed is not None

    @property
    def can_seal(self) -> bool:
        return not self.is_sealed and not self._inspection.unfinished()

    @property
    def in_the_way(self) -> tuple[str, ...]:
        """What stands between now and a seal."""
        return () if self.is_sealed else self._inspection.unfinished()

    @property
    def can_take_back(self) -> bool:
        return not self.is_sealed and self.state.last_reading() is not None

    @property
    def can_skip(self) -> bool:
        return not self.is_sealed and self.next_point is not None

    @property
    def sealing(self) -> Sealing | None:
        return self._sealing

    # --- what comes from the gauge ---------------------------------------------------------------

    def take(self, arrival: Arrival) -> None:
        """Take what arrived: log it, park it, or say why neither was possible."""
        press = press_of(arrival)
        if press is None:
            assert isinstance(arrival.content, Refusal)
            self._last = LastValue(
                ValueKind.REFUSED, arrival.content.text, "", "", arrival.content.reason, None
            )
            self.on_change()
            return
        try:
            outcome = self._inspection.take(press)
        except (ArchiveError, CommandRefusedError) as error:
            self._last = LastValue(
                ValueKind.NOT_STORED, figures.received(str(press.value)), "", "", str(error), None
            )
            self.on_change()
            return
        if isinstance(outcome, LoggedReading):
            self._take_in(outcome.key.seat_id)
            self._last = _logged_value(self._evaluation, outcome)
        else:
            self._last = _parked_value(outcome)
        self._show()

    def take_line(self, line: LineState) -> None:
        """Take a change of the gauge's line."""
        self._line = line
        self.on_change()

    # --- what a person does ----------------------------------------------------------------------

    def take_back(self, reason: str, seq: int | None = None) -> None:
        """Withdraw the reading of that event, or the newest."""
        self._take_in(self._inspection.take_back(reason, seq).seat_id)
        self._last = _last_value_of(self._evaluation, self.state)
        self._show()

    def skip(self, reason: str, key: PointKey | None = None) -> None:
        """Leave out a point, or the next one."""
        self._inspection.skip(reason, key)
        self._show()

    def select(self, key: PointKey | None) -> None:
        """Point at a point without doing anything to it yet."""
        self._selected = key
        if key is not None:
            self._seat_id = key.seat_id
        self.on_change()

    def move_selection(self, stations: int, orientations: int) -> None:
        """Move the selection over the seat shown, going round at its edges."""
        start = self.selected_point or self.next_point
        if start is None or start.seat_id != self._seat_id:
            self.select(PointKey(self._seat_id, 1, 1))
            return
        seat = self.seat
        station = (start.station - 1 + stations) % len(seat.stations_mm) + 1
        orientation = (start.orientation - 1 + orientations) % len(seat.orientations_deg) + 1
        self.select(PointKey(seat.id, station, orientation))

    def show_next_seat(self) -> None:
        """Show the following seat without going there."""
        ids = [seat.id for seat in self.plan.seats]
        self._seat_id = ids[(ids.index(self._seat_id) + 1) % len(ids)]
        self._selected = None
        self.on_change()

    def needs_reason_to_go(self, key: PointKey) -> bool:
        """Tell whether going to a point means to measure again what is measured already."""
        return self.state.is_complete(key)

    def go_to(self, key: PointKey, reason: str = "") -> None:
        """Make a point the next one."""
        self._inspection.aim(key, reason)
        self._selected = None
        self._show()

    def use_parked(self, seq: int, key: PointKey, reason: str) -> None:
        """Lay a parked press on a point."""
        reading = self._inspection.use_parked(seq, key, reason)
        self._take_in(reading.key.seat_id)
        self._last = _logged_value(self._evaluation, reading)
        self._show()

    def discard_parked(self, seq: int, reason: str) -> None:
        self._inspection.discard_parked(seq, reason)
        if self._last.kind is ValueKind.PARKED:
            self._last = _last_value_of(self._evaluation, self.state)
        self._show()

    def seal(self, statement: str) -> None:
        """Seal the inspection under a statement, and write its sheet and record."""
        content = compose(self.state, self._evaluation, PROGRAM)
        self._inspection.seal(content.model_dump(mode="json"), statement)
        self._sealing = self._finish(self.state)
        self._show()

    # --- inside ----------------------------------------------------------------------------------

    def _when(self, press: ParkedPress) -> str:
        clock = local_time(press.moment, self.state.opened.offset_min)[11:19]
        return f"{clock}, at {press.key}" if press.key is not None else clock

    def _take_in(self, seat_id: str) -> None:
        """Bring the results up to date after something happened to a seat's readings."""
        self._evaluation = evaluate_further(self._evaluation, self.state, seat_id)

    def _show(self) -> None:
        self._selected = None
        self._seat_id = self._seat_to_show()
        self.on_change()

    def _seat_to_show(self) -> str:
        state = self.state
        if state.cursor is not None:
            return state.cursor.seat_id
        reading = state.last_reading()
        return reading.key.seat_id if reading is not None else self.plan.seats[0].id

    def _point(self, key: PointKey | None) -> Point | None:
        return next((point for point in self.plan.points() if point.key == key), None)

    def _place(self, point: Point) -> str:
        z = figures.position(point.z_mm, self.plan.unit)
        return (
            f"seat {point.seat_id}, station {point.station} ({z} {self.plan.unit}), "
            f"at {figures.angle(point.angle_deg)}"
        )

    def _view(self, point: Point, readings: list[LoggedReading]) -> PointView:
        key, state = point.key, self.state
        mark = PointMark.OPEN
        if key in state.skipped:
            mark = PointMark.SKIPPED
        elif state.is_complete(key):
            size = self._evaluation.seat(key.seat_id).size_at[key]
            mark = _MARKS[mark_of(self.plan.seat(key.seat_id), size.size_mm)]
        return PointView(
            point=point,
            mark=mark,
            is_next=key == state.cursor,
            is_selected=key == self._selected,
            story=self._story(point, mark, readings),
        )

    def _story(self, point: Point, mark: PointMark, readings: list[LoggedReading]) -> str:
        lines = [f"S{self._place(point)[1:]}: {mark}"]
        for reading in readings:
            fate = f" – {reading.fate}" if reading.fate else ""
            received = reading.received
            lines.append(f"{figures.received(received.value)} {received.unit}{fate}")
        if mark is PointMark.SKIPPED:
            lines.append(self.state.skipped[point.key])
        return "\n".join(lines)


def _logged_value(evaluation: Evaluation, reading: LoggedReading) -> LastValue:
    """Say where the size at a reading's point lies, now that the reading is part of it."""
    result = evaluation.seat(reading.key.seat_id)
    seat = result.seat
    size = result.size_at[reading.key]
    mark = _MARKS[mark_of(seat, size.size_mm)]
    departure_um = (size.size_mm - float(seat.nominal_mm)) * UM_PER_MM
    departure = figures.small(departure_um, evaluation.unit, sign=True)
    correction = figures.small(size.correction_um, evaluation.unit, sign=True)
    at_20 = f" at 20 °C ({correction} for temperature)" if size.correction_um else ""
    return LastValue(
        kind=ValueKind.LOGGED,
        figures=figures.received(reading.received.value),
        unit=reading.received.unit,
        place=f"{reading.key}",
        note=f"{departure} from nominal{at_20}",
        mark=mark,
    )


def _parked_value(press: ParkedPress) -> LastValue:
    return LastValue(
        kind=ValueKind.PARKED,
        figures=figures.received(press.received.value),
        unit=press.received.unit,
        place="",
        note=press.finding,
        mark=None,
    )


def _last_value_of(evaluation: Evaluation, state: InspectionState) -> LastValue:
    reading = state.last_reading()
    return _NO_VALUE if reading is None else _logged_value(evaluation, reading)
