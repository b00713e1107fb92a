"""A person who carries out a plan with a simulated gauge, press by press over its real line."""

import queue
from types import TracebackType
from typing import Final, Literal, Self

from seatproof.core import figures
from seatproof.core.plan.points import Point
from seatproof.core.record.checks import expected_mm
from seatproof.core.record.commands.pressing import received_from
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import ReferenceCheck
from seatproof.core.record.state import LoggedReading
from seatproof.core.units import UM_PER_MM
from seatproof.devices.formats import Refusal
from seatproof.devices.gauge import Arrival, GaugeReader, LineKind, LineState
from seatproof.devices.transport import LineSettings
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.intake import press_of
from seatproof.gui.simulation import (
    SimulatedGauge,
    SteadyHand,
    gauge_with_papers,
    simulated_standards,
)

_PATIENCE_S: Final = 10.0  # far longer than a press takes; then something is wrong
_PRESSES_ON_A_STANDARD: Final = 3


class SimulatedPerson:
    """Looks at seats, checks the gauge and presses it, as the plan of an inspection asks.

    Everything goes the way it goes with a real gauge. Use it as a context manager: the gauge's
    line is open meanwhile.
    """

    def __init__(self, inspection: Inspection, gauge: SimulatedGauge) -> None:
        self._inspection = inspection
        self._gauge = gauge
        self._hand = SteadyHand(gauge)
        self._arrivals: queue.Queue[Arrival] = queue.Queue()
        self._lines: queue.Queue[LineState] = queue.Queue()
        self._reader = GaugeReader(
            gauge.source,
            LineSettings(),
            on_arrival=self._arrivals.put,
            on_line=self._lines.put,
        )

    def __enter__(self) -> Self:
        self._reader.start()
        try:
            self._await_connection()
        except BaseException:
            self._reader.stop()
            raise
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._reader.stop()

    @property
    def source(self) -> str:
        return self._gauge.source

    def look_at_the_seats(self) -> None:
        """Answer every condition that the plan asks for."""
        plan = self._inspection.state.plan
        for seat in plan.seats_apart:
            for condition in plan.conditions:
                self._inspection.answer_condition(seat.id, condition, "met")

    def put_in_service(self) -> None:
        """Put the gauge in service, and a setting standard for every seat where the plan asks."""
        plan, now = self._inspection.state.plan, self._inspection.clock()
        self._inspection.put_in_service(gauge_with_papers(self._gauge, plan, now))
        for standard in simulated_standards(plan, now):
            self._inspection.put_in_service(standard)

    def note_temperatures(self) -> None:
        shaft_c, gauge_c = self._gauge.temperatures_c
        self._inspection.note_temperatures(shaft_c, gauge_c)

    def check_the_gauge(
        self, phase: Literal["opening", "closing"], occasion: Literal["start", "end"]
    ) -> str:
        """Check the gauge on every setting standard in service; return what it showed, in words.

        Raises
        ------
        CommandError
            No setting standard is in service, or a press does not arrive whole.
        """
        state = self._inspection.state
        gauge = state.gauge
        standards = {entry.payload.inventory_number: entry.payload for entry in state.standards}
        if gauge is None or not standards:
            raise CommandError("The plan asks for a check on a standard that is not in service.")
        shaft_c, gauge_c = self._gauge.temperatures_c
        said = []
        for standard in standards.values():
            expected = expected_mm(standard, gauge, gauge_c, gauge_c)
            self._gauge.put_on(standard)
            presses = [self._press() for _ in range(_PRESSES_ON_A_STANDARD)]
            logged = self._inspection.check_reference(
                ReferenceCheck(
                    phase=phase,
                    occasion=occasion,
                    gauge=gauge.inventory_number,
                    standard=standard.inventory_number,
                    expected_mm=str(expected),
                    received=tuple(received_from(press, gauge) for press in presses),
                    shaft_c=str(shaft_c),
                    gauge_c=str(gauge_c),
                    standard_c=str(gauge_c),
                )
            )
            off = figures.small(float(logged.deviation_mm) * UM_PER_MM, state.plan.unit, sign=True)
            said.append(f"{standard.inventory_number} {off}")
        return ", ".join(said)

    def measure(self, point: Point) -> None:
        """Press at a point as often as the plan asks for.

        Raises
        ------
        CommandError
            A press does not arrive whole, or not at its point.
        """
        self._gauge.aim(point)
        for _ in range(self._inspection.state.plan.seat(point.seat_id).repeats):
            outcome = self._inspection.take(self._press())
            if not isinstance(outcome, LoggedReading) or outcome.key != point.key:
                raise CommandError(f"The press for point {point.key} did not reach its point.")

    def _press(self) -> Press:
        self._hand.press()
        try:
            arrival = self._arrivals.get(timeout=_PATIENCE_S)
        except queue.Empty:
            raise CommandError(
                "A press of the simulated gauge did not arrive; try again."
            ) from None
        press = press_of(arrival)
        if press is None:
            assert isinstance(arrival.content, Refusal)
            raise CommandError(f"A press came damaged: {arrival.content.reason}")
        return press

    def _await_connection(self) -> None:
        while True:
            try:
                state = self._lines.get(timeout=_PATIENCE_S)
            except queue.Empty:
                raise CommandError("The simulated gauge's line does not open; try again.") from None
            if state.kind is LineKind.CONNECTED:
                return
            if state.kind is LineKind.FAILED:
                raise CommandError(state.sentence)
