"""Before hands go in: released or not, and the isolation confirmed by whoever fits today."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from seatproof.core.cautions import DEFERENCE
from seatproof.core.fitting.cautions import ISOLATION, ISOLATION_QUESTION
from seatproof.gui.bench.pages.base import Asker, Fields, button, card, plain_label
from seatproof.gui.fitting.model import FittingModel

_WHY_BEGIN = ("Trial fit; it comes off again", "It was done already; this only records it")
_WHY_NOT_ISOLATED = ("Not on the machine: done on the bench", "It was done already, without it")


class OpeningCard(QWidget):
    """Begins the fitting, and asks for the isolation."""

    def __init__(self, model: FittingModel, ask: Asker) -> None:
        super().__init__()
        self.model, self.ask = model, ask
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        frame, layout = card("Is the seat released for fitting?")
        self.release = plain_label("release", "question")
        self.why = plain_label("release_why")
        self.begin = button("Begin the fitting", "begin_fitting", self._begin)
        self.begin.setProperty("emphasis", "strong")
        self.all_the_same = button(
            "Record a fitting that is not released, with a reason",
            "begin_unreleased",
            lambda: self.ask("Why is it fitted all the same?", _WHY_BEGIN, self.model.begin),
        )
        for widget in (self.release, self.why, self.begin, self.all_the_same):
            layout.addWidget(widget)
        self._first = frame
        column.addWidget(frame)
        frame, layout = card("Before hands go in")
        for caution in ISOLATION:
            label = plain_label()
            label.setText(f"•  {caution}")
            layout.addWidget(label)
        asked = plain_label("isolation_question", "question")
        asked.setText(ISOLATION_QUESTION)
        layout.addWidget(asked)
        self.fields = Fields((("permit", "Work permit or lock-out number"),), "fitting")
        layout.addWidget(self.fields)
        self.confirm = button("", "confirm_isolation", self._confirm)
        self.confirm.setProperty("emphasis", "strong")
        layout.addWidget(self.confirm)
        self.without = button(
            "It is not so: record that, with a reason",
            "without_isolation",
            lambda: self.ask(
                "Why is it not confirmed?", _WHY_NOT_ISOLATED, self.model.go_without_isolation
            ),
        )
        layout.addWidget(self.without)
        defers = plain_label("deference", "small")
        defers.setText(DEFERENCE)
        layout.addWidget(defers)
        self._second = frame
        column.addWidget(frame)
        column.addStretch(1)

    def show_now(self) -> None:
        """Show the model as it is now."""
        model = self.model
        self._first.setVisible(not model.is_begun)
        self._second.setVisible(model.is_begun)
        obstacle = model.obstacle
        if obstacle:
            self.release.setText(f"✗ Not released. {obstacle}")
            self.why.setText(
                "Fit nothing before the verdict conforms or a quality lead's concession is signed. "
                "What is done all the same can be recorded; every page then says that it was not "
                "released."
            )
        else:
            disposition = model.state.disposition
            by = (
                "The verdict under the seal conforms."
                if disposition is None
                else f"By disposition ({disposition.payload.decision}) of {disposition.actor}."
            )
            self.release.setText(f"✓ Released for fitting. {by}")
            self.why.setText("Go by the bearing maker's instructions; the steps only record them.")
        self.begin.setVisible(not obstacle)
        self.all_the_same.setVisible(bool(obstacle))
        self.confirm.setText(f"{model.person}: all of this is so")

    def _begin(self) -> None:
        self.model.do(self.model.begin)

    def _confirm(self) -> None:
        permit = self.fields.text("permit")
        self.model.do(lambda: self.model.confirm_isolation(permit))
