"""The condition of the seats: one answer for each thing to look at, with a note where it fails."""

from dataclasses import dataclass
from functools import partial

from PySide6.QtWidgets import QGridLayout, QLabel

from seatproof.core.record.commands.preparing import Answer
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import Asker, Choices, StepPage, button, card, plain_label
from seatproof.gui.shared.action_button import ActionButton

_ANSWERS: tuple[Answer, ...] = ("met", "not met", "not applicable")
_FOUND = ("Rust", "Fretting marks", "Scoring", "A dent or a burr")


@dataclass(slots=True)
class _Row:
    """One condition: its words, its answers, and the note to it."""

    words: QLabel
    buttons: dict[Answer, ActionButton]
    note: QLabel


class ConditionPage(StepPage):
    """Shows the conditions of one seat at a time."""

    def __init__(self, model: BenchModel, ask: Asker) -> None:
        super().__init__(model, ask)
        self._seat = next(seat.id for seat in model.state.seats if seat.same_seat_as is None)
        self.seats = Choices("condition_seat")
        self.seats.chosen.connect(self._choose)
        frame, layout = card("")
        layout.addWidget(self.seats)
        self._grid = QGridLayout()
        self._grid.setColumnStretch(0, 1)
        layout.addLayout(self._grid)
        self.all_met = button("All of it is met on this seat", "all_met", self._all_met)
        layout.addWidget(self.all_met)
        self.add(frame)
        self.end_column()
        self._rows = [self._row(number) for number in range(len(model.plan.conditions))]

    def show_now(self) -> None:
        super().show_now()
        model = self.model
        words = {}
        for seat in model.state.seats:
            if seat.same_seat_as is None:
                answers = [view.answer for view in model.steps.conditions(seat.id)]
                mark = "✓" if all(answers) else f"{sum(map(bool, answers))} of {len(answers)}"
                words[seat.id] = f"Seat {seat.id}  {mark}\n{seat.name}"
        if self._seat not in words:
            self._seat = next(iter(words))
        self.seats.show_choices(words, {self._seat})
        for row, view in zip(self._rows, model.steps.conditions(self._seat), strict=True):
            row.words.setText(view.check)
            row.note.setText(view.note)
            row.note.setVisible(bool(view.note))
            for answer, made in row.buttons.items():
                made.setChecked(answer == view.answer)
                made.setText(f"{'✓ ' if answer == view.answer else ''}{answer}")
                made.setEnabled(not model.is_sealed)
        self.all_met.setEnabled(
            not model.is_sealed
            and not all(view.answer for view in model.steps.conditions(self._seat))
        )

    def _row(self, number: int) -> _Row:
        words, note = plain_label(role="strong"), plain_label(role="small")
        buttons: dict[Answer, ActionButton] = {}
        self._grid.addWidget(words, 2 * number, 0)
        self._grid.addWidget(note, 2 * number + 1, 0, 1, 4)
        for column, answer in enumerate(_ANSWERS, start=1):
            made = button(
                answer,
                f"condition_{number}_{answer.replace(' ', '_')}",
                partial(self._answer, number, answer),
                checkable=True,
            )
            self._grid.addWidget(made, 2 * number, column)
            buttons[answer] = made
        return _Row(words, buttons, note)

    def _choose(self, seat: str) -> None:
        self._seat = seat
        self.show_now()

    def _answer(self, number: int, answer: Answer) -> None:
        seat, check = self._seat, self.model.plan.conditions[number]
        self.show_now()  # the button is checked once the answer is in the record, not before
        if answer == "not met":
            self.ask(
                f"What was found where “{check}” is not met on seat {seat}?",
                _FOUND,
                lambda note: self.model.steps.answer(seat, check, "not met", note),
            )
        else:
            self.wanted.emit(lambda: self.model.steps.answer(seat, check, answer))

    def _all_met(self) -> None:
        for view in self.model.steps.conditions(self._seat):
            if not view.answer:
                check = view.check
                self.wanted.emit(
                    lambda check=check: self.model.steps.answer(self._seat, check, "met")
                )
