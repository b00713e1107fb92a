"""The bench as a page of the window: what to do next, the step in hand, and what can be done."""

from collections.abc import Callable

from PySide6.QtCore import QElapsedTimer, QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QLabel, QStackedWidget, QVBoxLayout, QWidget

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import CommandRefusedError, RecordError
from seatproof.core.record.kinds import Occasion
from seatproof.core.units import Unit
from seatproof.devices.gauge import LineKind, LineState
from seatproof.gui.bench.actions import ActionBar
from seatproof.gui.bench.due_bar import DueBar
from seatproof.gui.bench.figure_page import FigurePage
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.ladder_strip import LadderStrip
from seatproof.gui.bench.model import WALKS, BenchModel
from seatproof.gui.bench.more_panel import Choice, MorePanel
from seatproof.gui.bench.number_entry import NumberEntry
from seatproof.gui.bench.pages.base import StepPage
from seatproof.gui.bench.pages.cautions import CautionsPage
from seatproof.gui.bench.pages.check import CheckPage
from seatproof.gui.bench.pages.condition import ConditionPage
from seatproof.gui.bench.pages.equipment import EquipmentPage
from seatproof.gui.bench.pages.identify import IdentifyPage
from seatproof.gui.bench.pages.seal import SealPage
from seatproof.gui.bench.pages.verdict import VerdictPage
from seatproof.gui.bench.parked_list import ParkedList
from seatproof.gui.bench.readings_page import ReadingsPage
from seatproof.gui.bench.reason_panel import ReasonPanel
from seatproof.gui.bench.reasons import Ask
from seatproof.gui.bench.shaft_view import ShaftView
from seatproof.gui.bench.simulated_panel import SimulatedPanel
from seatproof.gui.bench.typing_panel import TypingPanel
from seatproof.gui.bench.value_card import ValueCard
from seatproof.gui.settings import Action, Settings
from seatproof.gui.shared.theme import Theme
from seatproof.gui.simulation import SimulatedGauge

_LEAST_MS_BETWEEN_REPAINTS = 25
_MS_BETWEEN_LOOKS_AT_THE_CLOCK = 5000  # a check may be due after a time

_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),  # angles grow upwards in the drawing
    Qt.Key.Key_Down: (0, -1),
}


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

        self.heading = QLabel(model.heading)
        self.heading.setWordWrap(True)
        self.line_label = QLabel()
        self.line_label.setObjectName("line")
        self.instruction = QLabel()
        self.instruction.setObjectName("instruction")
        self.instruction.setProperty("role", "instruction")
        self.instruction.setWordWrap(True)
        self.progress = QLabel()
        self.progress.setObjectName("progress")
        self.banner = QLabel()
        self.banner.setObjectName("banner")
        self.banner.setProperty("role", "banner")
        self.banner.setWordWrap(True)

        self._theme = theme
        self.ladder = LadderStrip()
        self.due = DueBar()
        self._due_timer = QTimer(self)
        self._due_timer.setInterval(_MS_BETWEEN_LOOKS_AT_THE_CLOCK)
        self._due_timer.timeout.connect(self._show_due)
        self._due_timer.start()
        self.readings = ReadingsPage(model, theme, simulated)
        self.steps = QStackedWidget()
        self.steps.addWidget(self.readings)
        self._step_pages: dict[str, StepPage] = {}
        self.bar = ActionBar(self._settings)
        # These lie over the foot of the bench, which does not move.
        self.reason = ReasonPanel(self)
        self.typing = TypingPanel(self)
        self.more = MorePanel(self._choices(), self)
        for panel in self._panels:
            panel.hide()
        self.figure = FigurePage(theme, self)
        self.figure.hide()
        self._numbers = NumberEntry()
        self._build()
        self._connect()
        model.on_change = self._repaint_soon
        model.on_results = self._results_came
        self.refresh()

    def shut(self) -> None:
        """Show nothing any longer: the archive is closed next."""
        self._repaint.stop()
        self._due_timer.stop()
        self.readings.shut()
        self.model.deafen()

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
    def simulated(self) -> SimulatedPanel | None:
        return self.readings.simulated

    @property
    def _panels(self) -> tuple[QWidget, ...]:
        return self.reason, self.typing, self.more

    # --- painting the model ----------------------------------------------------------------------

    def _repaint_soon(self) -> None:
        """Show a change at once; of many in a moment the words at once, the pictures at its end."""
        self.bar.enable(self.model)
        self._show_words()
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
        self.ladder.show_rungs(
            model.steps.rungs(has_open=model.has_open) if model.steps.is_guided else ()
        )
        self._show_due()
        page = self._step_page()
        if page is None:
            self.steps.setCurrentWidget(self.readings)
            self.readings.show_now()
            self.readings.show_results()
        else:
            self.steps.setCurrentWidget(page)
            page.show_now()
        if self.simulated is not None:
            self.simulated.show_model(model)
        self.bar.show_state(model)

    def _results_came(self) -> None:
        page = self._step_page()
        if page is None:
            self.readings.show_results()
        else:
            page.show_now()

    def _show_due(self) -> None:
        steps = self.model.steps
        shown = not steps.is_checking and steps.in_hand is Rung.READINGS
        self.due.show_due(steps.due if shown else ())

    def _step_page(self) -> StepPage | None:
        """Return the page of the step in hand, made when it is first needed; None for readings."""
        steps = self.model.steps
        if steps.in_hand is Rung.READINGS and not steps.is_checking:
            return None
        name = "check" if steps.is_checking else steps.in_hand.value
        page = self._step_pages.get(name)
        if page is None:
            page = self._make_page(name)
            page.wanted.connect(self._try)
            self._step_pages[name] = page
            self.steps.addWidget(page)
        return page

    def _make_page(self, name: str) -> StepPage:
        model = self.model
        match name:
            case Rung.IDENTIFY:
                return IdentifyPage(model, self.ask_freely)
            case Rung.CAUTIONS:
                return CautionsPage(model, self.ask_freely)
            case Rung.CONDITION:
                return ConditionPage(model, self.ask_freely)
            case Rung.EQUIPMENT:
                return EquipmentPage(model, self.ask_freely)
            case Rung.VERDICT:
                return VerdictPage(model, self.ask_freely, self._theme)
            case Rung.SEAL:
                return SealPage(model, self.ask_freely)
            case _:
                return CheckPage(model, self.ask_freely)

    def _show_words(self) -> None:
        model = self.model
        self.instruction.setText(model.instruction)
        done, total = model.progress
        self.progress.setText(f"{done} of {total} points")
        self.readings.value.show_value(model.last, model.sample)
        self._show_lines()

    def _show_lines(self) -> None:
        model = self.model
        numbers = model.gauge_numbers or ("gauge",)
        self.line_label.setText(
            "   ".join(_line_words(number, model.lines.get(number)) for number in numbers)
        )
        self.line_label.setToolTip("\n".join(line.sentence for line in model.lines.values()))
        self.banner.setText(model.line_trouble)
        self.banner.setVisible(bool(model.line_trouble))

    # --- what a person does ----------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape and self.figure.isVisible():
            self.leave_figure()
        elif self.reason.isVisible():
            # What is beside an open question can be clicked; the question keeps its keys.
            self.reason.keyPressEvent(event)
        elif self._is_covered() or self.steps.currentWidget() is not self.readings:
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

    def _is_covered(self) -> bool:
        return any(panel.isVisible() for panel in self._panels)

    # What an answer acts on is settled when the question is asked: presses go on arriving.

    def take_back(self) -> None:
        reading = self.model.last_reading
        if reading is not None:
            self._ask(
                Ask.TAKE_BACK,
                lambda reason, owed: self.model.take_back(reason, reading.seq, owed=owed),
                about=f"({reading.key}: {reading.received.value} {reading.received.unit})",
                again_key=self._settings.key(Action.TAKE_BACK),
            )

    def skip(self) -> None:
        point = self.model.next_point
        if point is not None:
            self._ask(
                Ask.SKIP,
                lambda reason, owed: self.model.skip(reason, point.key, owed=owed),
                about=f"({point.key})",
                again_key=self._settings.key(Action.SKIP),
            )

    def go_to_selected(self) -> None:
        point = self.model.selected_point
        if point is not None:
            self._go_to(point.key)

    def repeat(self) -> None:
        """Measure the newest reading's point once more."""
        reading = self.model.last_reading
        if reading is not None:
            self._go_to(reading.key, self._settings.key(Action.REPEAT))

    def go_on(self) -> None:
        self._try(self.model.go_on)

    def _go_to(self, key: PointKey, again_key: str = "F6") -> None:
        if self.model.needs_reason_to_go(key):
            self._ask(
                Ask.MEASURE_AGAIN,
                lambda reason, owed: self.model.go_to(key, reason, owed=owed),
                about=f"({key})",
                again_key=again_key,
            )
        else:
            self._try(lambda: self.model.go_to(key))

    def use_parked(self, seq: int, key: PointKey, read_as: Unit | None) -> None:
        self._ask(
            Ask.USE,
            lambda reason, owed: self.model.use_parked(
                seq, key, reason, owed=owed, read_as=read_as
            ),
            about=f"({key})",
        )

    def discard_parked(self, seq: int) -> None:
        self._ask(
            Ask.DISCARD, lambda reason, owed: self.model.discard_parked(seq, reason, owed=owed)
        )

    def note(self) -> None:
        self.ask_freely(Ask.NOTE.question, Ask.NOTE.answers, self.model.steps.note)

    def change_person(self) -> None:
        self.ask_freely(
            f"{Ask.PERSON.question} (now {self.model.inspector})",
            Ask.PERSON.answers,
            self.model.steps.change_inspector,
        )

    def change_walk(self) -> None:
        self.ask_freely(
            "In which order are the points visited from here on?",
            tuple(WALKS),
            self._choose_walk,
        )

    def _choose_walk(self, words: str) -> None:
        if words not in WALKS:
            raise CommandRefusedError("Choose one of the four walks.")
        self.model.choose_walk(words)

    def knocked(self) -> None:
        self._attention("knock")

    def new_battery(self) -> None:
        gauge = self.model.gauge_number
        self._try(lambda: self.model.steps.call_attention("battery", gauge))

    def _attention(self, what: Occasion) -> None:
        gauge = self.model.gauge_number
        self.ask_freely(
            f"{Ask.KNOCK.question} ({gauge})",
            Ask.KNOCK.answers,
            lambda note: self.model.steps.call_attention(what, gauge, note),
        )

    def type_value(self) -> None:
        """Ask for a value that a gauge without a wire shows."""
        point, gauge = self.model.next_point, self.model.state.gauge
        if gauge is not None and self._open_panel(self.typing):
            self.typing.open(gauge.unit, f"{point.key}" if point is not None else "no open point")

    def seal(self) -> None:
        if self.model.steps.is_guided and self.model.steps.in_hand is not Rung.SEAL:
            self._try(lambda: self.model.steps.go_to(Rung.SEAL))
            return
        ask = Ask.SEAL_SIMULATED if self.model.is_simulated else Ask.SEAL
        self.ask_freely(ask.question, ask.answers, self.model.seal)

    def open_sheet(self) -> None:
        sealing = self.model.sealing
        if sealing is not None and sealing.sheet is not None:
            self.sheet_wanted.emit(sealing.sheet)

    def show_more(self) -> None:
        if self._open_panel(self.more):
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
            Action.TAKE_BACK: self.take_back,
            Action.REPEAT: self.repeat,
            Action.SKIP: self.skip,
            Action.NEXT: self.go_on,
        }[action]()

    def _choices(self) -> tuple[Choice, ...]:
        key = self._settings.key
        return (
            Choice("type_value", "Type a value", self.type_value, "F3"),
            Choice("repeat", "Repeat the last point", self.repeat, key(Action.REPEAT)),
            Choice("next", "Next point", self.go_on, key(Action.NEXT)),
            Choice("far_view", "Figure only, from afar", self.toggle_figure, "F11"),
            Choice("knock", "Gauge was knocked", self.knocked),
            Choice("battery", "New battery", self.new_battery),
            Choice("person", "Another person", self.change_person),
            Choice("check", "Check the gauge now", self._check_now),
            Choice("walk", "Another walk", self.change_walk),
            Choice("note", "Write a note", self.note),
            Choice("wire_log", "Save the gauges' bytes", self.wire_log_wanted.emit),
            Choice("settings", "Screen, sounds, keys", self.settings_wanted.emit),
        )

    def _check_now(self) -> None:
        self._try(self.model.steps.check_now)

    def _can(self, name: str) -> bool:
        model = self.model
        if name in ("type_value", "next", "knock", "battery", "person", "check", "walk", "note"):
            return not model.is_sealed
        return model.can_take_back if name == "repeat" else True

    def _choose(self, key: PointKey) -> None:
        """Select a point; choosing the selected one again goes there."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if self.model.selected_point is not None and self.model.selected_point.key == key:
            self.go_to_selected()
        else:
            self.model.select(key)
        self._settle()

    def ask_freely(
        self, question: str, answers: tuple[str, ...], then: Callable[[str], object]
    ) -> None:
        """Ask for words; presses go on arriving meanwhile."""
        if self._open_panel(self.reason):
            self.reason.ask(question, answers, lambda reason: self._try(lambda: then(reason)))

    def _ask(
        self,
        ask: Ask,
        then: Callable[[str, bool], object],
        about: str = "",
        again_key: str = "",
    ) -> None:
        """Ask for a reason that may be owed; `then` takes the reason, and whether it is owed."""
        if self._open_panel(self.reason):
            self.reason.ask(
                f"{ask.question} {about}".strip(),
                ask.answers,
                lambda reason: self._try(lambda: then(reason, False)),
                lambda: self._try(lambda: then("", True)),
                again_key,
            )

    def _open_panel(self, panel: QWidget) -> bool:
        """Make room for a panel over the foot; not while another is open."""
        if self.reason.isVisible():
            self.reason.take_keys()
        if self._is_covered() or self.figure.isVisible():
            return False
        self.bar.setEnabled(False)
        self._place(panel)
        return True

    def _try(self, action: Callable[[], object]) -> None:
        """Do something that may be refused, and say so where it is."""
        try:
            action()
            self.refresh()
        except (RecordError, ArchiveError) as error:
            self.bar.show_trouble(str(error))

    def _panel_closed(self) -> None:
        for panel in self._panels:
            panel.hide()
        self.bar.setEnabled(True)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _connect(self) -> None:
        self.readings.shaft.point_chosen.connect(self._choose)
        self.readings.parked.use.connect(self.use_parked)
        self.readings.parked.discard.connect(self.discard_parked)
        for panel in (self.reason, self.typing, self.more):
            panel.closed.connect(self._panel_closed)
        self.typing.typed.connect(lambda text: self._try(lambda: self.model.type_value(text)))
        self.figure.left.connect(self.leave_figure)
        self.bar.ask.clicked.connect(self.ask_wanted)
        self.bar.take_back.clicked.connect(self.take_back)
        self.bar.go_there.clicked.connect(self.go_to_selected)
        self.bar.skip.clicked.connect(self.skip)
        self.bar.next_seat.clicked.connect(self.model.show_next_seat)
        self.bar.seal.clicked.connect(self.seal)
        self.bar.open_sheet.clicked.connect(self.open_sheet)
        self.bar.fit.clicked.connect(self.fitting_wanted)
        self.bar.go_on.clicked.connect(lambda: self._try(self.model.steps.go_on))
        self.ladder.chosen.connect(lambda rung: self._try(lambda: self.model.steps.go_to(rung)))
        self.due.check_wanted.connect(
            lambda gauge: self._try(lambda: self.model.steps.check_now(gauge))
        )
        self.bar.more.clicked.connect(self.show_more)
        self.bar.leave.clicked.connect(self.left)
        for keys, do in (
            ("F3", self.type_value),
            ("F11", self.toggle_figure),
            (self._settings.key(Action.REPEAT), self.repeat),
            (self._settings.key(Action.NEXT), self.go_on),
        ):
            if keys:
                QShortcut(QKeySequence(keys), self.bar).activated.connect(do)

    # --- layout ----------------------------------------------------------------------------------

    def _place(self, panel: QWidget) -> None:
        height = max(panel.heightForWidth(self.width()), panel.sizeHint().height())
        height = min(height, self.height())
        panel.setGeometry(0, self.height() - height, self.width(), height)
        panel.raise_()

    def _place_all(self) -> None:
        for panel in self._panels:
            self._place(panel)
        self.figure.setGeometry(self.rect())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place_all()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.FontChange:
            # Later: Qt is just now walking through all widgets, and must not find them moved.
            QTimer.singleShot(0, self, self._place_all)
        super().changeEvent(event)

    def _build(self) -> None:
        top = QHBoxLayout()
        top.addWidget(self.heading, 1)
        top.addWidget(self.line_label)
        say = QHBoxLayout()
        say.addWidget(self.instruction, 1)
        say.addWidget(self.progress)
        layout = QVBoxLayout(self)
        layout.addLayout(top)
        layout.addWidget(self.ladder)
        layout.addLayout(say)
        layout.addWidget(self.banner)
        layout.addWidget(self.due)
        layout.addWidget(self.steps, 1)
        layout.addWidget(self.bar)


def _line_words(number: str, line: LineState | None) -> str:
    if line is None or line.kind is LineKind.CLOSED:
        return f"○ {number}: not connected"
    if line.kind is LineKind.CONNECTED and line.symptom is None:
        return f"● {number}: {line.kind}"
    return f"▲ {number}: {line.symptom or line.kind}"
