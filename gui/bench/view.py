"""The bench as a page of the window: what to do next, the step in hand, and what can be done."""

import logging
from collections.abc import Callable

from PySide6.QtCore import QElapsedTimer, QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QLabel, QStackedWidget, QVBoxLayout, QWidget

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import RecordError
from seatproof.gui.bench.actions import ActionBar
from seatproof.gui.bench.deeds import Deeds
from seatproof.gui.bench.due_bar import DueBar
from seatproof.gui.bench.figure_page import FigurePage
from seatproof.gui.bench.foot import Foot
from seatproof.gui.bench.head import BenchHead
from seatproof.gui.bench.ladder_strip import LadderStrip
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.more_panel import Choice, MorePanel
from seatproof.gui.bench.number_entry import NumberEntry
from seatproof.gui.bench.pages.base import StepPage
from seatproof.gui.bench.pages.check import CheckPage
from seatproof.gui.bench.parked_list import ParkedList
from seatproof.gui.bench.readings_page import ReadingsPage
from seatproof.gui.bench.reason_panel import ReasonPanel
from seatproof.gui.bench.shaft_view import ShaftView
from seatproof.gui.bench.simulated_panel import SimulatedPanel
from seatproof.gui.bench.step_pages import StepPages
from seatproof.gui.bench.typing_panel import TypingPanel
from seatproof.gui.bench.value_card import ValueCard
from seatproof.gui.settings import Action, Settings
from seatproof.gui.shared.saying import wording
from seatproof.gui.shared.theme import Theme
from seatproof.gui.simulation import SimulatedGauge

_LEAST_MS_BETWEEN_REPAINTS = 25
_MS_BETWEEN_LOOKS_AT_THE_CLOCK = 5000  # a check may be due after a time, a line silent for long

_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),  # angles grow upwards in the drawing
    Qt.Key.Key_Down: (0, -1),
}
_NOT_AFTER_THE_SEAL = (
    *("type_value", "next", "knock", "battery", "person", "check", "walk", "note"),
)
_logger = logging.getLogger(__name__)


class BenchView(QWidget):
    """Shows a `BenchModel` and passes on what a person does.

    Signals
    -------
    left
        The inspector wants to leave the bench; everything logged stays.
    sheet_wanted : Path
        A finished sheet shall be opened.
    fitting_wanted
        The sealed inspection shall go on with its fitting.
    ask_wanted
        A value of the gauge in use is wanted.
    wire_log_wanted
        The bytes of the gauges' lines shall be saved.
    settings_wanted
        Colours, sounds and keys shall be chosen.
    full_screen_wanted : bool
        The window shall fill the screen, or not.
    """

    left = Signal()
    sheet_wanted = Signal(object)
    fitting_wanted = Signal()
    ask_wanted = Signal()
    wire_log_wanted = Signal()
    settings_wanted = Signal()
    full_screen_wanted = Signal(bool)

    def __init__(
        self,
        model: BenchModel,
        theme: Theme,
        simulated: SimulatedGauge | None = None,
        parent: QWidget | None = None,
        settings: Settings | None = None,
    ) -> None:
        super().__init__(parent)
        self._repaint = QTimer(self)
        self._repaint.setSingleShot(True)
        self._repaint.setInterval(_LEAST_MS_BETWEEN_REPAINTS)
        self._shown_since = QElapsedTimer()
        self._shown_since.start()
        self._repaint.timeout.connect(self.refresh)
        self.model = model
        self._settings = settings or Settings()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

        self.head = BenchHead(model, theme)
        self._clock_timer = QTimer(self)
        self._clock_timer.setInterval(_MS_BETWEEN_LOOKS_AT_THE_CLOCK)
        self._clock_timer.timeout.connect(self._look_at_the_clock)
        self._clock_timer.start()
        self.readings = ReadingsPage(model, theme)
        self.simulated = SimulatedPanel(simulated) if simulated is not None else None
        self.steps = QStackedWidget()
        self.steps.addWidget(self.readings)
        self.bar = ActionBar(self._settings)
        self._foot = Foot(self, self.bar, self._try, may_open=lambda: not self.figure.isVisible())
        self.deeds = Deeds(model, self._foot, self._settings, self._try)
        self.more.offer(self._choices())
        self._step_pages = StepPages(self.steps, model, theme, self._foot.ask_freely, self._try)
        self.figure = FigurePage(theme, self)
        self.figure.hide()
        self._numbers = NumberEntry()
        layout = QVBoxLayout(self)
        layout.addWidget(self.head)
        layout.addWidget(self.steps, 1)
        layout.addWidget(self.bar)
        self._connect()
        model.on_change = self._repaint_soon
        model.on_results = self._results_came
        self.refresh()

    def shut(self) -> None:
        """Show nothing any longer: the archive is closed next."""
        self._repaint.stop()
        self._clock_timer.stop()
        self.readings.shut()
        self.model.deafen()
        try:
            self.model.note_held()
        except (RecordError, ArchiveError) as error:
            _logger.error("presses held for a check could not be noted: %s", error)

    # The parts of the page that others ask for.

    @property
    def shaft(self) -> ShaftView:
        return self.readings.shaft

    @property
    def value(self) -> ValueCard:
        return self.readings.value

    @property
    def parked(self) -> ParkedList:
        return self.readings.parked

    @property
    def instruction(self) -> QLabel:
        return self.head.instruction

    @property
    def progress(self) -> QLabel:
        return self.head.progress

    @property
    def banner(self) -> QLabel:
        return self.head.banner

    @property
    def ladder(self) -> LadderStrip:
        return self.head.ladder

    @property
    def due(self) -> DueBar:
        return self.head.due

    @property
    def reason(self) -> ReasonPanel:
        return self._foot.reason

    @property
    def typing(self) -> TypingPanel:
        return self._foot.typing

    @property
    def more(self) -> MorePanel:
        return self._foot.more

    # --- painting the model ----------------------------------------------------------------------

    def _repaint_soon(self) -> None:
        """Show a change at once; of many in a moment the words at once, the pictures at its end."""
        self.bar.enable(self.model)
        self._show_words()
        if self.simulated is not None:
            self.simulated.show_model(self.model)  # the next press may come at once
        if self._shown_since.elapsed() >= self._repaint.interval():
            self.refresh()
        elif not self._repaint.isActive():
            self._repaint.start()

    def _settle(self) -> None:
        """Show at once what a person did: the next key may act on it."""
        if self._repaint.isActive():
            self._repaint.stop()
            self.refresh()

    def refresh(self) -> None:
        """Show the model as it is now."""
        self._shown_since.restart()
        model = self.model
        if self.figure.isVisible():
            self.figure.show_model(model)
            return
        self._show_words()
        self.head.show_steps()
        page = self._step_pages.in_hand()
        if page is None:
            self.steps.setCurrentWidget(self.readings)
            self.readings.show_now()
            self.readings.show_results()
        else:
            self.steps.setCurrentWidget(page)
            page.show_now()
        self._lend_simulated(page)
        self.bar.show_state(model)

    def _lend_simulated(self, page: StepPage | None) -> None:
        """Put the simulated gauge where it is pressed: beside the readings, or at a check."""
        if self.simulated is None:
            return
        if page is None:
            self.readings.hold(self.simulated)
        elif isinstance(page, CheckPage):
            page.hold(self.simulated)
        self.simulated.show_model(self.model)

    def _results_came(self) -> None:
        page = self._step_pages.in_hand()
        if page is None:
            self.readings.show_results()
        else:
            page.show_now()

    def _look_at_the_clock(self) -> None:
        self.head.show_due()
        self.head.show_lines()

    def _show_words(self) -> None:
        self.head.show_words()
        self.readings.value.show_value(self.model.last, self.model.sample)

    # --- what a person does ----------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape and self.figure.isVisible():
            self.leave_figure()
        elif self._foot.reason.isVisible():
            # What is beside an open question can be clicked; the question keeps its keys.
            self._foot.reason.keyPressEvent(event)
        elif self._foot.is_covered or self.steps.currentWidget() is not self.readings:
            super().keyPressEvent(event)
        elif key in _ARROWS:
            self.model.move_selection(*_ARROWS[key])
        elif key == Qt.Key.Key_Escape:
            self.model.select(None)
        elif event.text().isdecimal() and len(event.text()) == 1:
            self.model.select_number(self._numbers.add(event.text()))
        else:
            super().keyPressEvent(event)
        self._settle()

    def take_back(self) -> None:
        self.deeds.take_back()

    def type_value(self) -> None:
        self.deeds.type_value()

    def seal(self) -> None:
        self.deeds.seal()

    def show_more(self) -> None:
        if self._foot.open(self.more):
            self.more.open(self._can)

    def show_figure(self) -> None:
        """Show nothing but the last value, over the whole screen."""
        self.figure.setGeometry(self.rect())
        self.figure.show()
        self.figure.raise_()
        self.full_screen_wanted.emit(True)
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self.refresh()

    def leave_figure(self) -> None:
        self.figure.hide()
        self.full_screen_wanted.emit(False)
        self.refresh()

    def toggle_figure(self) -> None:
        if self.figure.isVisible():
            self.leave_figure()
        else:
            self.show_figure()

    def say(self, sentence: str) -> None:
        """Say something where troubles are said."""
        self.bar.show_trouble(sentence)

    def do(self, action: Action) -> None:
        """Do what a key or a pedal asks for."""
        {
            Action.ASK: self.ask_wanted.emit,
            Action.TAKE_BACK: self.deeds.take_back,
            Action.REPEAT: self.deeds.repeat,
            Action.SKIP: self.deeds.skip,
            Action.NEXT: self.deeds.go_on,
        }[action]()

    def _open_sheet(self) -> None:
        sealing = self.model.sealing
        if sealing is not None and sealing.sheet is not None:
            self.sheet_wanted.emit(sealing.sheet)

    def _choose(self, key: PointKey) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self.deeds.choose(key)
        self._settle()

    def _try(self, action: Callable[[], object]) -> None:
        """Do something that may be refused, and say so where it is."""
        try:
            action()
            self.refresh()
        except (RecordError, ArchiveError) as error:
            self.bar.show_trouble(str(error))

    def _take_focus(self) -> None:
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _choices(self) -> tuple[Choice, ...]:
        key, deeds = self._settings.key, self.deeds
        return (
            Choice("type_value", wording("Type a value"), deeds.type_value, "F3"),
            Choice("repeat", wording("Repeat the last point"), deeds.repeat, key(Action.REPEAT)),
            Choice("next", wording("Next point"), deeds.go_on, key(Action.NEXT)),
            Choice("far_view", wording("Figure only, from afar"), self.toggle_figure, "F11"),
            Choice("knock", wording("Gauge was knocked"), deeds.knocked),
            Choice("battery", wording("New battery"), deeds.new_battery),
            Choice("person", wording("Another person"), deeds.change_person),
            Choice("check", wording("Check the gauge now"), deeds.check_now),
            Choice("walk", wording("Another walk"), deeds.change_walk),
            Choice("note", wording("Write a note"), deeds.note),
            Choice("wire_log", wording("Save the gauges' bytes"), self.wire_log_wanted.emit),
            Choice("settings", wording("Screen, sounds, keys"), self.settings_wanted.emit),
        )

    def _can(self, name: str) -> bool:
        if name in _NOT_AFTER_THE_SEAL:
            return not self.model.is_sealed
        return self.model.can_take_back if name == "repeat" else True

    def _connect(self) -> None:
        self._foot.closed.connect(self._take_focus)
        self.readings.shaft.point_chosen.connect(self._choose)
        self.readings.parked.use.connect(self.deeds.use_parked)
        self.readings.parked.discard.connect(self.deeds.discard_parked)
        self.typing.typed.connect(lambda text: self._try(lambda: self.model.type_value(text)))
        self.figure.left.connect(self.leave_figure)
        self.bar.ask.clicked.connect(self.ask_wanted)
        self.bar.take_back.clicked.connect(self.deeds.take_back)
        self.bar.go_there.clicked.connect(self.deeds.go_to_selected)
        self.bar.skip.clicked.connect(self.deeds.skip)
        self.bar.next_seat.clicked.connect(self.model.show_next_seat)
        self.bar.seal.clicked.connect(self.deeds.seal)
        self.bar.open_sheet.clicked.connect(self._open_sheet)
        self.bar.fit.clicked.connect(self.fitting_wanted)
        self.bar.go_on.clicked.connect(lambda: self._try(self.model.steps.go_on))
        self.ladder.chosen.connect(lambda rung: self._try(lambda: self.model.steps.go_to(rung)))
        self.due.check_wanted.connect(self.deeds.check_now)
        self.bar.more.clicked.connect(self.show_more)
        self.bar.leave.clicked.connect(self.left)
        for keys, do in (
            ("F3", self.deeds.type_value),
            ("F11", self.toggle_figure),
            (self._settings.key(Action.REPEAT), self.deeds.repeat),
            (self._settings.key(Action.NEXT), self.deeds.go_on),
        ):
            if keys:
                QShortcut(QKeySequence(keys), self.bar).activated.connect(do)

    # --- layout ----------------------------------------------------------------------------------

    def _place_all(self) -> None:
        self._foot.place()
        self.figure.setGeometry(self.rect())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place_all()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.FontChange:
            # Later: Qt is just now walking through all widgets, and must not find them moved.
            QTimer.singleShot(0, self, self._place_all)
        super().changeEvent(event)
