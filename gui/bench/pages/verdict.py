"""The verdict so far: every seat's requirements, what decides them, budgets, what stands open."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from seatproof.core.wording.requirement_line import requirement_line
from seatproof.core.wording.uncertainty_budget import budget_section
from seatproof.core.wording.words import words_of
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import Asker, StepPage, card, plain_label
from seatproof.gui.bench.verdict_list import VerdictList, said_heading
from seatproof.gui.shared.grid_card import GridCard
from seatproof.gui.shared.marks import VerdictLabel
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme


class VerdictPage(StepPage):
    """Shows what can be said of all seats."""

    def __init__(self, model: BenchModel, ask: Asker, theme: Theme) -> None:
        super().__init__(model, ask)
        self._theme = theme
        frame, layout = card(say("All seats together"))
        self.verdict = VerdictLabel(theme)
        self.open = plain_label("stands_open")
        layout.addWidget(self.verdict)
        layout.addWidget(self.open)
        self.add(frame)
        self._lists: dict[str, VerdictList] = {}
        self._budgets: dict[str, GridCard] = {}
        self._holder = QWidget()
        self._rows = QVBoxLayout(self._holder)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self.add(self._holder)
        self.blindness = plain_label(role="small")
        self.blindness.setText(again(model.blindness))
        self.add(self.blindness)
        self.end_column()

    def show_now(self) -> None:
        super().show_now()
        model = self.model
        self.verdict.show_verdict(model.evaluation.verdict)
        gaps = model.in_the_way
        self.open.setText(
            "\n".join(f"•  {again(sentence)}" for sentence in gaps) or say("Nothing is open.")
        )
        for result in model.evaluation.seats:
            if not model.state.is_to_do(result.seat.id):
                continue
            shown = self._lists.get(result.seat.id)
            if shown is None:
                shown = self._lists[result.seat.id] = VerdictList(self._theme)
                self._rows.addWidget(shown)
                self._budgets[result.seat.id] = GridCard()
                self._rows.addWidget(self._budgets[result.seat.id])
            shown.show_requirements(
                said_heading(model.plan, result.seat),
                tuple(requirement_line(model.plan, one) for one in result.requirements),
                model.insights_of(result.seat.id),
            )
            self._budgets[result.seat.id].show_section(budget_section(result, words_of("en")))
