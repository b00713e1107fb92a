"""The head of the bench: what is measured, over which lines, what to do next, what is wrong."""

from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.devices.line_state import LineKind, LineState
from seatproof.gui.bench.due_bar import DueBar
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.ladder_strip import LadderStrip
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.sealed_strip import SealedStrip
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme


class BenchHead(QWidget):
    """Shows what holds at every step; decides nothing."""

    def __init__(self, model: BenchModel, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self.heading = QLabel(model.heading)
        self.heading.setWordWrap(True)
        self.line_label = QLabel()
        self.line_label.setObjectName("line")
        self.ladder = LadderStrip()
        self.instruction = QLabel()
        self.instruction.setObjectName("instruction")
        self.instruction.setProperty("role", "instruction")
        self.instruction.setWordWrap(True)
        self.progress = QLabel()
        self.progress.setObjectName("progress")
        self.sealed = SealedStrip(theme)
        self.banner = QLabel()
        self.banner.setObjectName("banner")
        self.banner.setProperty("role", "banner")
        self.banner.setWordWrap(True)
        self.due = DueBar()
        top = QHBoxLayout()
        top.addWidget(self.heading, 1)
        top.addWidget(self.line_label)
        what = QHBoxLayout()
        what.addWidget(self.instruction, 1)
        what.addWidget(self.progress)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(top)
        layout.addWidget(self.ladder)
        layout.addLayout(what)
        layout.addWidget(self.sealed)
        layout.addWidget(self.banner)
        layout.addWidget(self.due)

    def show_words(self) -> None:
        """Show what a press changes: what to do next, how far it is, and the lines."""
        model = self._model
        self.instruction.setText(model.instruction)
        done, total = model.progress
        left_out = len(model.state.skipped)
        counts = {"done": str(done - left_out), "total": str(total)}
        self.progress.setText(
            say("{done} of {total} points, {count} left out", count=str(left_out), **counts)
            if left_out
            else say("{done} of {total} points", **counts)
        )
        self.show_lines()

    def show_steps(self) -> None:
        """Show the ladder, and what came of the seal."""
        model = self._model
        self.ladder.show_rungs(
            model.steps.rungs(has_open=model.has_open) if model.steps.is_guided else ()
        )
        self.sealed.show_model(model)
        self.show_due()

    def show_lines(self) -> None:
        """Show the gauges' lines, whose silence matters from some time on."""
        lines = self._model.lines
        numbers = self._model.gauge_numbers or (say("gauge"),)
        self.line_label.setText(
            "   ".join(
                say("✎ {number}: type its values (F3)", number=number)
                if number in self._model.typed_gauges
                else _line_words(number, lines.get(number))
                for number in numbers
            )
        )
        self.line_label.setToolTip("\n".join(again(line.sentence) for line in lines.values()))
        trouble = self._model.line_trouble
        self.banner.setText(trouble)
        self.banner.setVisible(bool(trouble))

    def show_due(self) -> None:
        """Show the checks that are due, which may be after a time."""
        steps = self._model.steps
        shown = not steps.is_checking and steps.in_hand is Rung.READINGS
        self.due.show_due(steps.due if shown else ())


def _line_words(number: str, line: LineState | None) -> str:
    if line is None or line.kind is LineKind.CLOSED:
        return f"○ {number}: {say('not connected')}"
    if line.kind is LineKind.CONNECTED and line.symptom is None:
        return f"● {number}: {again(line.kind)}"
    return f"▲ {number}: {again(line.symptom or line.kind)}"
