"""The repeatability test: ten presses on one point, and what their scatter does to U."""

from decimal import Decimal
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from seatproof.core import figures
from seatproof.core.equipment.errors import EquipmentRefusedError
from seatproof.core.equipment.item import Item
from seatproof.core.equipment.repeatability import (
    USUAL_PRESSES,
    RepeatabilityTest,
    evaluate_presses,
    reading_uncertainty,
)
from seatproof.core.units import Unit, to_mm
from seatproof.devices.arrival import Arrival
from seatproof.devices.errors import DeviceError
from seatproof.devices.formats import Reading
from seatproof.devices.line_state import LineState
from seatproof.gui.bench.pages.base import button, card, plain_label
from seatproof.gui.gauges.listening import LineWatch
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.scrolling import scrolling

_HOW: Final = wording(
    "Put the gauge on one marked point of a clean, still part, press, take it off, put it back, "
    "and press again: {count} times, always the same person. Never on a turning shaft."
)


class RepeatabilityPage(QWidget):
    """Takes presses and shows what they say.

    Signals
    -------
    kept : RepeatabilityTest
        The register shall keep the test, and reckon with it.
    """

    kept = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._item: Item | None = None
        self.values_mm: list[Decimal] = []
        self.watch = LineWatch(self)
        self.watch.arrived.connect(self._take)
        self.watch.changed.connect(self._show_line)
        frame, column = card(say("Repeatability"))
        how = plain_label("test_how")
        how.setText(say(_HOW, count=str(USUAL_PRESSES)))
        self.open = button(say("Begin"), "test_begin", self._begin)
        self.ask = button(say("Take a value"), "test_ask", self.watch.take)
        self.back = button(say("Take the last one back"), "test_back", self._take_back)
        self.typed = QLineEdit()
        self.typed.setObjectName("test_typed")
        self.typed.setAccessibleName(say("What the gauge types"))
        self.typed.setPlaceholderText(say("let the gauge type its value here"))
        self.typed.returnPressed.connect(self._type_in)
        self.typed.hide()
        self.state = plain_label("test_state")
        self.progress = plain_label("test_progress", "question")
        self.values = plain_label("test_values")
        self.result = plain_label("test_result", "question")
        self.effect = plain_label("test_effect")
        self.keep = button(say("Keep it with the gauge"), "test_keep", self._keep)
        self.keep.setProperty("emphasis", "strong")
        row = QHBoxLayout()
        for made in (self.open, self.ask, self.back):
            row.addWidget(made)
        column.addWidget(how)
        column.addLayout(row)
        for widget in (
            self.typed, self.state, self.progress, self.values, self.result, self.effect, self.keep,
        ):  # fmt: skip
            column.addWidget(widget)
        content = QWidget()
        inside = QVBoxLayout(content)
        inside.addWidget(frame)
        inside.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(scrolling(content))

    def show_item(self, item: Item) -> None:
        """Show a gauge with no presses yet."""
        self.close_line()
        self._item, self.values_mm = item, []
        self.open.setEnabled(bool(item.line.source))
        self.state.setText(
            "" if item.line.source else say("Say first how it is connected, on the page “Line”.")
        )
        self._show()

    def close_line(self) -> None:
        """End listening."""
        self.watch.close()
        self.typed.hide()
        self.open.setText(say("Begin"))

    def _begin(self) -> None:
        if self._item is None:
            return
        if self.watch.is_open:
            self.close_line()
            return
        self.values_mm = []
        try:
            self.watch.open(self._item.line)
        except (DeviceError, ValueError) as error:
            self.state.setText(again(str(error)))
            return
        self.open.setText(say("End"))
        self.typed.setVisible(self.watch.types)
        if self.watch.types:
            self.typed.setFocus()
        self._show()

    def _type_in(self) -> None:
        self.watch.type_in(self.typed.text())
        self.typed.clear()

    def _show_line(self, state: LineState) -> None:
        self.state.setText(again(state.sentence))

    def _take(self, arrival: Arrival) -> None:
        content = arrival.content
        if self._item is None or not self.watch.is_open:
            return
        if not isinstance(content, Reading):
            self.state.setText(say("Not counted: {why}", why=again(content.reason)))
            return
        if arrival.doubts:
            self.state.setText(say("Not counted: {why}.", why=again(arrival.doubts[0])))
            return
        self.values_mm.append(to_mm(content.value, content.unit or Unit(self._item.unit)))
        self.state.setText("")
        self._show()

    def _take_back(self) -> None:
        if self.values_mm:
            self.values_mm.pop()
            self._show()

    def _show(self) -> None:
        item, count = self._item, len(self.values_mm)
        assert item is not None
        unit = Unit(item.unit)
        self.ask.setVisible(self.watch.wants_key)
        self.back.setEnabled(count > 0)
        self.progress.setText(
            say("{count} of {total} presses", count=str(count), total=str(USUAL_PRESSES))
        )
        self.values.setText(
            "   ".join(again(figures.size(value, unit)) for value in self.values_mm)
        )
        self.keep.setEnabled(count >= USUAL_PRESSES)
        try:
            test = evaluate_presses(self.values_mm)
            effect = reading_uncertainty(item, test)
        except EquipmentRefusedError:  # too few yet
            self.result.setText("")
            self.effect.setText("")
            return
        self.result.setText(_result(test, unit))
        sentences = [
            say(
                "U of a single reading (k for {probability}) without temperature and alignment: "
                "{before} as the register has it, {after} with this test.",
                probability="95.45 %",
                before=figures.uncertainty(effect.before_um, unit),
                after=figures.uncertainty(effect.after_um, unit),
            ),
            again(effect.gist),
        ]
        if effect.lacking:
            sentences.append(say("Not counted: {why}", why=again(effect.lacking)))
        self.effect.setText(" ".join(sentences))

    def _keep(self) -> None:
        self.kept.emit(evaluate_presses(self.values_mm))


def _result(test: RepeatabilityTest, unit: Unit) -> str:
    return say(
        "Mean {mean}; standard deviation of one reading {deviation}; range {range}",
        mean=f"{figures.size(test.mean_mm, unit)} {unit}",
        deviation=figures.small(test.deviation_um, unit),
        range=figures.small(test.range_um, unit),
    )
