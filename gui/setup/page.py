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

from seatproof.core.archive.index import SEALED
from seatproof.core.archive.query import Entry
from seatproof.core.cautions import CAUTIONS, DEFERENCE
from seatproof.devices.declared.known import format_names
from seatproof.devices.discovery import PortFound
from seatproof.devices.picking import Take
from seatproof.gui.bench.taking import ASKED_WORDS, WORDS
from seatproof.gui.setup.model import BY_FORMAT, KEYBOARD, NO_WIRE, SIMULATED, SetupForm
from seatproof.gui.shared.action_button import ActionButton

_FIELDS = (
    ("inspector", "Inspector"),
    ("asset", "Asset (machine)"),
    ("shaft_serial", "Shaft serial number"),
    ("work_order", "Work order"),
    ("gauge_number", "Gauge inventory number"),
    ("gauge_description", "Gauge description"),
    ("resolution", "Gauge step (plan's unit)"),
    ("certificate", "Calibration certificate"),
    ("calibration_due", "Calibration due"),
    ("window_s", "Window, seconds"),
    ("every_s", "Ask every, seconds"),
    ("shaft_c", "Shaft temperature, °C"),
    ("gauge_c", "Gauge temperature, °C"),
)
_IDENTIFYING = ("inspector", "asset", "shaft_serial", "work_order")
# What speaks against fitting by an inspection in this state; the other states say themselves.
_AGAINST_FITTING = {
    "sent back": "▲ The review sent it back: to be measured again",
    "to be reworked": "▲ It was decided: to be reworked",
    "rejected": "▲ It was decided: rejected",
}
_TWO_COLUMNS_EM = 60
_LONGEST = 80  # characters; the record takes no more of a number
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
        Colours, sounds and keys shall be chosen.
    """

    begun = Signal(object)
    resumed = Signal(str, object)
    fitting_wanted = Signal(str, object)
    preferences_wanted = Signal()

    def __init__(
        self,
        form: SetupForm,
        plans: Iterable[Path],
        find_ports: Callable[[], tuple[PortFound, ...]],
        unfinished: Iterable[Entry] = (),
        parent: QWidget | None = None,
        to_fit: Iterable[Entry] = (),
    ) -> None:
        super().__init__(parent)
        self._find_ports = find_ports
        self._problems: dict[str, QLabel] = {}
        self.plan = QComboBox()
        self.plan.setEditable(True)
        self.plan.addItems([str(plan) for plan in plans])
        self.plan.setCurrentText(form.plan_file)
        self.browse = QPushButton("Choose a file …")
        self.browse.setAutoDefault(False)
        self.browse.clicked.connect(self._browse)
        self.source = QComboBox()
        self.source.setEditable(True)
        self.look_again = QPushButton("Look again")
        self.look_again.setAutoDefault(False)
        self.look_again.clicked.connect(self.fill_sources)
        self.fill_sources()
        self.source.setCurrentText(form.source)
        edit = self.source.lineEdit()
        assert edit is not None  # the box is editable
        edit.setPlaceholderText("port, address, or simulated gauge")
        self.format = QComboBox()
        self.format.setEditable(True)  # the file that work-out wrote can be named as well
        self.format.addItems(format_names())
        self.format.setCurrentText(form.format_name)
        self.take = QComboBox()
        self.take.addItems([BY_FORMAT, *WORDS.values()])
        self.take.setCurrentText(form.take)
        self.asked = QComboBox()
        self.asked.addItems(list(ASKED_WORDS.values()))
        self.asked.setCurrentText(form.asked)
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
        self.begin = ActionButton("I have read the cautions: begin (F2)", "F2")
        self.begin.setObjectName("begin")
        self.begin.clicked.connect(self._begin)
        self.trouble = QLabel()
        self.trouble.setProperty("role", "banner")
        self.trouble.setWordWrap(True)
        self.trouble.hide()
        self._build(tuple(unfinished), tuple(to_fit))
        self._choice_changed()
        empty = next((name for name in _IDENTIFYING if not self.edits[name].text()), None)
        if empty is not None:
            self.setFocusProxy(self.edits[empty])

    def fill_sources(self) -> None:
        """Look which ports there are now; what was chosen stays."""
        chosen = self.source.currentText()
        self.source.clear()
        self.source.addItems([SIMULATED, KEYBOARD, NO_WIRE])
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
            source=self.source.currentText(),
            format_name=self.format.currentText(),
            take=self.take.currentText(),
            asked=self.asked.currentText(),
            **{name: edit.text() for name, edit in self.edits.items()},
        )

    def show_trouble(self, sentence: str) -> None:
        """Say why the inspection could not be begun."""
        self.trouble.setText(sentence)
        self.trouble.setVisible(bool(sentence))

    def resizeEvent(self, event: QResizeEvent) -> None:
        narrow = event.size().width() < _TWO_COLUMNS_EM * self.fontMetrics().height()
        self._columns.setDirection(
            QBoxLayout.Direction.BottomToTop if narrow else QBoxLayout.Direction.LeftToRight
        )
        super().resizeEvent(event)

    def _begin(self) -> None:
        form = self.form()
        if self._mark(form.problems()):
            self.begun.emit(form)

    def _go_on(self, inspection_id: str) -> None:
        form = self.form()
        problems = form.temperature_problems()
        if not form.inspector.strip():
            problems["inspector"] = "Say who measures."
        if form.source.strip():
            problems |= form.gauge_problems()
        if self._mark(problems):
            self.resumed.emit(inspection_id, form)

    def _fit(self, inspection_id: str) -> None:
        form = self.form()
        problems = {} if form.inspector.strip() else {"inspector": "Say who fits."}
        if self._mark(problems):
            self.fitting_wanted.emit(inspection_id, form)

    def _mark(self, problems: dict[str, str]) -> bool:
        """Show what must be mended beside its field; return whether there is nothing."""
        for name, label in self._problems.items():
            label.setText(problems.get(name, ""))
            label.setVisible(name in problems)
        self.show_trouble("" if not problems else "Mend what is marked first.")
        return not problems

    def _browse(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "Choose a plan", self.plan.currentText(), "Plans (*.toml);;All files (*)"
        )
        if name:
            self.plan.setCurrentText(name)

    def _scanned(self, name: str) -> None:
        following = _IDENTIFYING.index(name) + 1
        if following < len(_IDENTIFYING):
            self.edits[_IDENTIFYING[following]].setFocus(Qt.FocusReason.OtherFocusReason)

    def _choice_changed(self) -> None:
        """Show the fields that the choices ask for."""
        is_real = self.source.currentText().strip() != SIMULATED
        has_line = is_real and self.source.currentText().strip() != NO_WIRE
        chosen = has_line and self.take.currentText() != BY_FORMAT
        for name in _OF_REAL_GAUGES:
            needs_line = name in ("format_name", "take")
            self._layout.setRowVisible(self._rows[name], has_line if needs_line else is_real)
        self._layout.setRowVisible(self._rows["asked"], chosen)
        windows = [WORDS[take] for take in (Take.MAXIMUM, Take.MINIMUM, Take.STABLE)]
        self._layout.setRowVisible(
            self._rows["window_s"], chosen and self.take.currentText() in windows
        )
        self._layout.setRowVisible(
            self._rows["every_s"], chosen and self.asked.currentText() == ASKED_WORDS["timer"]
        )

    def _build(self, unfinished: tuple[Entry, ...], to_fit: tuple[Entry, ...]) -> None:
        title = QLabel("Before the first press")
        title.setProperty("role", "instruction")
        preferences = QPushButton("Screen, sounds, keys")
        preferences.setObjectName("preferences")
        preferences.setAutoDefault(False)
        preferences.clicked.connect(self.preferences_wanted)
        top = QHBoxLayout()
        top.addWidget(title, 1)
        top.addWidget(preferences)
        self._layout = QFormLayout()
        self._layout.setRowWrapPolicy(QFormLayout.RowWrapPolicy.DontWrapRows)
        self._rows: dict[str, QWidget] = {}
        self._add("plan_file", "Plan", self.plan, self.browse)
        for name, label in _FIELDS[:4]:
            self._add(name, label, self.edits[name])
        self._add("source", "Gauge's port", self.source, self.look_again)
        self._add("format_name", "Gauge's format", self.format)
        self._add("take", "How its values are taken", self.take)
        self._add("asked", "Asking", self.asked)
        for name, label in _FIELDS[4:]:
            self._add(name, label, self.edits[name])
        fields = QFrame()
        fields.setProperty("role", "card")
        fields.setLayout(self._layout)

        side = QVBoxLayout()
        if unfinished:
            side.addWidget(_go_on_card(unfinished, self._go_on))
        if to_fit:
            side.addWidget(_fit_card(to_fit, self._fit))
        side.addWidget(_cautions_card())
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
        caption = QLabel(label)
        caption.setBuddy(widgets[0])
        widgets[0].setAccessibleName(label)
        self._layout.addRow(caption, holder)
        self._problems[name] = problem
        self._rows[name] = holder


def _cautions_card() -> QFrame:
    card = QFrame()
    card.setProperty("role", "card")
    heading = QLabel("Before hands go near the shaft")
    heading.setProperty("role", "heading")
    heading.setWordWrap(True)
    items = "".join(f"<li>{caution}</li>" for caution in CAUTIONS)
    text = QLabel(f"<ul style='margin-left:-22px'>{items}</ul><p><b>{DEFERENCE}</b></p>")
    text.setWordWrap(True)
    layout = QVBoxLayout(card)
    layout.addWidget(heading)
    layout.addWidget(text)
    return card


def _go_on_card(unfinished: tuple[Entry, ...], resume: Callable[[str], None]) -> QFrame:
    card = QFrame()
    card.setProperty("role", "card")
    heading = QLabel("Go on where an inspection was left")
    heading.setProperty("role", "heading")
    heading.setWordWrap(True)
    layout = QVBoxLayout(card)
    layout.addWidget(heading)
    for entry in unfinished[:5]:
        button = ActionButton(
            f"{entry.title}, {entry.thing}\n{entry.sheet_number}, {entry.opened_utc[:10]}: "
            "I have read the cautions"
        )
        button.setObjectName(f"go_on_{entry.inspection}")
        button.clicked.connect(lambda _=False, name=entry.inspection: resume(name))
        layout.addWidget(button)
    return card


def _fit_card(to_fit: tuple[Entry, ...], fit: Callable[[str], None]) -> QFrame:
    card = QFrame()
    card.setProperty("role", "card")
    heading = QLabel("Go on with the fitting on a sealed seat")
    heading.setProperty("role", "heading")
    heading.setWordWrap(True)
    layout = QVBoxLayout(card)
    layout.addWidget(heading)
    for entry in to_fit[:5]:
        button = ActionButton(
            f"{entry.title}, {entry.thing}\n{entry.sheet_number}, {entry.verdict}\n"
            f"{_review_words(entry)}"
        )
        button.setObjectName(f"fit_{entry.inspection}")
        button.clicked.connect(lambda _=False, name=entry.inspection: fit(name))
        layout.addWidget(button)
    return card


def _review_words(entry: Entry) -> str:
    """Say what became of a sealed inspection, before anybody fits by it."""
    if entry.state == SEALED:
        return "○ Not reviewed yet"
    return _AGAINST_FITTING.get(entry.state) or f"● {entry.state.capitalize()}"
