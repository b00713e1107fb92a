"""Tightening bolts at the bench: the next bolt, the tool, and what every act is said to be; no Qt.

What it says is in the language of the window; what it records is English or a person's own words.
Nothing done is refused. What is held back until it is said are the state of the threads, without
which a torque means nothing, and the tool; going on without a tool is a recorded deviation.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Protocol, TypeVar

from seatproof.core.equipment.item import Item, ItemKind
from seatproof.core.fitting.standing import departure_sentence, departures_of, progress_of
from seatproof.core.fitting.torque import Departure, TorqueProgress, Turn
from seatproof.core.fitting.torque_unit import convert_torque, torque_text
from seatproof.core.plan.fitting import TorqueStage, TorqueStep, TorqueUnit
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    BoltTightened,
    OrderChosen,
    ToolInService,
    TorqueReceived,
)
from seatproof.devices.arrival import Arrival
from seatproof.devices.formats import Reading
from seatproof.gui.fitting.tools import (
    class_and_date_faults,
    in_service,
    no_tool_words,
    order_from,
    tool_words,
)
from seatproof.gui.intake import typed_value
from seatproof.gui.shared.saying import again, say, typed_number, wording

T = TypeVar("T")

LUBRICANTS: Final = (
    wording("clean and dry"),
    wording("lightly oiled, threads and faces"),
    wording("assembly paste, threads and faces"),
    wording("thread-locking compound"),
)
# A pedal or a button that bounces; nobody gets to the next bolt so soon.
_TOO_SOON_S: Final = 0.5
_NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_TIGHTEN: Final = wording("Tighten bolt {bolt}")
_DEEDS: Final = {"snug": wording("Snug bolt {bolt}"), "check": wording("Check bolt {bolt}")}
_TIGHTENED: Final = wording("✓ Bolt {bolt}: recorded.")
_TIGHTENED_AT: Final = wording("✓ Bolt {bolt} at {torque}: recorded.")
_TURNED: Final = wording("✓ Bolt {bolt}; it turned: recorded.")
_TURNED_AT: Final = wording("✓ Bolt {bolt} at {torque}; it turned: recorded.")


class Owner(Protocol):
    """What the tightening needs of the fitting."""

    @property
    def state(self) -> InspectionState: ...

    def act(self, command: Callable[[Inspection], T]) -> T: ...

    def today_faults(self, tool: ToolInService) -> tuple[str, ...]: ...

    def say(self, sentence: str) -> None: ...


@dataclass(frozen=True, slots=True)
class BoltView:
    """A bolt as the joint shows it: its place in the stage's order, and how it stands."""

    name: str
    place: int
    is_next: bool
    is_done: bool
    is_departed: bool
    is_chosen: bool
    words: str


class Bolting:
    """The work on the joints of one fitting.

    Parameters
    ----------
    owner : Owner
    seconds : callable
        A clock that never jumps, by which a bounce is told from a bolt.
    """

    def __init__(self, owner: Owner, seconds: Callable[[], float] = time.monotonic) -> None:
        self._owner = owner
        self._seconds = seconds
        self._confirmed_s: float | None = None
        self._tools: dict[str, str] = {}  # by step, the tool in hand
        self._chosen: dict[str, str] = {}  # by step, a bolt that somebody took out of order
        self.torque_units: dict[str, TorqueUnit] = {}

    # --- what shows ------------------------------------------------------------------------------

    def progress(self, step: TorqueStep) -> TorqueProgress:
        return progress_of(self._owner.state, step)

    def turn(self, step: TorqueStep) -> Turn | None:
        """Return whose turn it is: the bolt that was chosen, or the next of the order."""
        following = self.progress(step).next
        chosen = self._chosen.get(step.id)
        if chosen is None:
            return following
        stage = following.stage if following is not None else len(step.stages) - 1
        return Turn(stage, chosen)

    def bolts(self, step: TorqueStep) -> tuple[BoltView, ...]:
        """Return the bolts as they stand in the stage in hand."""
        progress, turn = self.progress(step), self.turn(step)
        stage = turn.stage if turn is not None else len(step.stages) - 1
        order, done = progress.orders[stage], progress.done[stage]
        departed = self._departed(step, stage)
        following = progress.next.bolt if progress.next is not None else ""
        views = []
        for name in step.bolt_names:
            is_next = turn is not None and turn.bolt == name
            words = say("done") if name in done else say("open")
            if is_next:
                words = say("next") if name == following else say("chosen")
            views.append(
                BoltView(
                    name=name,
                    place=order.index(name) + 1,
                    is_next=is_next,
                    is_done=name in done,
                    is_departed=name in departed,
                    is_chosen=self._chosen.get(step.id) == name,
                    words=say("{words}, departs", words=words) if name in departed else words,
                )
            )
        return tuple(views)

    def instruction(self, step: TorqueStep) -> str:
        """Say what to do next at this joint."""
        turn = self.turn(step)
        if turn is None:
            return say("All bolts are done in every stage.")
        stage = step.stages[turn.stage]
        target = self.target(step, stage)
        deed = say(_DEEDS.get(stage.kind, _TIGHTEN), bolt=turn.bolt)
        return f"{deed}:\n{target}" if target else deed

    def target(self, step: TorqueStep, stage: TorqueStage) -> str:
        """Say what torque a stage asks for, all on one line; empty where it has none."""
        if stage.target is None:
            return ""
        target, around = again(str(stage.target)), again(f"{stage.tolerance} {step.unit}")
        figures = f"{target} ± {around}"
        return figures.replace(" ", _NO_BREAK)

    def stage_words(self, step: TorqueStep) -> str:
        """Say which stage is in hand, and how far it is."""
        progress, turn = self.progress(step), self.turn(step)
        if turn is None:
            count = str(len(step.stages))
            return say("{done} of {total} stages done", done=count, total=count)
        rounds = progress.rounds[turn.stage]
        gaps = {
            "number": str(turn.stage + 1),
            "total": str(len(step.stages)),
            "stage": step.stages[turn.stage].name,
            "done": str(len(progress.done[turn.stage])),
            "bolts": str(len(step.bolt_names)),
        }
        if rounds == 1:
            return say("Stage {number} of {total}: {stage}; {done} of {bolts} bolts", **gaps)
        return say(
            "Stage {number} of {total}: {stage}, round {round}; {done} of {bolts} bolts",
            round=str(rounds),
            **gaps,
        )

    def order_words(self, step: TorqueStep) -> str:
        """Say the order of the stage in hand, and whose it is."""
        progress, turn = self.progress(step), self.turn(step)
        stage = turn.stage if turn is not None else len(step.stages) - 1
        order = " – ".join(progress.orders[stage])
        if self._was_reordered(step, stage):
            return say("Order (chosen here): {order}", order=order)
        if step.stages[stage].order:
            return say("Order (the plan's): {order}", order=order)
        return say("Order (proposed): {order}", order=order)

    def departures(self, step: TorqueStep) -> tuple[str, ...]:
        return tuple(one.sentence for one in departures_of(self._owner.state, step))

    def why_not(self, step: TorqueStep) -> str:
        """Say what must be said before a bolt is tightened; empty where nothing is."""
        state = self._owner.state
        if state.fitting.thread(step.id) is None:
            return say(
                "Say first in which state the threads are: it changes the preload more than the "
                "tool does."
            )
        turn = self.turn(step)
        if turn is None or step.stages[turn.stage].target is None:
            return ""
        if self.tool(step) is None and not self._goes_without_tool(step):
            return say(
                "Put the torque tool in service first; its class and calibration are recorded."
            )
        return ""

    # --- the tool --------------------------------------------------------------------------------

    def tool(self, step: TorqueStep) -> ToolInService | None:
        """Return the tool in hand: the one put in service last for this step or any other."""
        fitting = self._owner.state.fitting
        number = self._tools.get(step.id)
        if number is None and fitting.tools:
            number = fitting.tools[-1].payload.inventory_number
        return None if number is None else fitting.tool(number)

    def tool_words(self, step: TorqueStep) -> str:
        """Say which tool is in hand, with its class and its calibration."""
        return tool_words(self.tool(step))

    def is_prepared(self, step: TorqueStep) -> bool:
        """Whether the threads and the tool have been said, so that the work may fill the screen."""
        said = self._owner.state.fitting.thread(step.id) is not None
        return said and (self.tool(step) is not None or self._goes_without_tool(step))

    def faults(self, step: TorqueStep, item: Item) -> tuple[str, ...]:
        """Say why a tool may be used only with a reason."""
        tool = in_service(item)
        today = (again(fault) for fault in self._owner.today_faults(tool))
        return (*today, *class_and_date_faults(step, tool))

    def put_in_service(self, step: TorqueStep, item: Item, reason: str = "") -> None:
        """Put a tool of the register in service.

        Raises
        ------
        CommandRefusedError
            It has faults and no reason is given.
        """
        if item.kind is not ItemKind.TORQUE_TOOL:
            raise CommandRefusedError(
                say("{number} is no torque tool.", number=item.inventory_number)
            )
        faults = self.faults(step, item)
        if faults and not reason.strip():
            raise CommandRefusedError(" ".join([*faults, say("Give a reason for using it.")]))
        tool = in_service(item, reason.strip())
        self._owner.act(lambda inspection: inspection.put_tool_in_service(tool))
        self._tools[step.id] = item.inventory_number
        self.torque_units[item.inventory_number] = item.torque_unit

    def go_without_tool(self, step: TorqueStep, reason: str) -> None:
        """Record that this joint is tightened with no tool of the register."""
        what = no_tool_words(step)
        self._owner.act(lambda inspection: inspection.note_deviation(what, reason))

    # --- the work --------------------------------------------------------------------------------

    def note_threads(self, step: TorqueStep, lubricant: str) -> None:
        """Note the state of the threads."""
        if not lubricant.strip():
            raise CommandRefusedError(
                say("Say in which state the threads are, such as lightly oiled.")
            )
        self._owner.act(lambda inspection: inspection.note_threads(step.id, lubricant))

    def choose(self, step: TorqueStep, bolt: str) -> None:
        """Take another bolt than the next; tapping the next one goes back to the order."""
        following = self.progress(step).next
        is_next = following is not None and following.bolt == bolt
        if is_next or self._chosen.get(step.id) == bolt:
            self._chosen.pop(step.id, None)
        else:
            self._chosen[step.id] = bolt

    def confirm(self, step: TorqueStep, *, turned: bool = False) -> None:
        """Confirm the bolt in hand without a value, as a setting tool clicks.

        Raises
        ------
        CommandRefusedError
            The threads or the tool were not said yet, it comes too soon after the bolt before, or
            all bolts are done.
        """
        now_s = self._seconds()
        before_s = self._confirmed_s
        if before_s is not None and now_s - before_s < _TOO_SOON_S:
            raise CommandRefusedError(
                say(
                    "That came too soon after the bolt before it to be another one; it was not "
                    "taken. Confirm again when the bolt is tightened."
                )
            )
        self._tighten(step, None, None, turned=turned)
        self._confirmed_s = now_s

    def type_torque(self, step: TorqueStep, text: str, *, turned: bool = False) -> None:
        """Take a torque that somebody read off the tool, in the step's unit."""
        value = typed_value(typed_number(text))
        if value is None or value <= 0:
            raise CommandRefusedError(
                say(
                    "“{typed}” is no torque; write it with a decimal point, in {unit}.",
                    typed=text,
                    unit=step.unit,
                )
            )
        self._tighten(step, value, None, turned=turned)

    def take(self, step: TorqueStep, arrival: Arrival, number: str) -> None:
        """Take what a torque tool sent; what is no torque is said and not taken."""
        content = arrival.content
        if not isinstance(content, Reading):
            raise CommandRefusedError(content.reason)
        if self._owner.state.fitting.tool(number) is None:
            raise CommandRefusedError(
                say(
                    "{value} came from {number}, which is no torque tool in service; it was not "
                    "taken.",
                    value=content.text,
                    number=number,
                )
            )
        if content.unit is not None:
            raise CommandRefusedError(
                say(
                    "{value} is a length, and a torque is wanted; it was not taken.",
                    value=content.text,
                )
            )
        if arrival.doubts:
            raise CommandRefusedError(
                say(
                    "{value} was not taken: {doubts}. Check the bolt, then confirm it by its "
                    "button.",
                    value=content.text,
                    doubts="; ".join(again(str(doubt)) for doubt in arrival.doubts),
                )
            )
        if content.value <= 0:
            raise CommandRefusedError(
                say("{value} is no torque above zero; it was not taken.", value=content.text)
            )
        unit = self.torque_units.get(number, step.unit)
        received = TorqueReceived(
            value=content.value_text,
            unit=unit,
            text=content.text,
            raw_hex=content.raw.hex(),
            format=content.format,
            channel=content.channel,
            arrival=arrival.number,
        )
        torque = convert_torque(content.value, received.unit, step.unit)
        self._tools[step.id] = number
        self._tighten(step, torque, received, turned=False)

    def loosen(self, step: TorqueStep, reason: str) -> None:
        """Loosen all bolts of the joint and begin again."""
        self._owner.act(lambda inspection: inspection.loosen(step.id, reason))
        self._chosen.pop(step.id, None)

    def choose_order(self, step: TorqueStep, text: str, reason: str) -> None:
        """Let another order hold for the stage in hand; `text` names the bolts, comma between.

        Raises
        ------
        CommandRefusedError
            It does not name every bolt once, or there is no reason.
        """
        turn = self.turn(step)
        if turn is None:
            raise CommandRefusedError(say("All stages are done; there is no order left to choose."))
        order = order_from(step, text)
        self._owner.act(lambda do: do.choose_order(step.id, turn.stage, order, reason))
        self._chosen.pop(step.id, None)

    def _tighten(
        self,
        step: TorqueStep,
        torque: Decimal | None,
        received: TorqueReceived | None,
        *,
        turned: bool,
    ) -> None:
        missing = self.why_not(step)
        if missing:
            raise CommandRefusedError(missing)
        turn = self.turn(step)
        if turn is None:
            raise CommandRefusedError(
                say("All bolts are done. Tap a bolt to tighten it again, or loosen the joint.")
            )
        tool = self.tool(step)
        needs_tool = step.stages[turn.stage].target is not None or torque is not None
        act = BoltTightened(
            step=step.id,
            stage=turn.stage,
            bolt=turn.bolt,
            torque=None if torque is None else f"{torque:f}",
            unit=step.unit,
            tool=tool.inventory_number if tool is not None and needs_tool else "",
            turned=turned,
            received=received,
        )
        self._owner.act(lambda inspection: inspection.tighten(act))
        self._chosen.pop(step.id, None)
        self._owner.say(self._came_of(step, act))

    def _came_of(self, step: TorqueStep, act: BoltTightened) -> str:
        """Say what the last act was, and what it missed."""
        progress = self.progress(step)
        departures = progress.departures.get(self._owner.state.last.seq, ())
        if not departures:
            return self._recorded(step, act)
        said = [f"! {again(departure_sentence(step, act, departures))}"]
        following = progress.next
        skipped = {Departure.OUT_OF_ORDER, Departure.AHEAD}.intersection(departures)
        if skipped and following is not None and following.bolt != act.bolt:
            said.append(say("Bolt {bolt} was missed and stays next.", bolt=following.bolt))
        said.append(say("It is recorded as it was done."))
        return " ".join(said)

    @staticmethod
    def _recorded(step: TorqueStep, act: BoltTightened) -> str:
        if act.torque is None:
            template = _TURNED if act.turned else _TIGHTENED
            return say(template, bolt=act.bolt)
        template = _TURNED_AT if act.turned else _TIGHTENED_AT
        torque = f"{torque_text(Decimal(act.torque))} {step.unit}"
        return say(template, bolt=act.bolt, torque=torque)

    def _departed(self, step: TorqueStep, stage: int) -> set[str]:
        departures = self.progress(step).departures
        return {
            entry.payload.bolt
            for entry in self._owner.state.fitting.work.get(step.id, ())
            if isinstance(entry.payload, BoltTightened)
            and entry.payload.stage == stage
            and entry.seq in departures
        }

    def _was_reordered(self, step: TorqueStep, stage: int) -> bool:
        return any(
            isinstance(entry.payload, OrderChosen) and entry.payload.stage == stage
            for entry in self._owner.state.fitting.work.get(step.id, ())
        )

    def _goes_without_tool(self, step: TorqueStep) -> bool:
        what = no_tool_words(step)
        return any(entry.payload.what == what for entry in self._owner.state.deviations)
