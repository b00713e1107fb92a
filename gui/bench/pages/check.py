"""A reference check: the gauge on a setting standard or at zero, and the temperatures."""

from collections.abc import Callable

from seatproof.core import figures
from seatproof.core.units import from_mm
from seatproof.gui.bench.checking import THINGS, CheckDesk
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import (
    Asker,
    Choices,
    Fields,
    StepPage,
    button,
    card,
    plain_label,
    row,
)

_TEMPERATURES = tuple((thing, f"{thing.capitalize()}, °C") for thing in THINGS)


class CheckPage(StepPage):
    """Shows the check in hand; presses go into it as they come."""

    def __init__(self, model: BenchModel, ask: Asker) -> None:
        super().__init__(model, ask)
        frame, layout = card("What it shows; held here until the check is logged")
        self.expected = plain_label("expected")
        self.received = plain_label("received", "question")
        self.problems = plain_label("check_problems", "problem")
        self.said = plain_label("check_outcome", "question")
        self.log = button("Log this check", "log_check", self._log)
        self.forget = button("Forget the last press", "forget_press", self._forget)
        self.leave = button("Back to the readings", "leave_check", self._leave)
        for label in (self.said, self.expected, self.received, self.problems):
            layout.addWidget(label)
        layout.addLayout(row(self.log, self.forget, self.leave))
        self.add(frame)
        frame, layout = card("Temperatures")
        self.fields = Fields(_TEMPERATURES, "check")
        for name, edit in self.fields.edits.items():
            edit.textEdited.connect(lambda text, name=name: self._typed(name, text))
        layout.addWidget(self.fields)
        self.add(frame)
        frame, layout = card("Which gauge, on what")
        self.gauges = Choices("check_gauge")
        self.gauges.chosen.connect(
            lambda gauge: self._do(lambda: self.desk.choose_gauge(model.state, gauge))
        )
        self.standards = Choices("check_standard")
        self.standards.chosen.connect(self._choose_standard)
        layout.addWidget(self.gauges)
        layout.addWidget(self.standards)
        self.add(frame)
        self.end_column()

    @property
    def desk(self) -> CheckDesk:
        return self.model.steps.desk

    def show_now(self) -> None:
        super().show_now()
        model, desk = self.model, self.desk
        state, unit = model.state, model.plan.unit
        numbers = tuple(dict.fromkeys(gauge.inventory_number for gauge in state.gauges))
        self.gauges.show_choices({number: f"Gauge {number}" for number in numbers}, {desk.gauge})
        standards = {entry.payload.inventory_number: entry.payload for entry in state.standards}
        words = {
            number: f"Standard {number}\n{figures.position(float(one.size_mm), unit)} {unit}"
            for number, one in standards.items()
        }
        if not state.plan.checks.standard:
            words[""] = "At zero"
        self.standards.show_choices(words, {desk.standard})
        self.fields.fill(dict(desk.temperatures))
        expected = f"{from_mm(desk.expected_mm(state), unit):.5f}" if desk.standard else "0"
        self.expected.setText(f"It should show {figures.received(expected)} {unit}.")
        shown = ", ".join(figures.received(one.value) for one in desk.received)
        deviation_um = desk.deviation_um(state)
        departs = figures.small(deviation_um, unit, sign=True) if deviation_um is not None else ""
        self.received.setText(f"It shows {shown}: {departs} off" if shown else "")
        self.received.setVisible(bool(shown))
        problems = desk.problems(state)
        self.problems.setText("\n".join(problems))
        # What came of the last check is not at once followed by what the next one lacks.
        self.problems.setVisible(bool(problems) and (bool(shown) or not model.steps.said))
        self.said.setText(model.steps.said)
        self.said.setVisible(bool(model.steps.said))
        self.log.setEnabled(not problems and not model.is_sealed)
        self.forget.setEnabled(bool(desk.received))
        self.leave.setVisible(model.steps.is_between)

    def _choose_standard(self, number: str) -> None:
        def choose() -> None:
            self.desk.standard = number
            self.desk.clear()

        self._do(choose)

    def _typed(self, name: str, text: str) -> None:
        self.desk.temperatures[name] = text
        self.show_now()

    def _do(self, change: Callable[[], object]) -> None:
        change()
        self.show_now()

    def _forget(self) -> None:
        self._do(self.desk.take_back)

    def _log(self) -> None:
        self.wanted.emit(self.model.steps.log_check)

    def _leave(self) -> None:
        self.wanted.emit(self.model.steps.leave_check)
