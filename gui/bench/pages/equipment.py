"""The equipment: a gauge and a setting standard for each seat, with their calibration."""

from collections.abc import Callable

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QComboBox, QVBoxLayout

from seatproof.core import figures
from seatproof.core.equipment.item import Item, ItemKind
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.devices.declared.known import format_names
from seatproof.devices.discovery import find_ports
from seatproof.gui.bench.equipment_form import (
    GAUGE_FIELDS,
    STANDARD_FIELDS,
    EquipmentFormError,
    gauge_of,
    standard_of,
)
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import (
    Asker,
    Choices,
    Fields,
    StepPage,
    button,
    card,
    plain_label,
)
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.simulation import MADE_UP

_WHY = (
    wording("Checked on a standard just now"),
    wording("No other is at hand; the sheet says so"),
    wording("Calibration is under way, its result is known"),
)


class EquipmentPage(StepPage):
    """Shows what serves each seat, and puts further equipment in service."""

    def __init__(self, model: BenchModel, ask: Asker) -> None:
        super().__init__(model, ask)
        self._register: tuple[Item, ...] = ()
        self._seats: set[str] = {seat.id for seat in model.plan.seats}
        frame, layout = card(say("What each seat is measured with"))
        self.table = plain_label("equipment_table")
        layout.addWidget(self.table)
        self.add(frame)
        frame, layout = card(say("For which seats is what is put in service next?"))
        self.seats = Choices("equipment_seat")
        self.seats.chosen.connect(self._toggle)
        layout.addWidget(self.seats)
        self.add(frame)
        self.register_frame, layout = card(
            say("From the register of equipment: tap to put in service")
        )
        self.items = Choices("item", columns=3)
        self.items.chosen.connect(self._from_register)
        layout.addWidget(self.items)
        self.add(self.register_frame)
        self.simulated_frame, layout = card(
            say("For the simulated gauge: made up, no real standard")
        )
        self.simulated = Choices("simulated_standard", columns=3)
        self.simulated.chosen.connect(self._use_simulated)
        layout.addWidget(self.simulated)
        self.add(self.simulated_frame)
        unit = model.plan.unit
        frame, layout = card(
            say("A setting standard that is not in the register; lengths in {unit}", unit=unit)
        )
        self.standard = Fields(STANDARD_FIELDS, "standard")
        layout.addWidget(self.standard)
        self.standard_said = _Said("standard", layout)
        layout.addWidget(
            button(say("Put this standard in service"), "use_standard", self._use_standard)
        )
        self.add(frame)
        frame, layout = card(
            say("A gauge that is not in the register; lengths in {unit}", unit=unit)
        )
        self.gauge = Fields(GAUGE_FIELDS, "gauge")
        self.source = _box("gauge_source", [port.lasting_source for port in find_ports()])
        self.format = _box("gauge_format", list(format_names()))
        layout.addWidget(self.gauge)
        layout.addWidget(self.source)
        layout.addWidget(self.format)
        self.gauge_said = _Said("gauge", layout)
        layout.addWidget(button(say("Put this gauge in service"), "use_gauge", self._use_gauge))
        self.add(frame)
        self.end_column()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.wanted.emit(self._read_register)

    def _read_register(self) -> None:
        self._register = self.model.equipment()

    def show_now(self) -> None:
        super().show_now()
        state = self.model.state
        self.table.setText("\n".join(self._line(seat.id) for seat in state.seats))
        self.seats.show_choices(
            {seat.id: say("Seat {seat}", seat=seat.id) for seat in state.seats}, self._seats
        )
        items = self._usable()
        self.register_frame.setVisible(bool(items))
        self.items.show_choices(
            {item.inventory_number: _item_words(item) for item in items},
            {gauge.inventory_number for gauge in state.gauges}
            | {entry.payload.inventory_number for entry in state.standards},
        )

        offered = self.model.steps.simulated_standards()
        self.simulated_frame.setVisible(bool(offered))
        self.simulated.show_choices(
            {one.inventory_number: _simulated_words(one) for one in offered}, set()
        )

    def _line(self, seat_id: str) -> str:
        state = self.model.state
        gauge, standard = state.gauge_for(seat_id), state.standard_for(seat_id)
        with_gauge = _service_words(gauge) if gauge is not None else say("no gauge yet")
        parts = [say("Seat {seat}: {gauge}", seat=seat_id, gauge=with_gauge)]
        if standard is not None:
            parts.append(say("checked on {standard}", standard=_service_words(standard)))
        elif state.plan.checks.standard:
            parts.append(say("no setting standard yet"))
        return "; ".join(parts)

    def _usable(self) -> tuple[Item, ...]:
        wanted = (ItemKind.MICROMETER, ItemKind.INDICATOR, ItemKind.STANDARD)
        return tuple(item for item in self._register if item.kind in wanted)

    def _toggle(self, seat: str) -> None:
        self._seats = (self._seats ^ {seat}) or self._seats
        self.show_now()

    def _chosen_seats(self) -> tuple[str, ...]:
        every = {seat.id for seat in self.model.plan.seats}
        return () if self._seats >= every else tuple(sorted(self._seats))

    def _from_register(self, number: str) -> None:
        item = next(item for item in self._usable() if item.inventory_number == number)
        seats = self._chosen_seats()
        self._put(
            item.as_standard(seats=seats)
            if item.kind is ItemKind.STANDARD
            else item.in_service(seats=seats)
        )

    def _use_simulated(self, number: str) -> None:
        offered = self.model.steps.simulated_standards()
        self._put(next(one for one in offered if one.inventory_number == number))

    def _use_standard(self) -> None:
        self._make(
            lambda: standard_of(self.standard.values(), self.model.plan.unit, self._chosen_seats()),
            self.standard,
            self.standard_said,
        )

    def _use_gauge(self) -> None:
        self._make(
            lambda: gauge_of(
                self.gauge.values(),
                self.model.plan.unit,
                source=self.source.currentText(),
                format_name=self.format.currentText(),
                seats=self._chosen_seats(),
            ),
            self.gauge,
            self.gauge_said,
        )

    def _make(
        self, make: Callable[[], GaugeInService | StandardInService], form: Fields, said: "_Said"
    ) -> None:
        """Put what is typed in a form in service, and say at that form what came of it."""
        said.say()
        try:
            thing = make()
        except EquipmentFormError as error:
            said.say(problem=str(error))
            return

        def done() -> None:
            form.clear()
            said.say(done=self._served_words(thing))

        self._put(thing, done)

    def _put(
        self, thing: GaugeInService | StandardInService, done: Callable[[], None] = lambda: None
    ) -> None:
        """Put it in service; one that has faults only with a reason, which the sheet shows."""

        def put(reason: str = "") -> None:
            self.model.put_in_service(thing, reason)
            done()

        faults = self.model.steps.faults(thing)
        if faults:
            self.ask(" ".join(again(fault) for fault in faults), _WHY, put)
        else:
            self.wanted.emit(put)
        self.show_now()

    def _served_words(self, thing: GaugeInService | StandardInService) -> str:
        seats = thing.seats or tuple(seat.id for seat in self.model.plan.seats)
        number, served = thing.inventory_number, ", ".join(seats)
        if len(seats) == 1:
            return say("✓ {number} is in service for seat {seat}.", number=number, seat=served)
        return say("✓ {number} is in service for seats {seats}.", number=number, seats=served)


class _Said:
    """What is said at a form: what is to be mended, or that it was done."""

    def __init__(self, name: str, layout: QVBoxLayout) -> None:
        self._problem = plain_label(f"{name}_problem", "problem")
        self._done = plain_label(f"{name}_done")
        for label in (self._problem, self._done):
            label.hide()
            layout.addWidget(label)

    def say(self, *, problem: str = "", done: str = "") -> None:
        """Say one of the two, or nothing."""
        for label, text in ((self._problem, problem), (self._done, done)):
            label.setText(text)
            label.setVisible(bool(text))


def _service_words(thing: GaugeInService | StandardInService) -> str:
    parts = [f"{thing.inventory_number} {thing.description}".strip()]
    if thing.calibration_due:
        parts.append(say("calibration due {date}", date=thing.calibration_due))
    if thing.certificate == MADE_UP:
        parts[-1] += f" ({again(MADE_UP)})"
    if thing.override_reason:
        parts.append(say("used all the same: {reason}", reason=again(thing.override_reason)))
    return ", ".join(parts)


def _simulated_words(standard: StandardInService) -> str:
    size = again(f"{figures.received(standard.size_mm)} mm")
    head = say(
        "{number}, seat {seat}", number=standard.inventory_number, seat=", ".join(standard.seats)
    )
    return f"{head}\n{size}, {again(MADE_UP)}"


def _item_words(item: Item) -> str:
    what = item.description or again(item.kind)
    if item.actual_mm:
        what += f", {again(f'{figures.received(item.actual_mm)} mm')}"
    lines = [item.inventory_number, what]
    if item.certificate.due:
        lines.append(say("due {date}", date=item.certificate.due))
    return "\n".join(lines)


def _box(name: str, texts: list[str]) -> QComboBox:
    box = QComboBox()
    box.setObjectName(name)
    box.setEditable(True)
    box.addItems(texts)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(8)
    return box
