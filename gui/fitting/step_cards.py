"""Cards of the steps that are answered at once: checks, marks, turns, lengths, amounts."""

from collections.abc import Callable
from decimal import Decimal

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

_FOUND_CHECK = ("Not done yet", "Damaged", "Not possible here")
_FOUND_COUNT = ("Tight at one place", "Tight all round", "Noise or grating")


class AnswerCard(StepCard):
    """A check, or the shaft turned by hand."""

    def __init__(self, model: FittingModel, step: CheckStep | CountStep, ask: Asker) -> None:
        super().__init__(model, step, ask)
        frame, layout = card("")
        turns = isinstance(step, CountStep)
        good: Answer = "free" if turns else "met"
        bad: Answer = "not free" if turns else "not met"
        if isinstance(step, CountStep):
            times = "once" if step.turns == 1 else f"{step.turns} times"
            what = plain_label("turns", "question")
            what.setText(f"Turn the shaft by hand {times}. Is it free?")
            layout.addWidget(what)
        found = _FOUND_COUNT if turns else _FOUND_CHECK
        good_words = f"✓ {good.capitalize()}"
        bad_words = f"✗ {bad.capitalize()}"
        self.good = button(good_words, f"answer_{good}", lambda: self.do(lambda: self._say(good)))
        self.bad = button(
            bad_words,
            f"answer_{bad.replace(' ', '_')}",
            lambda: self.ask("What was found?", found, lambda note: self._say(bad, note)),
        )
        buttons = [self.good, self.bad]
        if not turns:
            self.beside = button(
                "– Not applicable",
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
        frame, layout = card("Read the marks off the parts")
        if step.expected is not None:
            expected = plain_label("expected_mark")
            expected.setText(f"Each should read {step.expected}.")
            layout.addWidget(expected)
        self._parts = {f"part_{number}": part for number, part in enumerate(step.parts)}
        self.fields = Fields(tuple(self._parts.items()), "mark")
        self.log = button("Log these marks", "log_marks", lambda: self.do(self._log))
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
        self.typed = Entry("typed_value", f"Value, {unit}", self._log)
        self.log = button("Log this value", "log_value", self._log)
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
            within = step.equal_within_mm
            equal = f", equal within {length_text(within, unit)}" if within is not None else ""
            limits = f"{limits + ', ' if limits else ''}open at every joint{equal}"
        self.limits.setText(f"Wanted: {limits}." if limits else "No limits are stated.")
        expected = model.expected_mm(step)
        self.expected.setVisible(expected is not None)
        if expected is not None:
            self.expected.setText(
                f"The measured seat leads to expect {gap_text(expected, unit)} at "
                "each joint (an estimate; the maker's instructions come first)."
            )
        answered = model.state.fitting.answer(step.id)
        values = {} if answered is None else answered.values
        words = {}
        for place in step.places:
            value = values.get(place)
            shown = "–"
            if value is not None:
                shown = length_text(Decimal(value.value_mm), unit)
            words[place] = f"{place}\n{shown}"
        here = model.place(step)
        self.places.show_choices(words, {here})
        self.next_value.setText(f"Next value: {here}")
        for widget in (self.places, self.typed, self.log):
            widget.setEnabled(self.is_open)


class AmountCard(StepCard):
    """How much was put in."""

    def __init__(self, model: FittingModel, step: QuantityStep, ask: Asker) -> None:
        super().__init__(model, step, ask)
        frame, layout = card("")
        limits = plain_label("limits", "question")
        said = model.limits(step)
        limits.setText(f"Wanted: {said}." if said else "No limits are stated.")
        self.typed = Entry("typed_amount", f"Amount, {step.unit}", self._log)
        self.log = button("Log this amount", "log_amount", self._log)
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
