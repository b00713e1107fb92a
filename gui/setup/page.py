"""The page before the bench: go on with an inspection, or begin one."""

from collections.abc import Callable, Iterable
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QComboBox,
    QFileDialog,
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.archive.query import Entry
from seatproof.devices.declared.known import format_names
from seatproof.devices.discovery import PortFound
from seatproof.devices.picking import Take
from seatproof.gui.bench.taking import ASKED_WORDS, WORDS
from seatproof.gui.setup.cards import cautions_card, demonstration_card, fit_card, go_on_card
from seatproof.gui.setup.model import BY_FORMAT, KEYBOARD, NO_WIRE, SIMULATED, SetupForm
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, typed_number, wording

_FIELDS = (
    ("inspector", wording("Inspector")),
    ("asset", wording("Asset (machine)")),
    ("shaft_serial", wording("Shaft serial number")),
    ("work_order", wording("Work order")),
    ("gauge_number", wording("Gauge inventory number")),
    ("gauge_description", wording("Gauge description")),
    ("resolution", wording("Gauge step (plan's unit)")),
    ("certificate", wording("Calibration certificate")),
    ("calibration_due", wording("Calibration due")),
    ("window_s", wording("Window, seconds")),
    ("every_s", wording("Ask every, seconds")),
    ("shaft_c", wording("Shaft temperature, °C")),
    ("gauge_c", wording("Gauge temperature, °C")),
)
_IDENTIFYING = ("inspector", "asset", "shaft_serial", "work_order")
_TWO_COLUMNS_EM = 60
_BESIDE_EM = 30  # the width of the fields below which a label goes above its field
_MARGINS_EM = 4  # round and between them, and a bar for scrolling
_LONGEST = 80  # characters; the record takes no more of a number
_NO_PORT = (SIMULATED, KEYBOARD, NO_WIRE)
_NUMBERS = ("resolution", "window_s", "every_s", "shaft_c", "gauge_c")
_OF_REAL_GAUGES = (
    "format_name",
    "gauge_number",
    "gauge_description",
    "resolution",
    "certificate",
    "calibration_due",
    "take",
)


class SetupPage(QWidget):
    """Asks what must be known before the first press.

    Signals
    -------
    begun : SetupForm
        The form is filled without fault and the cautions were read.
    resumed : str, SetupForm
        The inspection of that identifier shall go on, with what is typed of inspector, gauge and
        temperatures.
    fitting_wanted : str, SetupForm
        The sealed inspection of that identifier shall go on with its fitting.
    preferences_wanted
        The settings shall be shown.
    own_work_wanted
        The demonstration is to be left for one's own archive.
    """

    begun = Signal(object)
    resumed = Signal(str, object)
    fitting_wanted = Signal(str, object)
    preferences_wanted = Signal()
    own_work_wanted = Signal()

    def __init__(
        self,
        form: SetupForm,
        plans: Iterable[Path],
        find_ports: Callable[[], tuple[PortFound, ...]],
        unfinished: Iterable[Entry] = (),
        parent: QWidget | None = None,
        to_fit: Iterable[Entry] = (),
        demonstration: Path | None = None,
    ) -> None:
        super().__init__(parent)
        self._demonstration = demonstration
        self._cleared: SetupForm | None = None  # what clearing took away
        self._find_ports = find_ports
        self._problems: dict[str, QLabel] = {}
        self.plan = QComboBox()
        self.plan.setEditable(True)
        self.plan.addItems([str(plan) for plan in plans])
        self.plan.setCurrentText(form.plan_file)
        self.browse = QPushButton(say("Choose a file …"))
        self.browse.setAutoDefault(False)
        self.browse.clicked.connect(self._browse)
        self.source = QComboBox()
        self.source.setEditable(True)
        self.look_again = QPushButton(say("Look again"))
        self.look_again.setAutoDefault(False)
        self.look_again.clicked.connect(self.fill_sources)
        self.fill_sources()
        self.source.setCurrentText(_shown(form.source))
        edit = self.source.lineEdit()
        assert edit is not None  # the box is editable
        edit.setPlaceholderText(say("port, address, or simulated gauge"))
        self.format = QComboBox()
        self.format.setEditable(True)  # the file that work-out wrote can be named as well
        self.format.addItems(format_names())
        self.format.setCurrentText(form.format_name)
        self.take = QComboBox()
        for words in (BY_FORMAT, *WORDS.values()):
            self.take.addItem(again(words), words)
        self.take.setCurrentIndex(self.take.findData(form.take))
        self.asked = QComboBox()
        for words in ASKED_WORDS.values():
            self.asked.addItem(again(words), words)
        self.asked.setCurrentIndex(self.asked.findData(form.asked))
        for box in (self.plan, self.source, self.format, self.take, self.asked):
            # A long path must not hold the page wider than the window.
            box.setSizeAdjustPolicy(
                QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
            )
            box.setMinimumContentsLength(8)
        self.source.currentTextChanged.connect(self._choice_changed)
        self.take.currentTextChanged.connect(self._choice_changed)
        self.asked.currentTextChanged.connect(self._choice_changed)
        self.edits = {name: QLineEdit(getattr(form, name)) for name, _ in _FIELDS}
        for name, edit in self.edits.items():
            edit.setMaxLength(_LONGEST)
            if name in _IDENTIFYING:
                # A scanner ends what it types with Return: on to the next field.
                edit.returnPressed.connect(lambda name=name: self._scanned(name))
        self.begin = ActionButton(say("I have read the cautions: begin (F2)"), "F2")
        self.begin.setObjectName("begin")
        self.begin.clicked.connect(self._begin)
        self.clear = QPushButton()
        self.clear.setObjectName("clear_form")
        self.clear.setAutoDefault(False)
        self.clear.clicked.connect(self._clear_or_bring_back)
        self.trouble = QLabel()
        self.trouble.setProperty("role", "banner")
        self.trouble.setWordWrap(True)
        self.trouble.hide()
        self._build(tuple(unfinished), tuple(to_fit))
        self._choice_changed()
        self._show_clear()
        for edit in self.edits.values():
            edit.textEdited.connect(self._keep_cleared)
        empty = next((name for name in _IDENTIFYING if not self.edits[name].text()), None)
        if empty is not None:
            self.setFocusProxy(self.edits[empty])

    def fill_sources(self) -> None:
        """Look which ports there are now; what was chosen stays."""
        chosen = self.source.currentText()
        self.source.clear()
        self.source.addItems([_shown(words) for words in _NO_PORT])
        for port in self._find_ports():
            self.source.addItem(port.lasting_source)
            self.source.setItemData(
                self.source.count() - 1,
                f"{port.name}: {port.description}",
                Qt.ItemDataRole.ToolTipRole,
            )
        self.source.setCurrentText(chosen)

    def form(self) -> SetupForm:
        """Return what is typed now."""
        return SetupForm(
            plan_file=self.plan.currentText(),
            source=self._source(),
            format_name=self.format.currentText(),
            take=self.take.currentData(),
            asked=self.asked.currentData(),
            **{
                name: typed_number(edit.text()) if name in _NUMBERS else edit.text()
                for name, edit in self.edits.items()
            },
        )

    def show_form(self, form: SetupForm) -> None:
        """Show what a form says."""
        for box, said in (
            (self.plan, form.plan_file),
            (self.source, _shown(form.source)),
            (self.format, form.format_name),
            (self.take, again(form.take)),
            (self.asked, again(form.asked)),
        ):
            box.setCurrentText(said)
        for name, edit in self.edits.items():
            edit.setText(getattr(form, name))

    def show_trouble(self, sentence: str) -> None:
        """Say why the inspection could not be begun."""
        self.trouble.setText(sentence)
        self.trouble.setVisible(bool(sentence))

    def resizeEvent(self, event: QResizeEvent) -> None:
        narrow = event.size().width() < _TWO_COLUMNS_EM * self.fontMetrics().height()
        self._columns.setDirection(
            QBoxLayout.Direction.BottomToTop if narrow else QBoxLayout.Direction.LeftToRight
        )
        fields = event.size().width() / (1 if narrow else 2)
        beside = fields >= self._beside_width()
        self._layout.setRowWrapPolicy(
            QFormLayout.RowWrapPolicy.DontWrapRows
            if beside
            else QFormLayout.RowWrapPolicy.WrapAllRows
        )
        super().resizeEvent(event)

    def _beside_width(self) -> int:
        """Return the room that captions beside their fields need, in letters of this size."""
        captions = max(caption.sizeHint().width() for caption in self._captions)
        widgets = max(holder.minimumSizeHint().width() for holder in self._rows.values())
        em = self.fontMetrics().height()
        return max(captions + widgets + _MARGINS_EM * em, _BESIDE_EM * em)

    def _begin(self) -> None:
        form = self.form()
        if self._mark(form.problems()):
            self.begun.emit(form)

    def _go_on(self, inspection_id: str) -> None:
        form = self.form()
        problems = form.temperature_problems()
        if not form.inspector.strip():
            problems["inspector"] = wording("Say who measures.")
        if form.source.strip():
            problems |= form.gauge_problems()
        if self._mark(problems):
            self.resumed.emit(inspection_id, form)

    def _fit(self, inspection_id: str) -> None:
        form = self.form()
        problems = {} if form.inspector.strip() else {"inspector": wording("Say who fits.")}
        if self._mark(problems):
            self.fitting_wanted.emit(inspection_id, form)

    def _mark(self, problems: dict[str, str]) -> bool:
        """Show what must be mended beside its field; return whether there is nothing."""
        for name, label in self._problems.items():
            label.setText(again(problems.get(name, "")))
            label.setVisible(name in problems)
        self.show_trouble("" if not problems else say("Mend what is marked first."))
        return not problems

    def _browse(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self,
            say("Choose a plan"),
            self.plan.currentText(),
            say("Plans (*.toml);;All files (*)"),
        )
        if name:
            self.plan.setCurrentText(name)

    def _source(self) -> str:
        """Return the source; what is no port is spelt as the form spells it."""
        text = self.source.currentText()
        return next((words for words in _NO_PORT if _shown(words) == text.strip()), text)

    def _clear_or_bring_back(self) -> None:
        """Empty what is said of shaft and gauge, or take that back."""
        if self._cleared is not None:
            form, self._cleared = self._cleared, None
            self.show_form(form)
        else:
            self._cleared = self.form()
            self.show_form(SetupForm())
        self._mark({})
        self._show_clear()

    def _keep_cleared(self) -> None:
        """Somebody writes anew: what was cleared is not wanted back over it."""
        if self._cleared is not None:
            self._cleared = None
            self._show_clear()

    def _show_clear(self) -> None:
        self.clear.setText(
            say("Clear the form") if self._cleared is None else say("Bring back what was typed")
        )

    def _scanned(self, name: str) -> None:
        following = _IDENTIFYING.index(name) + 1
        if following < len(_IDENTIFYING):
            self.edits[_IDENTIFYING[following]].setFocus(Qt.FocusReason.OtherFocusReason)

    def _choice_changed(self) -> None:
        """Show the fields that the choices ask for."""
        source, take = self._source().strip(), self.take.currentData()
        is_real = source != SIMULATED
        has_line = is_real and source != NO_WIRE
        chosen = has_line and take != BY_FORMAT
        for name in _OF_REAL_GAUGES:
            needs_line = name in ("format_name", "take")
            self._layout.setRowVisible(self._rows[name], has_line if needs_line else is_real)
        self._layout.setRowVisible(self._rows["asked"], chosen)
        windows = [WORDS[take] for take in (Take.MAXIMUM, Take.MINIMUM, Take.STABLE)]
        self._layout.setRowVisible(self._rows["window_s"], chosen and take in windows)
        self._layout.setRowVisible(
            self._rows["every_s"], chosen and self.asked.currentData() == ASKED_WORDS["timer"]
        )

    def _build(self, unfinished: tuple[Entry, ...], to_fit: tuple[Entry, ...]) -> None:
        title = QLabel(say("Before the first press"))
        title.setProperty("role", "instruction")
        title.setWordWrap(True)
        preferences = QPushButton(say("Settings"))
        preferences.setObjectName("preferences")
        preferences.setAutoDefault(False)
        preferences.clicked.connect(self.preferences_wanted)
        top = QHBoxLayout()
        top.addWidget(title, 1)
        top.addWidget(self.clear)
        top.addWidget(preferences)
        self._layout = QFormLayout()
        self._layout.setRowWrapPolicy(QFormLayout.RowWrapPolicy.DontWrapRows)
        self._rows: dict[str, QWidget] = {}
        self._captions: list[QLabel] = []
        self._add("plan_file", wording("Plan"), self.plan, self.browse)
        for name, label in _FIELDS[:4]:
            self._add(name, label, self.edits[name])
        self._add("source", wording("Gauge's port"), self.source, self.look_again)
        self._add("format_name", wording("Gauge's format"), self.format)
        self._add("take", wording("How its values are taken"), self.take)
        self._add("asked", wording("Asking"), self.asked)
        for name, label in _FIELDS[4:]:
            self._add(name, label, self.edits[name])
        fields = QFrame()
        fields.setProperty("role", "card")
        fields.setLayout(self._layout)

        side = QVBoxLayout()
        if self._demonstration is not None:
            side.addWidget(demonstration_card(self._demonstration, self.own_work_wanted.emit))
        if unfinished:
            side.addWidget(go_on_card(unfinished, self._go_on))
        if to_fit:
            side.addWidget(fit_card(to_fit, self._fit))
        side.addWidget(cautions_card())
        side.addStretch(1)
        left = QVBoxLayout()
        left.addWidget(fields)
        left.addStretch(1)
        self._columns = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._columns.addLayout(left, 1)
        self._columns.addLayout(side, 1)
        content = QWidget()
        content.setLayout(self._columns)
        area = QScrollArea()
        area.setWidget(content)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        layout = QVBoxLayout(self)
        layout.addLayout(top)
        layout.addWidget(area, 1)
        layout.addWidget(self.trouble)
        layout.addWidget(self.begin)

    def _add(self, name: str, label: str, *widgets: QWidget) -> None:
        holder = QWidget()
        problem = QLabel()
        problem.setObjectName(f"problem_{name}")
        problem.setProperty("role", "problem")
        problem.setWordWrap(True)
        problem.hide()
        row = QHBoxLayout()
        for index, widget in enumerate(widgets):
            row.addWidget(widget, 0 if index else 1)
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(row)
        column.addWidget(problem)
        caption = QLabel(say(label))
        caption.setBuddy(widgets[0])
        self._captions.append(caption)
        widgets[0].setAccessibleName(say(label))
        self._layout.addRow(caption, holder)
        self._problems[name] = problem
        self._rows[name] = holder


def _shown(source: str) -> str:
    """Return how a source is shown: what is no port by its words in the language."""
    return say(source) if source in _NO_PORT else source
