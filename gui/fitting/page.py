"""The fitting as a page: its steps, the one in hand, and what no screen leaves out."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QBoxLayout,
    QHBoxLayout,
    QLineEdit,
    QScrollArea,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.people.register import PeopleRegister
from seatproof.core.plan.fitting import TorqueStep
from seatproof.devices.arrival import Arrival
from seatproof.gui.bench.pages.base import button, plain_label
from seatproof.gui.bench.reason_panel import ReasonPanel
from seatproof.gui.fitting.model import FittingModel
from seatproof.gui.fitting.opening_card import OpeningCard
from seatproof.gui.fitting.seal_card import SealCard
from seatproof.gui.fitting.step_card import StepCard
from seatproof.gui.fitting.step_cards import answer_card
from seatproof.gui.fitting.step_list import StepList
from seatproof.gui.fitting.torque_card import TURNED_KEY, TorqueCard
from seatproof.gui.settings import Action, Settings
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.scrolling import scrolling
from seatproof.gui.shared.theme import Theme

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_LIST_SHARE = 0.27
_NARROW_EM = 50
_NO_LIMIT = 16_777_215  # Qt's own


class FittingPage(QWidget):
    """Shows a `FittingModel` and passes on what a person does.

    Parameters
    ----------
    model : FittingModel
    theme : Theme
    settings : Settings
        Whose key for the next point also confirms a bolt: a pedal has but one.
    on_done : callable
        The person wants to leave; everything logged stays.
    on_sealed : callable
        The fitting was sealed, signed or reviewed: files are to be written anew.
    open_register : callable or None
        Reads the register of people, where seals can be signed.

    Signals
    -------
    shown
        The page shows another state.
    """

    shown = Signal()

    def __init__(
        self,
        model: FittingModel,
        theme: Theme,
        settings: Settings,
        on_done: Callable[[], object],
        *,
        on_sealed: Callable[[], object] = lambda: None,
        open_register: Callable[[], PeopleRegister] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.model = model
        self._theme = theme
        self._at_end = False
        self._cards: dict[str, StepCard] = {}
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.heading = plain_label("fitting_heading", "heading")
        self.change = button("", "change_person", self._change_person)
        self.steps = button(say("Steps"), "show_steps", self.refresh, checkable=True)
        self.note = button(say("Note"), "fitting_note", self._note)
        self.leave = button(say("Leave"), "leave_fitting", on_done)
        self.banner = plain_label("fitting_banner", "banner")
        self.said = plain_label("fitting_said", "question")
        self.problem = plain_label("fitting_problem", "problem")
        self.line = plain_label("fitting_line", "problem")
        self.reason = ReasonPanel(self)
        self.reason.hide()
        self.reason.closed.connect(self._reason_closed)
        self.list = StepList(self._go_to)
        self.opening = OpeningCard(model, self.ask)
        self.seal = SealCard(model, self.ask, on_sealed, open_register)
        self.cards = QStackedWidget()
        for whole in (self.opening, self.seal):
            self.cards.addWidget(scrolling(whole))
        self.go_on = button(say("Go on: next step (F2)"), "fitting_go_on", self.next_step)
        self._build()
        for keys, do in (
            ("F2", self.next_step),
            (TURNED_KEY, self._turned),
            (settings.key(Action.NEXT), self._confirm),
        ):
            if keys:
                shortcut = QShortcut(QKeySequence(keys), self)
                shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
                shortcut.setAutoRepeat(False)
                shortcut.activated.connect(do)
        model.on_change = self.refresh
        self.refresh()

    # --- showing ---------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the model as it is now."""
        model = self.model
        self.heading.setText(model.heading)
        self.change.setText(say("Fitted by {name}; change", name=model.person))
        self.banner.setText(f"⚠ {model.banner}")
        self.banner.setVisible(bool(model.banner))
        for label, text in (
            (self.said, model.said),
            (self.problem, model.problem),
            (self.line, model.line_trouble),
        ):
            label.setText(text)
            label.setVisible(bool(text))
        ready = model.is_begun and (model.is_isolated or model.is_sealed)
        self.list.show_steps(
            model.steps,
            f"✓ {say('Sealed')}" if model.is_sealed else say("Seal of the fitting"),
            at_end=self._at_end,
        )
        self.list.setEnabled(ready)
        # While bolts wait, large text needs the room; its key goes on working.
        waits = self._is_narrow and model.finding(model.step).met is None
        waits = waits and isinstance(model.step, TorqueStep)
        self.go_on.setVisible(ready and not self._at_end and not waits)
        narrow = self._is_narrow
        self.steps.setVisible(narrow)
        listed = not narrow or self.steps.isChecked()
        self._list_area.setVisible(listed)
        self._right.setVisible(not narrow or not listed)
        for each in (self.change, self.note):
            each.setEnabled(not model.is_sealed)
        if not ready:
            self._front(self.opening)
            self.opening.show_now()
        elif self._at_end:
            self._front(self.seal)
            self.seal.show_now()
        else:
            card = self._card()
            self._front(card)
            card.show_now()
        self.shown.emit()

    def restyle(self, theme: Theme) -> None:
        """Take on other colours."""
        self._theme = theme
        for card in self._cards.values():
            if isinstance(card, TorqueCard):
                card.restyle(theme)

    def _card(self) -> StepCard:
        step = self.model.step
        made = self._cards.get(step.id)
        if made is None:
            made = (
                TorqueCard(self.model, step, self.ask, self._theme)
                if isinstance(step, TorqueStep)
                else answer_card(self.model, step, self.ask)
            )
            self._cards[step.id] = made
            self.cards.addWidget(scrolling(made))
        return made

    def _front(self, card: QWidget) -> None:
        for index in range(self.cards.count()):
            area = self.cards.widget(index)
            if isinstance(area, QScrollArea) and area.widget() is card:
                self.cards.setCurrentIndex(index)
                return

    def _build(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self.heading, 1)
        for widget in (self.steps, self.change, self.note, self.leave):
            head.addWidget(widget)
        self._right = QWidget()
        right = QVBoxLayout(self._right)
        right.setContentsMargins(0, 0, 0, 0)
        right.addWidget(self.cards, 1)
        right.addWidget(self.go_on)
        self._body = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._list_area = scrolling(self.list)
        self._body.addWidget(self._list_area)
        self._body.addWidget(self._right, 1)
        layout = QVBoxLayout(self)
        layout.addLayout(head)
        layout.addWidget(self.banner)
        layout.addLayout(self._body, 1)
        for label in (self.line, self.problem, self.said):
            layout.addWidget(label)
        layout.addWidget(self.reason)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._share_out()

    def _share_out(self) -> None:
        """Give the list its share of the width, or the whole of it where there is too little."""
        narrow = self._is_narrow
        listed = not narrow or self.steps.isChecked()
        self.steps.setVisible(narrow)
        self._list_area.setVisible(listed)
        self._right.setVisible(not narrow or not listed)
        if narrow:
            self._list_area.setMinimumWidth(0)
            self._list_area.setMaximumWidth(_NO_LIMIT)
        else:
            self._list_area.setFixedWidth(round(self.width() * _LIST_SHARE))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def _is_narrow(self) -> bool:
        """Whether the list would leave too little beside it, as with large text."""
        return self.width() < _NARROW_EM * self.fontMetrics().height()

    # --- doing -----------------------------------------------------------------------------------

    def ask(self, question: str, answers: Sequence[str], then: Callable[[str], object]) -> None:
        """Ask for a reason at the foot; what it leads to may be refused.

        The question is said already; the answers are English, as they go into the record.
        """
        self.reason.ask(question, answers, lambda reason: self._answered(then, reason))
        own = self.reason.findChild(QLineEdit)
        if not answers and own is not None:
            own.setFocus(Qt.FocusReason.OtherFocusReason)

    def take(self, arrival: Arrival, number: str) -> None:
        """Take what came from a gauge or a torque tool."""
        self.model.take(arrival, number)

    def next_step(self) -> None:
        """Go on to the next open step, or to the seal where none is open."""
        model = self.model
        if not (model.is_begun and (model.is_isolated or model.is_sealed)):
            return
        if all(view.met is not None for view in model.steps):
            self._go_to(len(model.steps))
        else:
            self._go_to_step(model.go_on)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key in _ENTER and not isinstance(QApplication.focusWidget(), QLineEdit):
            if not event.isAutoRepeat():
                self._confirm()
            return
        super().keyPressEvent(event)

    def _answered(self, then: Callable[[str], object], reason: str) -> None:
        self.model.do(lambda: then(reason))

    def _reason_closed(self) -> None:
        self.reason.hide()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _go_to(self, number: int) -> None:
        if number >= len(self.model.steps):
            self._at_end = True
            self.steps.setChecked(False)
            self.model.said = self.model.problem = ""
            self.refresh()
        else:
            self._go_to_step(lambda: self.model.go_to(number))

    def _go_to_step(self, go: Callable[[], object]) -> None:
        self._at_end = False
        self.steps.setChecked(False)
        go()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _torque_card(self) -> TorqueCard | None:
        ready = self.model.is_begun and self.model.is_isolated and not self._at_end
        card = self._cards.get(self.model.step.id)
        if not ready or self.reason.isVisible() or not isinstance(card, TorqueCard):
            return None
        return card

    def _confirm(self) -> None:
        card = self._torque_card()
        if card is not None:
            card.confirm_now()

    def _turned(self) -> None:
        card = self._torque_card()
        if card is not None:
            card.turned_now()

    def _change_person(self) -> None:
        self.ask(
            say("Who goes on? (now {name}) Write the name.", name=self.model.person),
            (),
            self.model.change_person,
        )

    def _note(self) -> None:
        self.ask(say("What is to be noted?"), (), self.model.note)
