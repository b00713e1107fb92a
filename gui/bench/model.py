"""What the bench shows and does, as plain Python: the widgets paint it and decide nothing."""

from collections.abc import Callable
from typing import Final, TypeVar

from seatproof.core import figures
from seatproof.core.archive.errors import ArchiveError
from seatproof.core.evaluation.evaluate import Evaluation, SeatEvaluation
from seatproof.core.evaluation.requirement import BLIND
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, PointKey, Walk
from seatproof.core.plan.seat import Seat
from seatproof.core.plots.along import AlongPlot
from seatproof.core.plots.polar import PolarPlot
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.gaps import Gap, GapKind
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.core.record.kinds.equipment import NO_LINE
from seatproof.core.record.state import InspectionState, LoggedReading
from seatproof.core.units import Unit
from seatproof.core.wording.content import RequirementLine
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
from seatproof.gui.bench.line_board import LineBoard
from seatproof.gui.bench.parked import ParkedNotice, parked_notices
from seatproof.gui.bench.points import PointBoard, PointView
from seatproof.gui.bench.sealing import SealDesk, Sealing
from seatproof.gui.bench.selection import Selection
from seatproof.gui.bench.set_form import SetForm
from seatproof.gui.bench.steps import Steps
from seatproof.gui.bench.surroundings import Surroundings
from seatproof.gui.intake import press_of, typed_press, typed_value
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.sound.cue import Cue

T = TypeVar("T")


_MOST_TRACES = 8
_ONE_IS_OPEN: Final = wording("1 point is open.")
_ARE_OPEN: Final = wording("{count} points are open.")

WALKS: Final[dict[str, tuple[Walk, bool]]] = {
    wording("Station by station"): ("station by station", False),
    wording("Station by station, there and back"): ("station by station", True),
    wording("Orientation by orientation"): ("orientation by orientation", False),
    wording("Orientation by orientation, there and back"): ("orientation by orientation", True),
}


def _nobody(*_: object) -> None:
    """Stand in for a listener until there is one."""


def _no_hint(gauge: str) -> str:
    del gauge
    return ""


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
        self.around = around = surroundings or Surroundings()
        self.shows_map = False  # which drawing is shown, as long as the inspection is at the bench
        self.equipment = around.equipment
        self.people = around.people
        self._trouble_ahead = around.trouble_ahead
        self._work = work
        self._inspection = inspection
        self._judgement = Judgement(inspection.state, work, self._results_came)
        self._board = PointBoard(inspection.state)
        self._last = last_value_of(inspection.state)
        self._sample: tuple[str, str] | None = None
        self._typed_count = 0
        self._selection = Selection(inspection.state)
        self.seal_desk = SealDesk(
            inspection,
            finish=finish,
            work=work,
            photo_source=around.photo_source,
            show=self._show,
            tell=lambda: self.on_change(),
        )
        self.steps = Steps(self, inspection.clock)
        self._lines = LineBoard(lambda: self.steps.awaited_s)
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
        return say(
            "{title} · sheet {number}",
            title=self.plan.heading.title,
            number=self.state.identification.sheet_number,
        )

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
        return self._point(self._selection.key)

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
        return self._lines.shown

    @property
    def line(self) -> LineState | None:
        """The line of the gauge in use."""
        return self.lines.get(self.gauge_number)

    @property
    def line_trouble(self) -> str:
        """What is wrong with a gauge's line, said in sentences; empty where nothing is."""
        ahead = again(self._trouble_ahead())
        return "\n".join([*([ahead] if ahead else []), *self._lines.trouble])

    @property
    def line_is_up(self) -> bool:
        return self.line is not None and self.line.kind is LineKind.CONNECTED

    @property
    def seat(self) -> Seat:
        """The seat that drawings and plots show: that of the next point, or of the last one."""
        return self.plan.seat(self._selection.seat_id)

    @property
    def seat_evaluation(self) -> SeatEvaluation:
        return self.evaluation.seat(self._selection.seat_id)

    @property
    def polar(self) -> PolarPlot:
        """The polar plot of the stations round the one in hand: more of them hide each other."""
        plot, point = self._judgement.plots(self._selection.seat_id).polar, self.next_point
        if len(plot.traces) <= _MOST_TRACES:
            return plot
        is_here = point is not None and point.seat_id == self._selection.seat_id
        here = point.station if point is not None and is_here else 1
        near = sorted(plot.traces, key=lambda trace: abs(trace.station - here))[:_MOST_TRACES]
        traces = tuple(sorted(near, key=lambda trace: trace.station))
        return plot.model_copy(update={"traces": traces})

    @property
    def set_form(self) -> SetForm:
        """How the readings of the seat shown were taken, which its polar plot has to say."""
        return self._judgement.plots(self._selection.seat_id).form

    @property
    def polar_notes(self) -> tuple[str, ...]:
        return polar_notes(self.plan, self.polar)

    @property
    def along(self) -> AlongPlot | None:
        """The plot of sizes along the seat; None where its readings are no sizes."""
        return self._judgement.plots(self._selection.seat_id).along

    @property
    def insights(self) -> tuple[str, ...]:
        """What the verdicts of the seat shown hang on, in sentences."""
        return self.insights_of(self._selection.seat_id)

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
        key = self._selection.key
        return "" if key is None else self._board.view(key).story

    @property
    def use_places(self) -> tuple[PointKey | None, PointKey | None]:
        """Where a parked press can be used at once: the next point, and the selected one."""
        return self.state.cursor, self._selection.key

    @property
    def parked(self) -> tuple[ParkedNotice, ...]:
        return parked_notices(self.state)

    @property
    def is_sealed(self) -> bool:
        return self.state.sealed is not None

    @property
    def can_seal(self) -> bool:
        return not self.is_sealed and self.state.cursor is None and not self._inspection.gaps()

    @property
    def owes_reasons_alone(self) -> bool:
        """Whether nothing stands between now and a seal but reasons that are owed."""
        gaps = () if self.is_sealed or self.state.cursor is not None else self._inspection.gaps()
        return bool(gaps) and all(gap.kind is GapKind.OWED for gap in gaps)

    @property
    def in_the_way(self) -> tuple[str, ...]:
        """What stands between now and a seal; while points are open, no more than that."""
        if self.is_sealed:
            return ()
        if self.state.cursor is not None:
            done, total = self.progress
            count = total - done
            return (_ONE_IS_OPEN if count == 1 else _ARE_OPEN.format(count=count),)
        return self._inspection.unfinished()

    @property
    def can_take_back(self) -> bool:
        return not self.is_sealed and self.state.last_reading() is not None

    @property
    def can_skip(self) -> bool:
        return not self.is_sealed and self.next_point is not None

    @property
    def sealing(self) -> Sealing | None:
        return self.seal_desk.result

    @property
    def typed_gauges(self) -> frozenset[str]:
        """The gauges in service that have no wire."""
        gauges = self.state.gauges
        return frozenset(one.inventory_number for one in gauges if one.source == NO_LINE)

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
                say(
                    "{text} is no value; type digits with a decimal point, such as 110.012.",
                    text=f'"{text}"',
                )
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
        is_gone = self._lines.take(number, line)
        if line.kind is not LineKind.CONNECTED:
            self._sample = None
        if is_gone:
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
        self._selection.choose(key)
        self._show_selection()

    def select_number(self, number: int) -> None:
        """Select the point of that number in the walk, counted from 1; none where there is none."""
        self._selection.choose_number(self.state, number)
        self._show_selection()

    def move_selection(self, stations: int, orientations: int) -> None:
        """Move the selection over the seat shown, going round at its edges."""
        self._selection.move(self.state, stations, orientations)
        self._show_selection()

    def show_next_seat(self) -> None:
        """Show the following seat without going there."""
        self._selection.show_next_seat(self.state)
        self._show_selection()

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
        """Seal the inspection under a statement; what is held for a check is noted before."""
        self.note_held()
        self.seal_desk.seal(statement)

    def note_held(self) -> None:
        """Set down in the record what was pressed for a check and will not be logged."""
        if not self.is_sealed:
            self.steps.note_held()

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """What stands between the inspection and a clean seal."""
        return self.seal_desk.gaps

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

    def _results_came(self) -> None:
        self.on_results()

    def _show(self, changed_seats: set[str] | None = None) -> None:
        self._selection.follow(self.state)
        self._board.update(self.state, None)
        self._judgement.take(self.state, changed_seats or set())
        self.on_change()

    def _show_selection(self) -> None:
        self._board.update(self.state, self._selection.key)
        self.on_change()

    def _point(self, key: PointKey | None) -> Point | None:
        return None if key is None else self._board.point(key)
