"""Before hands go in: released or not, and the isolation confirmed by whoever fits today."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from seatproof.core.cautions import DEFERENCE
from seatproof.core.fitting.cautions import ISOLATION, ISOLATION_QUESTION
from seatproof.gui.bench.pages.base import Asker, Fields, button, card, plain_label
from seatproof.gui.fitting.model import FittingModel
from seatproof.gui.shared.saying import again, say, wording

_WHY_BEGIN = (
    wording("Trial fit; it comes off again"),
    wording("It was done already; this only records it"),
)
_WHY_NOT_ISOLATED = (
    wording("Not on the machine: done on the bench"),
    wording("It was done already, without it"),
)


class OpeningCard(QWidget):
    """Begins the fitting, and asks for the isolation."""

    def __init__(self, model: FittingModel, ask: Asker) -> None:
        super().__init__()
        self.model, self.ask = model, ask
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        frame, layout = card(say("Is the seat released for fitting?"))
        self.release = plain_label("release", "question")
        self.why = plain_label("release_why")
        self.begin = button(say("Begin the fitting"), "begin_fitting", self._begin)
        self.begin.setProperty("emphasis", "strong")
        self.all_the_same = button(
            say("Record a fitting that is not released, with a reason"),
            "begin_unreleased",
            lambda: self.ask(say("Why is it fitted all the same?"), _WHY_BEGIN, self.model.begin),
        )
        for widget in (self.release, self.why, self.begin, self.all_the_same):
            layout.addWidget(widget)
        self._first = frame
        column.addWidget(frame)
        frame, layout = card(say("Before hands go in"))
        for caution in ISOLATION:
            label = plain_label()
            label.setText(f"•  {again(caution)}")
            layout.addWidget(label)
        asked = plain_label("isolation_question", "question")
        asked.setText(again(ISOLATION_QUESTION))
        layout.addWidget(asked)
        self.fields = Fields((("permit", say("Work permit or lock-out number")),), "fitting")
        layout.addWidget(self.fields)
        self.confirm = button("", "confirm_isolation", self._confirm)
        self.confirm.setProperty("emphasis", "strong")
        layout.addWidget(self.confirm)
        self.without = button(
            say("It is not so: record that, with a reason"),
            "without_isolation",
            lambda: self.ask(
                say("Why is it not confirmed?"), _WHY_NOT_ISOLATED, self.model.go_without_isolation
            ),
        )
        layout.addWidget(self.without)
        defers = plain_label("deference", "small")
        defers.setText(again(DEFERENCE))
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
            self.release.setText(f"✗ {say('Not released.')} {again(obstacle)}")
            self.why.setText(
                say(
                    "Fit nothing before the verdict conforms or a quality lead's concession is "
                    "signed. What is done all the same can be recorded; every page then says that "
                    "it was not released."
                )
            )
        else:
            disposition = model.state.disposition
            by = (
                say("The verdict under the seal conforms.")
                if disposition is None
                else say(
                    "By disposition ({decision}) of {name}.",
                    decision=again(disposition.payload.decision),
                    name=disposition.actor,
                )
            )
            self.release.setText(f"✓ {say('Released for fitting.')} {by}")
            self.why.setText(
                say("Go by the bearing maker's instructions; the steps only record them.")
            )
        self.begin.setVisible(not obstacle)
        self.all_the_same.setVisible(bool(obstacle))
        self.confirm.setText(say("{name}: all of this is so", name=model.person))

    def _begin(self) -> None:
        self.model.do(self.model.begin)

    def _confirm(self) -> None:
        permit = self.fields.text("permit")
        self.model.do(lambda: self.model.confirm_isolation(permit))
