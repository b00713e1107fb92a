"""Cards of the steps that are answered at once: checks, marks, turns, lengths, amounts."""

from collections.abc import Callable
from decimal import Decimal
from typing import Final

from PySide6.QtWidgets import QLineEdit

from seatproof.core.fitting.finding import gap_text
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.fitting import (
    CheckStep,
    CountStep,
    FittingStep,
    IdentityStep,
    QuantityStep,
    ValueStep,
)
from seatproof.gui.bench.pages.base import (
    Asker,
    Choices,
    Fields,
    button,
    card,
    plain_label,
    row,
)
from seatproof.gui.fitting.model import Answer, FittingModel
from seatproof.gui.fitting.step_card import StepCard
from seatproof.gui.shared.saying import again, say, wording

_FOUND_CHECK = (wording("Not done yet"), wording("Damaged"), wording("Not possible here"))
_FOUND_COUNT = (
    wording("Tight at one place"),
    wording("Tight all round"),
    wording("Noise or grating"),
)
_ANSWERS: Final[dict[Answer, str]] = {
    "met": wording("✓ Met"),
    "not met": wording("✗ Not met"),
    "free": wording("✓ Free"),
    "not free": wording("✗ Not free"),
}


class AnswerCard(StepCard):
    """A check, or the shaft turned by hand."""

    def __init__(self, model: FittingModel, step: CheckStep | CountStep, ask: Asker) -> None:
        super().__init__(model, step, ask)
        frame, layout = card("")
        turns = isinstance(step, CountStep)
        good: Answer = "free" if turns else "met"
        bad: Answer = "not free" if turns else "not met"
        if isinstance(step, CountStep):
            what = plain_label("turns", "question")
            what.setText(
                say("Turn the shaft by hand once. Is it free?")
                if step.turns == 1
                else say("Turn the shaft by hand {count} times. Is it free?", count=str(step.turns))
            )
            layout.addWidget(what)
        found = _FOUND_COUNT if turns else _FOUND_CHECK
        good_words, bad_words = say(_ANSWERS[good]), say(_ANSWERS[bad])
        self.good = button(good_words, f"answer_{good}", lambda: self.do(lambda: self._say(good)))
        self.bad = button(
            bad_words,
            f"answer_{bad.replace(' ', '_')}",
            lambda: self.ask(say("What was found?"), found, lambda note: self._say(bad, note)),
        )
        buttons = [self.good, self.bad]
        if not turns:
            self.beside = button(
                say("– Not applicable"),
                "answer_not_applicable",
                lambda: self.do(lambda: self._say("not applicable")),
            )
            buttons.append(self.beside)
        layout.addLayout(row(*buttons))
        self.answers = buttons
        self.finish(frame)

    def _say(self, answer: Answer, note: str = "") -> None:
        self.model.answer(answer, note)

    def show_now(self) -> None:
        super().show_now()
        for each in self.answers:
            each.setEnabled(self.is_open)


class MarksCard(StepCard):
    """Marks read from parts that belong together."""

    def __init__(self, model: FittingModel, step: IdentityStep, ask: Asker) -> None:
        super().__init__(model, step, ask)
        frame, layout = card(say("Read the marks off the parts"))
        if step.expected is not None:
            expected = plain_label("expected_mark")
            expected.setText(say("Each should read {mark}.", mark=step.expected))
            layout.addWidget(expected)
        self._parts = {f"part_{number}": part for number, part in enumerate(step.parts)}
        self.fields = Fields(tuple(self._parts.items()), "mark")
        self.log = button(say("Log these marks"), "log_marks", lambda: self.do(self._log))
        layout.addWidget(self.fields)
        layout.addWidget(self.log)
        self.finish(frame)

    def _log(self) -> None:
        values = self.fields.values()
        self.model.read_marks({part: values[name] for name, part in self._parts.items()})

    def show_now(self) -> None:
        super().show_now()
        self.log.setEnabled(self.is_open)
        self.fields.setEnabled(self.is_open)
        answered = self.model.state.fitting.answer(self.step.id)
        if answered is not None:
            self.fields.fill(
                {name: answered.read.get(part, "") for name, part in self._parts.items()}
            )


class LengthsCard(StepCard):
    """Lengths with limits, from a gauge's button or typed."""

    def __init__(self, model: FittingModel, step: ValueStep, ask: Asker) -> None:
        super().__init__(model, step, ask)
        self._step = step
        unit = model.state.plan.unit
        frame, layout = card("")
        self.limits = plain_label("limits", "question")
        self.expected = plain_label("expected_gap")
        self.places = Choices("place", columns=3)
        self.places.chosen.connect(model.choose_place)
        self.next_value = plain_label("next_value", "instruction")
        self.typed = Entry("typed_value", say("Value, {unit}", unit=unit), self._log)
        self.log = button(say("Log this value"), "log_value", self._log)
        layout.addWidget(self.limits)
        layout.addWidget(self.expected)
        layout.addWidget(self.next_value)
        layout.addWidget(self.places)
        layout.addLayout(row(self.typed, self.log))
        self.finish(frame)

    def _log(self) -> None:
        text = self.typed.text()
        if self.do(lambda: self.model.type_value(text)):
            self.typed.clear()

    def show_now(self) -> None:
        super().show_now()
        step, model = self._step, self.model
        unit = model.state.plan.unit
        limits = model.limits(step)
        if step.joint_gaps:
            wanted = [limits, say("open at every joint")]
            within = step.equal_within_mm
            if within is not None:
                wanted.append(say("equal within {length}", length=length_text(within, unit)))
            limits = ", ".join(filter(None, wanted))
        self.limits.setText(_wanted(limits))
        expected = model.expected_mm(step)
        self.expected.setVisible(expected is not None)
        if expected is not None:
            self.expected.setText(
                say(
                    "The measured seat leads to expect {gap} at each joint (an estimate; the "
                    "maker's instructions come first).",
                    gap=gap_text(expected, unit),
                )
            )
        answered = model.state.fitting.answer(step.id)
        values = {} if answered is None else answered.values
        words = {}
        for place in step.places:
            value = values.get(place)
            shown = "–"
            if value is not None:
                shown = again(length_text(Decimal(value.value_mm), unit))
            words[place] = f"{place}\n{shown}"
        here = model.place(step)
        self.places.show_choices(words, {here})
        self.next_value.setText(say("Next value: {place}", place=here))
        for widget in (self.places, self.typed, self.log):
            widget.setEnabled(self.is_open)


class AmountCard(StepCard):
    """How much was put in."""

    def __init__(self, model: FittingModel, step: QuantityStep, ask: Asker) -> None:
        super().__init__(model, step, ask)
        frame, layout = card("")
        limits = plain_label("limits", "question")
        limits.setText(_wanted(model.limits(step)))
        self.typed = Entry("typed_amount", say("Amount, {unit}", unit=step.unit), self._log)
        self.log = button(say("Log this amount"), "log_amount", self._log)
        layout.addWidget(limits)
        layout.addLayout(row(self.typed, self.log))
        self.finish(frame)

    def _log(self) -> None:
        text = self.typed.text()
        if self.do(lambda: self.model.type_amount(text)):
            self.typed.clear()

    def show_now(self) -> None:
        super().show_now()
        for widget in (self.typed, self.log):
            widget.setEnabled(self.is_open)


class Entry(QLineEdit):
    """A field for one value; Return logs it."""

    def __init__(self, name: str, words: str, done: Callable[[], object]) -> None:
        super().__init__()
        self.setObjectName(name)
        self.setPlaceholderText(words)
        self.setAccessibleName(words)
        self.setMaxLength(20)
        self.returnPressed.connect(lambda: done())


def _wanted(limits: str) -> str:
    return say("Wanted: {limits}.", limits=limits) if limits else say("No limits are stated.")


def answer_card(model: FittingModel, step: FittingStep, ask: Asker) -> StepCard:
    """Return the card of a step that is no torque work."""
    match step:
        case IdentityStep():
            return MarksCard(model, step, ask)
        case ValueStep():
            return LengthsCard(model, step, ask)
        case QuantityStep():
            return AmountCard(model, step, ask)
        case CheckStep() | CountStep():
            return AnswerCard(model, step, ask)
    raise ValueError(f"a step {step.id} has no card of this kind")
