"""A reference check: the gauge on a setting standard or at zero, and the temperatures."""

from collections.abc import Callable

from seatproof.core import figures
from seatproof.core.units import from_mm
from seatproof.gui.bench.checking import CheckDesk
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
from seatproof.gui.bench.simulated_panel import SimulatedPanel
from seatproof.gui.shared.saying import again, say, wording

_TEMPERATURES = (
    ("shaft", wording("Shaft, °C")),
    ("gauge", wording("Gauge, °C")),
    ("standard", wording("Standard, °C")),
)


class CheckPage(StepPage):
    """Shows the check in hand; presses go into it as they come."""

    def __init__(self, model: BenchModel, ask: Asker) -> None:
        super().__init__(model, ask)
        frame, layout = card(say("What it shows; held here until the check is logged"))
        self.expected = plain_label("expected")
        self.received = plain_label("received", "question")
        self.problems = plain_label("check_problems", "problem")
        self.said = plain_label("check_outcome", "question")
        self.kept = plain_label("check_kept")
        self.kept.setText(
            say(
                "These presses were held here before: press on, log them, or forget them one by "
                "one."
            )
        )
        self.log = button(say("Log this check"), "log_check", self._log)
        self.forget = button(say("Forget the last press"), "forget_press", self._forget)
        self.leave = button(say("Back to the readings"), "leave_check", self._leave)
        for label in (self.said, self.expected, self.received, self.kept, self.problems):
            layout.addWidget(label)
        layout.addLayout(row(self.log, self.forget, self.leave))
        self.add(frame)
        frame, layout = card(say("Temperatures"))
        self.fields = Fields(_TEMPERATURES, "check")
        for name, edit in self.fields.edits.items():
            edit.textEdited.connect(lambda text, name=name: self._typed(name, text))
        self.noted = plain_label("check_noted")
        self.noted.setText(say("Filled in as noted before; correct what has changed since."))
        layout.addWidget(self.fields)
        layout.addWidget(self.noted)
        self.add(frame)
        frame, layout = card(say("Which gauge, on what"))
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

    def hold(self, panel: SimulatedPanel) -> None:
        """Let the simulated gauge be pressed here."""
        if not self.isAncestorOf(panel):
            self.add_beside_way_on(panel)
            panel.show()

    @property
    def desk(self) -> CheckDesk:
        return self.model.steps.desk

    def show_now(self) -> None:
        super().show_now()
        model, desk = self.model, self.desk
        state, unit = model.state, model.plan.unit
        numbers = tuple(dict.fromkeys(gauge.inventory_number for gauge in state.gauges))
        self.gauges.show_choices(
            {number: say("Gauge {number}", number=number) for number in numbers}, {desk.gauge}
        )
        standards = {entry.payload.inventory_number: entry.payload for entry in state.standards}
        words = {
            number: say("Standard {number}", number=number)
            + again(f"\n{figures.position(float(one.size_mm), unit)} {unit}")
            for number, one in standards.items()
        }
        if not state.plan.checks.standard:
            words[""] = say("At zero")
        self.standards.show_choices(words, {desk.standard})
        self.fields.fill({thing: again(text) for thing, text in desk.temperatures.items()})
        self.noted.setVisible(desk.is_filled_in)
        expected = f"{from_mm(desk.expected_mm(state), unit):.5f}" if desk.standard else "0"
        self.expected.setText(
            say("It should show {value}.", value=f"{figures.received(expected)} {unit}")
        )
        shown = say(", ").join(again(figures.received(one.value)) for one in desk.received)
        deviation_um = desk.deviation_um(state)
        departs = figures.small(deviation_um, unit, sign=True) if deviation_um is not None else ""
        self.received.setText(
            say("It shows {shown}: {by} off", shown=shown, by=departs) if shown else ""
        )
        self.received.setVisible(bool(shown))
        self.kept.setVisible(bool(shown) and desk.is_taken_up)
        problems = desk.problems(state)
        self.problems.setText("\n".join(problems))
        # What came of the last check is not at once followed by what the next one lacks.
        self.problems.setVisible(bool(problems) and (bool(shown) or not model.steps.said))
        self.said.setText(again(model.steps.said))
        self.said.setVisible(bool(model.steps.said))
        self.log.setEnabled(not problems and not model.is_sealed)
        self.forget.setEnabled(bool(desk.received))
        self.leave.setVisible(model.steps.is_between)

    def _choose_standard(self, number: str) -> None:
        self._do(lambda: self.desk.choose_standard(number))

    def _typed(self, name: str, text: str) -> None:
        self.desk.note_temperature(name, text)
        self.show_now()

    def _do(self, change: Callable[[], object]) -> None:
        self.wanted.emit(change)

    def _forget(self) -> None:
        self._do(self.desk.take_back)

    def _log(self) -> None:
        self.wanted.emit(self.model.steps.log_check)

    def _leave(self) -> None:
        self.wanted.emit(self.model.steps.leave_check)
