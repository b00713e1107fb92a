"""Commands about presses: taken, parked, decided on, taken back, repeated."""

from dataclasses import dataclass, replace
from decimal import Decimal

from seatproof.core import figures
from seatproof.core.plan.points import PointKey
from seatproof.core.record.commands.logbook import Logbook, given
from seatproof.core.record.entries import LoggedReading, ParkedPress
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    GaugeInService,
    OwedReasonGiven,
    ParkedDiscarded,
    Place,
    PressParked,
    ReadingLogged,
    ReadingWithdrawn,
    Received,
    Repeat,
    RepeatAsked,
)
from seatproof.core.record.plausibility import Finding, finding_against, trend_break
from seatproof.core.units import UM_PER_MM, Unit, to_mm


@dataclass(frozen=True, slots=True)
class Press:
    """One arrival of a value from a gauge, before it has a point.

    `gauge` is the inventory number of the one that sent it; empty for the one that serves the seat
    of the next point. `doubts` are what the line found suspicious about it as one press for one
    point, each a clause. A value that a person typed is `by_hand`.
    """

    value: Decimal
    unit: Unit | None
    text: str
    raw: bytes
    format: str
    arrival: int
    channel: str | None = None
    doubts: tuple[str, ...] = ()
    gauge: str = ""
    by_hand: bool = False


class Pressing(Logbook):
    """What becomes of presses."""

    __slots__ = ()

    def take(self, press: Press) -> LoggedReading | ParkedPress:
        """Log a press on the point that is next, or park it where it cannot be right.

        A value that breaks the trend of its neighbours, or repeats that differ by more than the
        plan allows, are logged; one more reading is then wanted at the point, which stays next
        (`state.repeats_wanted`).

        Raises
        ------
        CommandRefusedError
            No such gauge is in service, or the inspection is sealed; the press is then not part of
            it.
        """
        gauge = self._gauge_of(press)
        if self.state.sealed is not None:
            raise CommandRefusedError("The inspection is sealed; this press was not logged in it.")
        received = received_from(press, gauge)
        key = self.state.cursor
        finding = _not_serving(gauge, key) or finding_against(self.state, received)
        finding = _together(_doubted(press), finding)
        if finding is not None or key is None:
            finding = finding or Finding("No point is open.", "no open point")
            event = self._log(
                PressParked(
                    received=received,
                    place=None if key is None else Place.of(key),
                    finding=finding.sentence,
                    cause=finding.cause,
                    fits=finding.fits,
                )
            )
            return self.state.parked[event.seq]
        return self._log_reading(
            key, received, reason=self.state.redo_reason, owed_by=self.state.redo_owed
        )

    def use_parked(
        self,
        parked: int,
        key: PointKey,
        reason: str = "",
        *,
        owed: bool = False,
        read_as: Unit | None = None,
    ) -> LoggedReading:
        """Lay a parked press on a point after all; a value there is superseded.

        `read_as` says in which unit the gauge showed it, where that is another than was thought. A
        size outside the plausible window that is used so counts as confirmed wear: the window of
        its seat is then wider.
        """
        press = self._waiting(parked)
        self._to_do(key)
        reason = given(reason, owed=owed)
        received = press.received if read_as is None else _read_as(press.received, read_as)
        return self._log_reading(
            key,
            received,
            reason=reason,
            parked=parked,
            owed_by=0 if owed else None,
            read_as="" if received is press.received else received.unit,
        )

    def discard_parked(self, parked: int, reason: str = "", *, owed: bool = False) -> None:
        """Decide that a parked press is none of the values; it stays in the record."""
        self._waiting(parked)
        self._log(ParkedDiscarded(parked=parked, reason=given(reason, owed=owed), owed=owed))

    def take_back(
        self, reason: str = "", seq: int | None = None, *, owed: bool = False
    ) -> PointKey:
        """Withdraw a reading, by default the newest; the next press belongs to its point."""
        reading = self.state.last_reading() if seq is None else self.state.readings.get(seq)
        if reading is None or not reading.counts:
            raise CommandRefusedError("There is no such reading to take back any longer.")
        reason = given(reason, owed=owed)
        self._log(ReadingWithdrawn(reading=reading.seq, reason=reason, owed=owed))
        return reading.key

    def ask_repeat(self, why: str, key: PointKey | None = None) -> PointKey:
        """Want one more reading beside those of a point, by default where the last one was."""
        if key is None:
            last = self.state.last_reading()
            if last is None:
                raise CommandRefusedError("There is no reading to repeat yet.")
            key = last.key
        self._to_do(key)
        if not self.state.counting.get(key):
            raise CommandRefusedError(f"Point {key} has no reading to repeat; measure it first.")
        self._log(RepeatAsked(place=Place.of(key), repeat=Repeat(why=given(why))))
        return key

    def give_reason(self, of: int, reason: str) -> None:
        """Give the reason that event `of` owes."""
        if of not in self.state.owed:
            raise CommandRefusedError("No reason is owed there any longer.")
        self._log(OwedReasonGiven(of=of, reason=given(reason)))

    # --- inside ----------------------------------------------------------------------------------

    def _gauge_of(self, press: Press) -> GaugeInService:
        state = self.state
        if not state.gauge_entries:
            raise CommandRefusedError("Put a gauge in service before the first press.")
        if press.gauge:
            gauge = state.gauge_named(press.gauge)
            if gauge is None:
                raise CommandRefusedError(
                    f"Gauge {press.gauge} was not put in service in this inspection; do that first."
                )
            return gauge
        serving = None if state.cursor is None else state.gauge_for(state.cursor.seat_id)
        return serving or state.gauge_entries[-1].payload

    def _log_reading(
        self,
        key: PointKey,
        received: Received,
        *,
        reason: str,
        parked: int | None = None,
        owed_by: int | None = None,
        read_as: str = "",
    ) -> LoggedReading:
        redone = key == self.state.cursor and bool(self.state.redo_reason)
        replaces = redone or (parked is not None and self.state.is_complete(key))
        payload = ReadingLogged.model_validate(
            {
                "place": Place.of(key),
                "received": received,
                "supersedes": self.state.counting.get(key, ()) if replaces else (),
                "parked": parked,
                "reason": "" if owed_by is not None else reason,
                "owed_by": owed_by,
                "read_as": read_as,
            }
        )
        event = self._event(payload)
        following = self._following(event)
        repeat = _repeat_wanted(following, key, is_confirmed=parked is not None)
        if repeat is not None:
            # In one event with the reading, so that a failure between the two cannot be.
            event = self._event(payload.model_copy(update={"repeat": repeat}))
            following = self._following(event)
        self.store.append(event)
        self.state = following
        return following.readings[event.seq]

    def _waiting(self, parked: int) -> ParkedPress:
        press = self.state.parked.get(parked)
        if press is None or not press.waits:
            raise CommandRefusedError("That press does not wait for a decision any longer.")
        return press


def received_from(press: Press, gauge: GaugeInService) -> Received:
    """Return what the record keeps of a press from a gauge."""
    unit = press.unit or Unit(gauge.unit)
    return Received(
        value=str(press.value),
        unit=unit.value,
        value_mm=str(to_mm(press.value, unit)),
        text=press.text,
        raw_hex=press.raw.hex(),
        format=press.format,
        channel=press.channel,
        gauge=gauge.inventory_number,
        arrival=press.arrival,
        by_hand=press.by_hand,
    )


def _repeat_wanted(state: InspectionState, key: PointKey, *, is_confirmed: bool) -> Repeat | None:
    """Return whether the newest reading at a point asks for one more; once for each cause."""
    if not state.is_complete(key):
        return None
    limit_mm = state.plan.seat(key.seat_id).repeat_spread_mm
    values_mm = [reading.value_mm for reading in state.readings_at(key)]
    spread_mm = max(values_mm) - min(values_mm)
    asked = {repeat.cause for repeat in state.repeats_wanted(key)}
    if limit_mm is not None and spread_mm > limit_mm and "spread" not in asked:
        unit = state.plan.unit
        return Repeat(
            why=f"The readings at {key} differ by "
            f"{figures.small(float(spread_mm) * UM_PER_MM, unit)}, and the plan allows "
            f"{figures.tolerance(float(limit_mm) * UM_PER_MM, unit)}; measure it once more.",
            cause="spread",
        )
    ever_asked = {repeat.cause for repeat in state.repeats.get(key, ())}
    if is_confirmed or "trend" in ever_asked:
        return None
    broken = trend_break(state, key)
    return None if broken is None else Repeat(why=broken, cause="trend")


def _doubted(press: Press) -> Finding | None:
    """Return what the line found suspicious, as a sentence."""
    if not press.doubts:
        return None
    return Finding(f"Doubtful as a press: {'; '.join(press.doubts)}.", "line")


def _together(line: Finding | None, value: Finding | None) -> Finding | None:
    """Return what speaks against a press; what is known of its value tells where it belongs."""
    if line is None or value is None:
        return value or line
    return replace(value, sentence=f"{line.sentence} {value.sentence}")


def _not_serving(gauge: GaugeInService, key: PointKey | None) -> Finding | None:
    if key is None or not gauge.seats or key.seat_id in gauge.seats:
        return None
    seats = ", ".join(gauge.seats)
    return Finding(
        f"It came from gauge {gauge.inventory_number}, which serves seat {seats}, and the next "
        f"point is on seat {key.seat_id}.",
        "gauge",
        gauge.seats[0] if len(gauge.seats) == 1 else "",
    )


def _read_as(received: Received, unit: Unit) -> Received:
    if unit not in (Unit.MM, Unit.INCH):
        raise CommandRefusedError("A gauge shows millimetres or inches; choose one of the two.")
    return received.model_copy(
        update={"unit": unit.value, "value_mm": str(to_mm(Decimal(received.value), unit))}
    )
