"""What the bench shows and does, as plain Python: the widgets paint it and decide nothing."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

from seatproof.core import figures
from seatproof.core.archive.errors import ArchiveError
from seatproof.core.equipment.item import Item
from seatproof.core.evaluation.evaluate import Evaluation, SeatEvaluation, evaluate_fully
from seatproof.core.evaluation.requirement import BLIND
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, PointKey, Walk
from seatproof.core.plan.seat import Seat
from seatproof.core.plots.along import AlongPlot
from seatproof.core.plots.polar import PolarPlot
from seatproof.core.record.entries import OwedReason
from seatproof.core.record.errors import CommandRefusedError, RecordError
from seatproof.core.record.gaps import Gap, GapKind
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.core.record.signing import MEASURED
from seatproof.core.record.state import InspectionState, LoggedReading, ParkedPress
from seatproof.core.units import Unit
from seatproof.core.version import PROGRAM
from seatproof.core.wording.content import RequirementLine, SheetContent
from seatproof.core.wording.moments import local_time
from seatproof.core.wording.requirement_line import requirement_line
from seatproof.core.wording.seat_part import polar_notes
from seatproof.devices.formats import Refusal
from seatproof.devices.gauge import Arrival, LineKind, LineState
from seatproof.gui.bench.instructions import instruction
from seatproof.gui.bench.judging import Judgement, Work, at_once
from seatproof.gui.bench.last_value import (
    LastValue,
    ValueKind,
    held_value,
    last_value_of,
    logged_value,
    not_stored_value,
    parked_value,
    refused_value,
)
from seatproof.gui.bench.points import PointBoard, PointView
from seatproof.gui.bench.steps import Steps
from seatproof.gui.intake import press_of, typed_press, typed_value
from seatproof.gui.sound.cue import Cue

if TYPE_CHECKING:  # keys and signatures are loaded when somebody signs
    from seatproof.core.people.register import PeopleRegister
    from seatproof.core.people.signer import Signer

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class ParkedNotice:
    """A parked press that waits for a decision."""

    seq: int
    text: str
    came: str
    finding: str
    place: PointKey | None
    read_as: Unit | None = None


@dataclass(frozen=True, slots=True)
class Sealing:
    """What came of sealing: where the files lie, or why a file could not be written."""

    sheet: Path | None
    record: Path | None
    trouble: str


_MOST_TRACES = 8

WALKS: Final[dict[str, tuple[Walk, bool]]] = {
    "Station by station": ("station by station", False),
    "Station by station, there and back": ("station by station", True),
    "Orientation by orientation": ("orientation by orientation", False),
    "Orientation by orientation, there and back": ("orientation by orientation", True),
}

# A value that fits when it is read in the other unit is offered in that one.
_READ_AS = {"inches": Unit.INCH, "millimetres": Unit.MM}


def _nobody(*_: object) -> None:
    """Stand in for a listener until there is one."""


def _no_hint(gauge: str) -> str:
    del gauge
    return ""


def _no_people() -> "PeopleRegister":
    raise CommandRefusedError("There is no register of people here; sign in the review.")


def _no_photo(sha256: str) -> bytes:
    raise KeyError(sha256)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What of the archive the bench asks for beside the inspection.

    Attributes
    ----------
    equipment : callable
        Returns what the register of equipment has in use.
    people : callable
        Opens the register of people.
    photo_source : callable
        Returns the bytes of a photo by their hash.
    trouble_ahead : callable
        Says why the next press might not be stored; empty where nothing speaks against it.
    """

    equipment: Callable[[], tuple[Item, ...]] = tuple
    people: "Callable[[], PeopleRegister]" = _no_people
    photo_source: Callable[[str], bytes] = _no_photo
    trouble_ahead: Callable[[], str] = str


class BenchModel:
    """An inspection at the bench.

    Attributes
    ----------
    on_change : callable
        Called after anything that shows has changed.
    on_results : callable
        Called after the results of a seat have changed, which may be a little later.
    on_cue : callable
        Called with a `Cue` where something is to be heard.
    on_gauge : callable
        Called with a gauge that was put in service, so that its line is opened.
    hint_of : callable
        Says of a gauge how a value of it is had, where its own button does not do it.
    """

    def __init__(
        self,
        inspection: Inspection,
        *,
        finish: Callable[[InspectionState], Callable[[], Sealing]],
        work: Work = at_once,
        surroundings: Surroundings | None = None,
    ) -> None:
        self.on_change: Callable[[], None] = _nobody
        self.on_results: Callable[[], None] = _nobody
        self.on_cue: Callable[[Cue], None] = _nobody
        self.on_gauge: Callable[[GaugeInService], None] = _nobody
        self.hint_of: Callable[[str], str] = _no_hint
        around = surroundings or Surroundings()
        self.equipment = around.equipment
        self.people = around.people
        self._photo_source = around.photo_source
        self._trouble_ahead = around.trouble_ahead
        self._work = work
        self.is_sealing = False
        self.seal_remarks: tuple[str, ...] = ()
        self.seal_reasons: dict[str, str] = {}
        self._inspection = inspection
        self._finish = finish
        self._judgement = Judgement(inspection.state, work, self._results_came)
        self._board = PointBoard(inspection.state)
        self._last = last_value_of(inspection.state)
        self._lines: dict[str, LineState] = {}
        self._sample: tuple[str, str] | None = None
        self._typed_count = 0
        self._selected: PointKey | None = None
        self._seat_id = self._seat_to_show()
        self._sealing: Sealing | None = None
        self.steps = Steps(self, inspection.clock)
        self.steps.start(has_open=self.has_open)

    # --- what shows ------------------------------------------------------------------------------

    @property
    def plan(self) -> Plan:
        return self._inspection.state.plan

    @property
    def state(self) -> InspectionState:
        return self._inspection.state

    @property
    def evaluation(self) -> Evaluation:
        """The results so far; a moment behind the state where they take long."""
        return self._judgement.evaluation

    @property
    def results_are_current(self) -> bool:
        return self._judgement.is_current

    @property
    def heading(self) -> str:
        return f"{self.plan.heading.title} · sheet {self.state.identification.sheet_number}"

    @property
    def inspector(self) -> str:
        return self._inspection.actor

    @property
    def instruction(self) -> str:
        """What to do next, in one sentence."""
        return instruction(self)

    @property
    def progress(self) -> tuple[int, int]:
        """How many points are done (measured or left out), and how many there are."""
        return self._board.progress

    @property
    def has_open(self) -> bool:
        """Whether any point is open."""
        done, total = self.progress
        return done < total

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
    def sample(self) -> tuple[str, str] | None:
        """What a streaming gauge shows now, figures and unit; None where none streams."""
        return self._sample

    @property
    def gauge_number(self) -> str:
        """The gauge in use, by its inventory number."""
        gauge = self.state.gauge
        return gauge.inventory_number if gauge is not None else ""

    @property
    def gauge_numbers(self) -> tuple[str, ...]:
        """The gauges that were put in service, each once."""
        return tuple(dict.fromkeys(gauge.inventory_number for gauge in self.state.gauges))

    @property
    def lines(self) -> dict[str, LineState]:
        """The lines of all gauges by inventory number."""
        return self._lines

    @property
    def line(self) -> LineState | None:
        """The line of the gauge in use."""
        return self._lines.get(self.gauge_number)

    @property
    def line_trouble(self) -> str:
        """What is wrong with a gauge's line, in sentences; empty where nothing is."""
        ahead = self._trouble_ahead()
        sentences = [ahead] if ahead else []
        for number, line in self._lines.items():
            is_opening = line.kind is LineKind.CONNECTING and line.error is None
            if line.kind is LineKind.CONNECTED and line.symptom is not None:
                sentences.append(f"{number}: {line.sentence}")
            elif line.kind not in (LineKind.CONNECTED, LineKind.CLOSED) and not is_opening:
                sentences.append(f"{number}: {line.sentence} Everything logged is kept.")
        return "\n".join(sentences)

    @property
    def line_is_up(self) -> bool:
        return self.line is not None and self.line.kind is LineKind.CONNECTED

    @property
    def seat(self) -> Seat:
        """The seat that drawings and plots show: that of the next point, or of the last one."""
        return self.plan.seat(self._seat_id)

    @property
    def seat_evaluation(self) -> SeatEvaluation:
        return self.evaluation.seat(self._seat_id)

    @property
    def polar(self) -> PolarPlot:
        """The polar plot of the stations round the one in hand: more of them hide each other."""
        plot, point = self._judgement.plots(self._seat_id).polar, self.next_point
        if len(plot.traces) <= _MOST_TRACES:
            return plot
        here = point.station if point is not None and point.seat_id == self._seat_id else 1
        near = sorted(plot.traces, key=lambda trace: abs(trace.station - here))[:_MOST_TRACES]
        traces = tuple(sorted(near, key=lambda trace: trace.station))
        return plot.model_copy(update={"traces": traces})

    @property
    def polar_notes(self) -> tuple[str, ...]:
        return polar_notes(self.plan, self.polar)

    @property
    def along(self) -> AlongPlot | None:
        """The plot of sizes along the seat; None where its readings are no sizes."""
        return self._judgement.plots(self._seat_id).along

    @property
    def insights(self) -> tuple[str, ...]:
        """What the verdicts of the seat shown hang on, in sentences."""
        return self.insights_of(self._seat_id)

    def insights_of(self, seat_id: str) -> tuple[str, ...]:
        """Say what the verdicts of a seat hang on."""
        return self._judgement.plots(seat_id).insights

    def choose_walk(self, words: str) -> None:
        """Visit the points in another order from here on."""
        walk, there_and_back = WALKS[words]
        self._inspection.choose_walk(walk, there_and_back=there_and_back)
        self._show()

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
        return self._board.views

    def points_at(self, seat_id: str, station: int) -> tuple[PointView, ...]:
        """Return the points of one station."""
        count = len(self.plan.seat(seat_id).orientations_deg)
        return tuple(
            self._board.view(PointKey(seat_id, station, orientation))
            for orientation in range(1, count + 1)
        )

    @property
    def story(self) -> str:
        """All that happened at the point that is selected."""
        return "" if self._selected is None else self._board.view(self._selected).story

    @property
    def use_places(self) -> tuple[PointKey | None, PointKey | None]:
        """Where a parked press can be used at once: the next point, and the selected one."""
        return self.state.cursor, self._selected

    @property
    def parked(self) -> tuple[ParkedNotice, ...]:
        return tuple(
            ParkedNotice(
                seq=press.seq,
                text=f"{figures.received(press.received.value)} {press.received.unit}",
                came=self._when(press),
                finding=press.finding,
                place=self._fitting_place(press),
                read_as=_READ_AS.get(press.cause),
            )
            for press in self.state.waiting_presses()
        )

    @property
    def is_sealed(self) -> bool:
        return self.state.sealed is not None

    @property
    def can_seal(self) -> bool:
        return not self.is_sealed and self.state.cursor is None and not self._inspection.gaps()

    @property
    def in_the_way(self) -> tuple[str, ...]:
        """What stands between now and a seal; while points are open, no more than that."""
        if self.is_sealed:
            return ()
        if self.state.cursor is not None:
            done, total = self.progress
            return (f"{total - done} points are open.",)
        return self._inspection.unfinished()

    @property
    def can_take_back(self) -> bool:
        return not self.is_sealed and self.state.last_reading() is not None

    @property
    def can_skip(self) -> bool:
        return not self.is_sealed and self.next_point is not None

    @property
    def sealing(self) -> Sealing | None:
        return self._sealing

    @property
    def taking_hint(self) -> str:
        """How to have a value of the gauge in use; empty where its own button does it."""
        return "" if self.is_sealed else self.hint_of(self.gauge_number)

    # --- what comes from the gauges --------------------------------------------------------------

    def take(self, arrival: Arrival, gauge: str = "") -> None:
        """Take what arrived: log it, park it, or say why neither was possible."""
        self._sample = None
        press = press_of(arrival, gauge)
        if press is None:
            assert isinstance(arrival.content, Refusal)
            self._last = refused_value(arrival.content)
            self.on_cue(Cue.PARKED)
            self.on_change()
            return
        self._take_press(press)

    def type_value(self, text: str) -> None:
        """Take a value that was read off a display and typed; it is marked as typed by hand."""
        value = typed_value(text)
        if value is None:
            raise CommandRefusedError(
                f'"{text}" is no value; type digits with a decimal point, such as 110.012.'
            )
        self._typed_count += 1
        self._take_press(typed_press(value, self._typed_count))

    def take_sample(self, arrival: Arrival, gauge: str = "") -> None:
        """Take a value of a stream that is no press: only to be seen."""
        press = press_of(arrival)
        if press is not None and gauge in ("", self.gauge_number):
            unit = press.unit.value if press.unit is not None else ""
            self._sample = (figures.received(str(press.value)), unit)
            self.on_change()

    def take_line(self, line: LineState, gauge: str = "") -> None:
        """Take a change of a gauge's line."""
        number = gauge or self.gauge_number
        before = self._lines.get(number)
        self._lines[number] = line
        if line.kind is not LineKind.CONNECTED:
            self._sample = None
        was_up = before is not None and before.kind is LineKind.CONNECTED
        if line.kind in (LineKind.LOST, LineKind.FAILED) and (was_up or before is None):
            self.on_cue(Cue.GAUGE_LOST)
        self.on_change()

    # --- what a person does ----------------------------------------------------------------------

    def take_back(self, reason: str = "", seq: int | None = None, *, owed: bool = False) -> None:
        """Withdraw the reading of that event, or the newest; the reason may be owed."""
        key = self._inspection.take_back(reason, seq, owed=owed)
        self._last = last_value_of(self.state)
        self._show({key.seat_id})

    def skip(self, reason: str = "", key: PointKey | None = None, *, owed: bool = False) -> None:
        """Leave out a point, or the next one; the reason may be owed."""
        self._inspection.skip(reason, key, owed=owed)
        self._show()

    def select(self, key: PointKey | None) -> None:
        """Point at a point without doing anything to it yet."""
        self._selected = key
        if key is not None:
            self._seat_id = key.seat_id
        self._board.update(self.state, self._selected)
        self.on_change()

    def select_number(self, number: int) -> None:
        """Select the point of that number in the walk, counted from 1; none where there is none."""
        points = self.state.walk_points
        self.select(points[number - 1].key if 1 <= number <= len(points) else None)

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
        self._board.update(self.state, None)
        self.on_change()

    def needs_reason_to_go(self, key: PointKey) -> bool:
        """Tell whether going to a point means to measure again what is measured already."""
        return self.state.is_complete(key)

    def go_to(self, key: PointKey, reason: str = "", *, owed: bool = False) -> None:
        """Make a point the next one; the reason for measuring again may be owed."""
        self._inspection.aim(key, reason, owed=owed)
        self._show()

    def go_on(self) -> None:
        """Go to the open point that follows in the walk, and leave the next one open."""
        self._inspection.move_on()
        self._show()

    def use_parked(
        self,
        seq: int,
        key: PointKey,
        reason: str = "",
        *,
        owed: bool = False,
        read_as: Unit | None = None,
    ) -> None:
        """Lay a parked press on a point, read in the unit that makes it fit where that is known."""
        reading = self._inspection.use_parked(seq, key, reason, owed=owed, read_as=read_as)
        self._last = logged_value(self.state, reading)
        self._show({reading.key.seat_id})

    def discard_parked(self, seq: int, reason: str = "", *, owed: bool = False) -> None:
        """Decide that a parked press is none of the values."""
        self._inspection.discard_parked(seq, reason, owed=owed)
        if self._last.kind is ValueKind.PARKED:
            self._last = last_value_of(self.state)
        self._show()

    def seal(self, statement: str) -> None:
        """Seal the inspection under a statement, and write its sheet and record.

        The whole evaluation and the files are made beside the window; what is pressed meanwhile is
        logged, and makes it begin anew.
        """
        state = self.state
        photos = {
            entry.payload.sha256: self._photo_source(entry.payload.sha256) for entry in state.photos
        }
        self.is_sealing = True
        self._work(
            lambda: composed(state, photos),
            lambda content: self._seal_over(state, content, statement),
        )
        self.on_change()

    def _seal_over(self, state: InspectionState, content: SheetContent, statement: str) -> None:
        self.is_sealing = False
        if self.state is not state:
            self.seal(statement)
            return
        from seatproof.core.sheet.compose import before_sealing  # as in `composed`

        remarks = before_sealing(content)
        if remarks != self.seal_remarks:
            self.seal_remarks = remarks  # sealed when it is asked for again, knowing of them
            if remarks:
                self.on_change()
                return
        try:
            self._inspection.seal(content.model_dump(mode="json"), statement, self.seal_reasons)
        except (ArchiveError, RecordError) as error:
            self.seal_remarks = (str(error),)
            self.on_change()
            return
        self._work(self._finish(self.state), self._finished)
        self._show()

    def _finished(self, sealing: Sealing) -> None:
        self._sealing = sealing
        self.on_change()

    @property
    def signature_is_owed(self) -> bool:
        """Whether the seal is there and still to be signed."""
        return self.is_sealed and bool(self.state.signature_owed)

    def sign(self, signer: "Signer") -> None:
        """Sign the seal with a person's key."""
        seal = self.state.seal
        assert seal is not None  # it is offered only then
        signed = signer.sign(
            inspection=self.state.inspection,
            of_seq=seal.seq,
            of_hash=seal.event.hash,
            meaning=MEASURED,
            moment=self._inspection.clock(),
        )
        self._inspection.sign(signed)
        self._work(self._finish(self.state), self._finished)  # the sheet names who signed
        self._show()

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """What stands between the inspection and a clean seal."""
        return () if self.is_sealed else self._inspection.gaps()

    def owed_behind(self, gap: Gap) -> OwedReason | None:
        """Return the owed reason that a gap speaks of."""
        if gap.kind is not GapKind.OWED:
            return None
        owed = self.state.owed.values()
        return next((one for one in owed if f"event {one.seq}:" in gap.what), None)

    def is_drift(self, gap: Gap) -> bool:
        """Tell whether a gap is one that a recorded deviation answers."""
        noted = {entry.payload.what for entry in self.state.deviations}
        return gap.kind is GapKind.DRIFT and gap.what not in noted

    def give_seal_reason(self, gap: Gap, reason: str) -> None:
        """Set down why it is sealed although something stands open; the seal logs it."""
        self.seal_reasons[gap.what] = reason
        self.on_change()

    def beside(self, job: Callable[[], T], then: Callable[[T], None]) -> None:
        """Do a job beside the window, as evaluating is done, and hand over what came of it."""
        self._work(job, then)

    def put_in_service(self, thing: GaugeInService | StandardInService, reason: str = "") -> None:
        """Put equipment in service; a gauge's line is opened."""
        self.steps.put_in_service(thing, reason)
        if isinstance(thing, GaugeInService):
            self.on_gauge(thing)

    def act(self, command: Callable[[Inspection], T]) -> T:
        """Carry out a command that may bear on all seats, and show what came of it."""
        result = command(self._inspection)
        self._show({seat.id for seat in self.state.seats})
        return result

    def deafen(self) -> None:
        """Tell nobody of changes any longer."""
        self.on_change = self.on_results = _nobody

    def redraw(self) -> None:
        """Show what has changed beside the record."""
        if self._last.kind is ValueKind.HELD and not self.steps.is_checking:
            self._last = last_value_of(self.state)
        self.on_change()

    # --- inside ----------------------------------------------------------------------------------

    def _take_press(self, press: Press) -> None:
        try:
            placed = self.steps.placed(press)
            if placed is None:
                self._last = held_value(press)
                self.on_cue(Cue.INSIDE)
                self.on_change()
                return
            outcome = self._inspection.take(placed)
        except (ArchiveError, CommandRefusedError) as error:
            self._last = not_stored_value(str(press.value), str(error))
            self.on_cue(Cue.PARKED)
            self.on_change()
            return
        if isinstance(outcome, LoggedReading):
            self._last = logged_value(self.state, outcome)
            self._show({outcome.key.seat_id})
            self.on_cue(self._cue_of(outcome.key))
        else:
            self._last = parked_value(outcome)
            self.on_cue(Cue.PARKED)
            self._show()

    def _cue_of(self, key: PointKey) -> Cue:
        state = self.state
        if state.is_complete(key) and not self._board.has_open(key.seat_id):
            return Cue.SEAT_FINISHED
        outside = self._last.mark is not None and self._last.mark.is_outside
        return Cue.OUTSIDE if outside else Cue.INSIDE

    def _fitting_place(self, press: ParkedPress) -> PointKey | None:
        """Return where else a press may belong: on the seat it fits, or where it came."""
        if press.fits:
            return self.state.next_open(seat_id=press.fits)
        return press.key

    def _when(self, press: ParkedPress) -> str:
        clock = local_time(press.moment, self.state.opened.offset_min)[11:19]
        return f"{clock}, at {press.key}" if press.key is not None else clock

    def _results_came(self) -> None:
        self.on_results()

    def _show(self, changed_seats: set[str] | None = None) -> None:
        self._selected = None
        self._seat_id = self._seat_to_show()
        self._board.update(self.state, None)
        self._judgement.take(self.state, changed_seats or set())
        self.on_change()

    def _seat_to_show(self) -> str:
        state = self.state
        if state.cursor is not None:
            return state.cursor.seat_id
        reading = state.last_reading()
        return reading.key.seat_id if reading is not None else self.plan.seats[0].id

    def _point(self, key: PointKey | None) -> Point | None:
        return None if key is None else self._board.point(key)


def composed(state: InspectionState, photos: Mapping[str, bytes]) -> SheetContent:
    """Evaluate a state wholly, and put it into the words of its sheet."""
    # What draws sheets is large, and nobody needs it before something is sealed.
    from seatproof.core.sheet.compose import compose

    return compose(state, evaluate_fully(state), PROGRAM, photo_source=photos.__getitem__)
