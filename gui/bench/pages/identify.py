"""The first step: which shaft this is, under which order, and which seats are to be done."""

from seatproof.core.record.kinds import Identification
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import Asker, Choices, Fields, StepPage, button, card
from seatproof.gui.shared.saying import say, wording

_FIELDS = (
    ("asset", wording("Asset (machine)")),
    ("shaft_serial", wording("Shaft serial number")),
    ("work_order", wording("Work order")),
    ("customer", wording("Customer")),
    ("site", wording("Site")),
    ("position", wording("Position in the machine")),
    ("bearing", wording("Bearing")),
)
_WHY = (
    wording("It was typed wrong"),
    wording("It was not known before"),
    wording("Other seats are to be done"),
)


class IdentifyPage(StepPage):
    """Shows what was said of the shaft; a correction keeps the first words in the record."""

    def __init__(self, model: BenchModel, ask: Asker) -> None:
        super().__init__(model, ask)
        self._seats: set[str] = set()
        frame, layout = card(say("The shaft and its order; a scanner may type into the fields"))
        self.fields = Fields(_FIELDS, "identify")
        layout.addWidget(self.fields)
        self.add(frame)
        frame, layout = card(say("Seats to be done"))
        self.seats = Choices("seat_to_do")
        self.seats.chosen.connect(self._toggle)
        layout.addWidget(self.seats)
        self.add(frame)
        self.correct = button(say("Correct what is changed"), "correct", self._correct)
        self.add(self.correct)
        self.end_column()
        for edit in self.fields.edits.values():
            edit.textChanged.connect(self._changed)
        self._fill(model.state.identification)

    def show_now(self) -> None:
        super().show_now()
        self._show_seats()
        self._changed()

    def _fill(self, said: Identification) -> None:
        self.fields.fill({name: getattr(said, name) for name, _ in _FIELDS})
        self._seats = set(said.seats) or {seat.id for seat in self.model.plan.seats}
        self._show_seats()

    def _show_seats(self) -> None:
        words = {
            seat.id: f"{say('Seat {seat}', seat=seat.id)}\n{seat.name}"
            for seat in self.model.plan.seats
            if seat.same_seat_as is None
        }
        self.seats.show_choices(words, self._seats)

    def _toggle(self, seat: str) -> None:
        others = self._seats ^ {seat}
        if others:
            self._seats = others
        self._show_seats()
        self._changed()

    def _said(self) -> Identification:
        every = {seat.id for seat in self.model.plan.seats}
        chosen = () if self._seats >= every else tuple(sorted(self._seats))
        return self.model.state.identification.model_copy(
            update={**self.fields.values(), "seats": chosen}
        )

    def _changed(self) -> None:
        changed = self._said() != self.model.state.identification
        self.correct.setEnabled(changed and not self.model.is_sealed)

    def _correct(self) -> None:
        said = self._said()
        self.ask(
            say("Why is it corrected?"),
            _WHY,
            lambda reason: self.model.steps.identify(said, reason),
        )
