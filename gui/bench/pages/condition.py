"""The condition of the seats: one answer for each thing to look at, with notes and photos."""

from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QGridLayout, QLabel

from seatproof.core.record.commands.preparing import Answer
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import Asker, Choices, StepPage, button, card, plain_label
from seatproof.gui.bench.pages.condition_photos import ConditionPhotos
from seatproof.gui.bench.photos import attach_photo, photos_of
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording

_ANSWERS: tuple[Answer, ...] = ("met", "not met", "not applicable")
_FOUND = (
    wording("Rust"),
    wording("Fretting marks"),
    wording("Scoring"),
    wording("A dent or a burr"),
)


@dataclass(slots=True)
class _Row:
    """One condition: its words, its answers, the note to it, and its photos."""

    words: QLabel
    buttons: dict[Answer, ActionButton]
    note: QLabel
    photos: ConditionPhotos


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
        self.all_met = button(say("All of it is met on this seat"), "all_met", self._all_met)
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
                done = say(
                    "{done} of {wanted}",
                    done=str(sum(map(bool, answers))),
                    wanted=str(len(answers)),
                )
                mark = "✓" if all(answers) else done
                words[seat.id] = f"{say('Seat {seat}', seat=seat.id)}  {mark}\n{seat.name}"
        if self._seat not in words:
            self._seat = next(iter(words))
        self.seats.show_choices(words, {self._seat})
        for row, view in zip(self._rows, model.steps.conditions(self._seat), strict=True):
            row.words.setText(view.check)
            row.note.setText(again(view.note))
            row.note.setVisible(bool(view.note))
            photos = photos_of(model.state, view.seat, view.check)
            row.photos.show_photos(photos, may_add=not model.is_sealed)
            for answer, made in row.buttons.items():
                made.setChecked(answer == view.answer)
                made.setText(f"{'✓ ' if answer == view.answer else ''}{say(answer)}")
                made.setEnabled(not model.is_sealed)
        self.all_met.setEnabled(
            not model.is_sealed
            and not all(view.answer for view in model.steps.conditions(self._seat))
        )

    def _row(self, number: int) -> _Row:
        words, note = plain_label(role="strong"), plain_label(role="small")
        buttons: dict[Answer, ActionButton] = {}
        photos = ConditionPhotos(f"condition_{number}_photo", self.model.around.photo_source)
        photos.chosen.connect(partial(self._attach, number))
        self._grid.addWidget(words, 2 * number, 0)
        self._grid.addWidget(note, 2 * number + 1, 0)
        self._grid.addWidget(photos, 2 * number + 1, 1, 1, len(_ANSWERS) + 1)
        self._grid.addWidget(photos.add, 2 * number, len(_ANSWERS) + 1)
        for column, answer in enumerate(_ANSWERS, start=1):
            made = button(
                say(answer),
                f"condition_{number}_{answer.replace(' ', '_')}",
                partial(self._answer, number, answer),
                checkable=True,
            )
            self._grid.addWidget(made, 2 * number, column)
            buttons[answer] = made
        photos.take_drops_on(words, note, *buttons.values())
        return _Row(words, buttons, note, photos)

    def _choose(self, seat: str) -> None:
        self._seat = seat
        self.show_now()

    def _answer(self, number: int, answer: Answer) -> None:
        seat, check = self._seat, self.model.plan.conditions[number]
        self.show_now()  # the button is checked once the answer is in the record, not before
        if answer == "not met":
            self.ask(
                say(
                    "What was found where “{check}” is not met on seat {seat}?",
                    check=check,
                    seat=seat,
                ),
                _FOUND,
                lambda note: self.model.steps.answer(seat, check, "not met", note),
            )
        else:
            self.wanted.emit(lambda: self.model.steps.answer(seat, check, answer))

    def _attach(self, number: int, file: Path) -> None:
        seat, check = self._seat, self.model.plan.conditions[number]
        self.wanted.emit(lambda: attach_photo(self.model, file, seat, check))

    def _all_met(self) -> None:
        for view in self.model.steps.conditions(self._seat):
            if not view.answer:
                check = view.check
                self.wanted.emit(
                    lambda check=check: self.model.steps.answer(self._seat, check, "met")
                )
