"""What a person does at the bench, each with the question that it asks.

What an answer acts on is settled when the question is asked: presses go on arriving.
"""

from collections.abc import Callable

from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import Occasion
from seatproof.core.units import Unit
from seatproof.gui.bench.foot import Foot
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.model import WALKS, BenchModel
from seatproof.gui.bench.reasons import Ask
from seatproof.gui.settings import Action, Settings
from seatproof.gui.shared.saying import again, say


class Deeds:
    """Asks what must be asked, and has the model do it.

    Parameters
    ----------
    model : BenchModel
    foot : Foot
        Where questions are asked.
    settings : Settings
        For the keys that answer a question by being pressed again.
    attempt : callable
        Does something that may be refused, and says so where it is.
    """

    def __init__(
        self,
        model: BenchModel,
        foot: Foot,
        settings: Settings,
        attempt: Callable[[Callable[[], object]], None],
    ) -> None:
        self._model = model
        self._foot = foot
        self._settings = settings
        self._attempt = attempt

    # --- readings and points ---------------------------------------------------------------------

    def take_back(self) -> None:
        """Withdraw the newest reading."""
        reading = self._model.last_reading
        if reading is not None:
            value = f"{reading.received.value} {reading.received.unit}"
            self._foot.ask(
                Ask.TAKE_BACK,
                lambda reason, owed: self._model.take_back(reason, reading.seq, owed=owed),
                about=f"({reading.key}: {again(value)})",
                again_key=self._settings.key(Action.TAKE_BACK),
            )

    def skip(self) -> None:
        """Leave out the next point."""
        point = self._model.next_point
        if point is not None:
            self._foot.ask(
                Ask.SKIP,
                lambda reason, owed: self._model.skip(reason, point.key, owed=owed),
                about=f"({point.key})",
                again_key=self._settings.key(Action.SKIP),
            )

    def go_to_selected(self) -> None:
        """Make the selected point the next one."""
        point = self._model.selected_point
        if point is not None:
            self._go_to(point.key)

    def repeat(self) -> None:
        """Measure the newest reading's point once more."""
        reading = self._model.last_reading
        if reading is not None:
            self._go_to(reading.key, self._settings.key(Action.REPEAT))

    def go_on(self) -> None:
        """Go to the open point that follows, and leave the next one open."""
        self._attempt(self._model.go_on)

    def choose(self, key: PointKey) -> None:
        """Select a point; choosing the selected one again goes there."""
        selected = self._model.selected_point
        if selected is not None and selected.key == key:
            self.go_to_selected()
        else:
            self._model.select(key)

    def _go_to(self, key: PointKey, again_key: str = "F6") -> None:
        if self._model.needs_reason_to_go(key):
            self._foot.ask(
                Ask.MEASURE_AGAIN,
                lambda reason, owed: self._model.go_to(key, reason, owed=owed),
                about=f"({key})",
                again_key=again_key,
            )
        else:
            self._attempt(lambda: self._model.go_to(key))

    def use_parked(self, seq: int, key: PointKey, read_as: Unit | None) -> None:
        """Lay a parked press on a point."""
        self._foot.ask(
            Ask.USE,
            lambda reason, owed: self._model.use_parked(
                seq, key, reason, owed=owed, read_as=read_as
            ),
            about=f"({key})",
        )

    def discard_parked(self, seq: int) -> None:
        """Decide that a parked press is none of the values."""
        self._foot.ask(
            Ask.DISCARD, lambda reason, owed: self._model.discard_parked(seq, reason, owed=owed)
        )

    def type_value(self) -> None:
        """Ask for a value that a gauge without a wire shows, for the check or point in hand."""
        model, desk = self._model, self._model.steps.desk
        if model.steps.is_checking:
            gauge, place = model.state.gauge_named(desk.gauge), desk.place
        else:
            point, gauge = model.next_point, model.state.gauge
            place = f"{point.key}" if point is not None else say("no open point")
        if gauge is not None and self._foot.open(self._foot.typing):
            self._foot.typing.open(gauge.unit, place)
            self._foot.place()  # the question is known only now

    # --- the whole -------------------------------------------------------------------------------

    def note(self) -> None:
        """Write a note."""
        self._foot.ask_freely(say(Ask.NOTE.question), Ask.NOTE.answers, self._model.steps.note)

    def change_person(self) -> None:
        """Let another person go on."""
        self._foot.ask_freely(
            say(Ask.PERSON.question, name=self._model.inspector),
            Ask.PERSON.answers,
            self._model.steps.change_inspector,
        )

    def change_walk(self) -> None:
        """Visit the points in another order."""
        self._foot.ask_freely(
            say("In which order are the points visited from here on?"),
            tuple(WALKS),
            self._choose_walk,
        )

    def _choose_walk(self, words: str) -> None:
        if words not in WALKS:
            raise CommandRefusedError(say("Choose one of the four walks."))
        self._model.choose_walk(words)

    def knocked(self) -> None:
        """Note that the gauge was knocked."""
        self._attention("knock")

    def new_battery(self) -> None:
        """Note that the gauge has a new battery."""
        gauge = self._model.gauge_number
        self._attempt(lambda: self._model.steps.call_attention("battery", gauge))

    def check_now(self, gauge: str = "") -> None:
        """Check a gauge between readings."""
        self._attempt(lambda: self._model.steps.check_now(gauge))

    def _attention(self, what: Occasion) -> None:
        gauge = self._model.gauge_number
        self._foot.ask_freely(
            f"{say(Ask.KNOCK.question)} ({gauge})",
            Ask.KNOCK.answers,
            lambda note: self._model.steps.call_attention(what, gauge, note),
        )

    def seal(self) -> None:
        """Seal, or go to where what stands open is answered first."""
        model = self._model
        if model.steps.is_guided and model.steps.in_hand is not Rung.SEAL:
            self._attempt(lambda: model.steps.go_to(Rung.SEAL))
            return
        if not model.steps.is_guided and model.owes_reasons_alone:
            self._give_what_is_owed()
            return
        ask = Ask.SEAL_SIMULATED if model.is_simulated else Ask.SEAL
        self._foot.ask_freely(say(ask.question), ask.answers, model.seal)

    def _give_what_is_owed(self) -> None:
        """Ask for the first reason that is owed, then for the next, then seal."""
        owed = next(iter(self._model.state.owed.values()))

        def give(reason: str) -> None:
            self._model.steps.give_reason(owed.seq, reason)
            self.seal()

        self._foot.ask_freely(
            say("Why: {what}?", what=again(owed.what)), Ask.TAKE_BACK.answers, give
        )
