"""The bench as a page of the window: drawings, plots, the last value and what to do next.

Roomy windows show everything at once; where the window is small for its text, drawings, plots and
verdicts share one place and are turned to with Ctrl+1, 2, 3.
"""

from collections.abc import Callable

from PySide6.QtCore import QElapsedTimer, QEvent, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import RecordError
from seatproof.core.sheet.compose import seat_heading
from seatproof.devices.gauge import LineKind
from seatproof.gui.bench.actions import ActionBar
from seatproof.gui.bench.along_view import AlongView
from seatproof.gui.bench.end_view import EndView
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.parked_list import ParkedList
from seatproof.gui.bench.polar_view import PolarView
from seatproof.gui.bench.reason_panel import ReasonPanel
from seatproof.gui.bench.reasons import Ask
from seatproof.gui.bench.shaft_view import ShaftView
from seatproof.gui.bench.simulated_panel import SimulatedPanel
from seatproof.gui.bench.value_card import ValueCard
from seatproof.gui.bench.verdict_list import VerdictList
from seatproof.gui.shared.theme import Theme
from seatproof.gui.simulation import SimulatedGauge

# Below this much room for a letter of ordinary size the bench folds; found by looking at it.
_ROOMY_EM = (66.0, 40.0)

_LEAST_MS_BETWEEN_REPAINTS = 25

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
    """

    left = Signal()
    sheet_wanted = Signal(object)

    def __init__(
        self,
        model: BenchModel,
        theme: Theme,
        simulated: SimulatedGauge | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._repaint = QTimer(self)
        self._repaint.setSingleShot(True)
        self._repaint.setInterval(_LEAST_MS_BETWEEN_REPAINTS)
        self._shown_since = QElapsedTimer()
        self._shown_since.start()
        self._repaint.timeout.connect(self.refresh)
        self._refit = QTimer(self)
        self._refit.setSingleShot(True)
        self._refit.setInterval(0)
        self._refit.timeout.connect(self._fit_anew)
        self.model = model
        self._theme = theme
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

        self.heading = QLabel(model.heading)
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

        self.shaft = ShaftView(theme)
        self.shaft.show_plan(model.plan)
        self.end = EndView(theme)
        self.polar = PolarView(theme)
        self.along = AlongView(theme)
        self.value = ValueCard(theme)
        self.parked = ParkedList()
        self.verdicts = VerdictList(theme)
        self.blindness = QLabel(model.blindness)
        self.blindness.setWordWrap(True)
        self.blindness.setProperty("role", "small")
        self.simulated = SimulatedPanel(simulated) if simulated is not None else None

        self.bar = ActionBar()
        self.reason = ReasonPanel(self)  # lies over the foot of the bench, which does not move
        self.reason.hide()

        self._tabs = QTabWidget()
        self._tabs.setDocumentMode(True)
        self._is_folded: bool | None = None
        self._build()
        self._connect()
        model.on_change = self._repaint_soon
        self.refresh()

    # --- painting the model ----------------------------------------------------------------------

    def _repaint_soon(self) -> None:
        """Show a change at once, but many changes in a moment only once at its end."""
        if self._shown_since.elapsed() >= self._repaint.interval():
            self.refresh()
        elif not self._repaint.isActive():
            self._repaint.start()

    def refresh(self) -> None:
        """Show the model as it is now."""
        self._shown_since.restart()
        model = self.model
        self.instruction.setText(model.instruction)
        done, total = model.progress
        self.progress.setText(f"{done} of {total} points")
        self._show_line()
        points, seat, following = model.points, model.seat, model.next_point
        self.shaft.show_points(points, seat.id)
        station = following.station if following and following.seat_id == seat.id else None
        self.end.show_section(
            model.plan,
            seat,
            tuple(
                view
                for view in points
                if view.point.seat_id == seat.id and view.point.station == station
            ),
        )
        self.polar.show_plot(model.polar, model.plan.unit, station)
        self.polar.setToolTip("\n".join(model.polar_notes))
        self.along.show_plot(model.along, model.plan.unit, station)
        self.value.show_value(model.last)
        self.parked.show_parked(model.parked, following.key if following else None)
        self._parked_scroll.setVisible(bool(model.parked))
        self.verdicts.show_requirements(f"{seat_heading(model.plan, seat)}", model.requirements)
        if self.simulated is not None:
            self.simulated.aim(following)
        self.bar.show_state(model)

    def _show_line(self) -> None:
        line = self.model.line
        gauge = self.model.state.gauge
        name = gauge.inventory_number if gauge is not None else "gauge"
        if line is None or line.kind is LineKind.CLOSED:
            self.line_label.setText(f"○ {name}: not connected")
            self.banner.hide()
        elif line.kind is LineKind.CONNECTED:
            is_well = line.symptom is None
            self.line_label.setText(
                f"{'●' if is_well else '▲'} {name}: {line.symptom or line.kind}"
            )
            self.banner.setText(line.sentence)
            self.banner.setVisible(not is_well)
        else:
            self.line_label.setText(f"▲ {name}: {line.kind}")
            self.banner.setText(f"{line.sentence} Everything logged is kept.")
            self.banner.setVisible(line.kind is not LineKind.CONNECTING or line.error is not None)
        self.line_label.setToolTip(line.sentence if line is not None else "")

    # --- what a person does ----------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key in _ARROWS and not self.reason.isVisible():
            self.model.move_selection(*_ARROWS[key])
        elif key == Qt.Key.Key_Escape:
            self.model.select(None)
        else:
            super().keyPressEvent(event)

    # What an answer acts on is settled when the question is asked: presses go on arriving.

    def take_back(self) -> None:
        reading = self.model.last_reading
        if reading is not None:
            self._ask(
                Ask.TAKE_BACK,
                lambda reason: self.model.take_back(reason, reading.seq),
                about=f"({reading.key}: {reading.received.value} {reading.received.unit})",
            )

    def skip(self) -> None:
        point = self.model.next_point
        if point is not None:
            self._ask(
                Ask.SKIP, lambda reason: self.model.skip(reason, point.key), about=f"({point.key})"
            )

    def go_to_selected(self) -> None:
        point = self.model.selected_point
        if point is None:
            return
        if self.model.needs_reason_to_go(point.key):
            self._ask(
                Ask.MEASURE_AGAIN,
                lambda reason: self.model.go_to(point.key, reason),
                about=f"({point.key})",
            )
        else:
            self._try(lambda: self.model.go_to(point.key))

    def use_parked(self, seq: int) -> None:
        point = self.model.next_point
        if point is not None:
            self._ask(
                Ask.USE,
                lambda reason: self.model.use_parked(seq, point.key, reason),
                about=f"({point.key})",
            )

    def discard_parked(self, seq: int) -> None:
        self._ask(Ask.DISCARD, lambda reason: self.model.discard_parked(seq, reason))

    def seal(self) -> None:
        self._ask(Ask.SEAL_SIMULATED if self.model.is_simulated else Ask.SEAL, self.model.seal)

    def open_sheet(self) -> None:
        sealing = self.model.sealing
        if sealing is not None and sealing.sheet is not None:
            self.sheet_wanted.emit(sealing.sheet)

    def _choose(self, key: PointKey) -> None:
        """Select a point; choosing the selected one again goes there."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if self.model.selected_point is not None and self.model.selected_point.key == key:
            self.go_to_selected()
        else:
            self.model.select(key)

    def _ask(self, ask: Ask, then: Callable[[str], object], about: str = "") -> None:
        self.bar.setEnabled(False)
        self._place_question()
        self.reason.ask(ask, lambda reason: self._try(lambda: then(reason)), about)

    def _try(self, action: Callable[[], object]) -> None:
        """Do something that may be refused, and say so where it is."""
        try:
            action()
            self.refresh()
        except (RecordError, ArchiveError) as error:
            self.bar.show_trouble(str(error))

    def _reason_closed(self) -> None:
        self.reason.hide()
        self.bar.setEnabled(True)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _connect(self) -> None:
        self.shaft.point_chosen.connect(self._choose)
        self.parked.use.connect(self.use_parked)
        self.parked.discard.connect(self.discard_parked)
        self.reason.closed.connect(self._reason_closed)
        self.bar.take_back.clicked.connect(self.take_back)
        self.bar.go_there.clicked.connect(self.go_to_selected)
        self.bar.skip.clicked.connect(self.skip)
        self.bar.next_seat.clicked.connect(self.model.show_next_seat)
        self.bar.seal.clicked.connect(self.seal)
        self.bar.open_sheet.clicked.connect(self.open_sheet)
        self.bar.leave.clicked.connect(self.left)

    # --- layout ----------------------------------------------------------------------------------

    def _place_question(self) -> None:
        height = self.reason.heightForWidth(self.width())
        height = max(height, self.reason.sizeHint().height())
        self.reason.setGeometry(0, self.height() - height, self.width(), height)
        self.reason.raise_()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._fit(event.size())
        self._place_question()
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.FontChange:
            # Later: Qt is just now walking through all widgets, and must not find them moved.
            self._refit.start()
        super().changeEvent(event)

    def _fit_anew(self) -> None:
        """Lay everything out for a new size of letters, by which widths are counted."""
        self._is_folded = None
        self._fit(self.size())
        self._place_question()

    def _fit(self, size: QSize) -> None:
        em = self.fontMetrics().height()
        wide, high = _ROOMY_EM
        self._fold(size.width() < wide * em or size.height() < high * em)

    def _build(self) -> None:
        top = QHBoxLayout()
        top.addWidget(self.heading, 1)
        top.addWidget(self.line_label)
        say = QHBoxLayout()
        say.addWidget(self.instruction, 1)
        say.addWidget(self.progress)

        self._drawings = _Row((self.shaft, 5))
        self._plots = _Row((self.polar, 6), (self.along, 7))
        self._judgement = QFrame()
        judgement = QVBoxLayout(self._judgement)
        judgement.setContentsMargins(0, 0, 0, 0)
        judgement.addWidget(self.verdicts)
        judgement.addWidget(self.blindness)
        judgement.addStretch(1)
        self._judgement_scroll = _scrolling(self._judgement)

        self._parked_scroll = _scrolling(self.parked)
        self._halves = QSplitter(Qt.Orientation.Vertical)
        self._halves.setChildrenCollapsible(False)
        self._left = QVBoxLayout()
        self._left.addWidget(self._halves, 1)
        self._left.addWidget(self._tabs, 1)
        self._side = QVBoxLayout()
        self._side.addWidget(self.value, 3)
        self._side.addWidget(self._parked_scroll, 3)
        self._body = QHBoxLayout()
        self._body.addLayout(self._left, 1)
        self._side_holder = QWidget()
        self._side_holder.setLayout(self._side)
        self._side.setContentsMargins(0, 0, 0, 0)
        self._body.addWidget(self._side_holder)

        layout = QVBoxLayout(self)
        layout.addLayout(top)
        layout.addLayout(say)
        layout.addWidget(self.banner)
        layout.addLayout(self._body, 1)
        layout.addWidget(self.bar)

    def _fold(self, folded: bool) -> None:
        if folded == self._is_folded:
            return
        self._is_folded = folded
        em = self.fontMetrics().height()
        self._side_holder.setFixedWidth(int(em * (21 if not folded else 15)))
        (self._drawings if folded else self._plots).add(self.end, 2 if folded else 4)
        if folded:
            self._tabs.addTab(self._drawings, "Shaft")
            self._tabs.addTab(self._plots, "Form and size")
            self._tabs.addTab(self._judgement_scroll, "Verdicts")
            self._halves.hide()
            self._tabs.show()
        else:
            self._tabs.clear()
            self._tabs.hide()
            self._halves.addWidget(self._drawings)
            self._halves.addWidget(self._plots)
            self._halves.setSizes([1100, 1000])  # shares, not pixels: both grow with the window
            self._halves.show()
            self._side.insertWidget(2, self._judgement_scroll, 4)
            for widget in (self._drawings, self._plots, self._judgement_scroll):
                widget.show()
        if self.simulated is not None:
            self._side.addWidget(self.simulated)


class _Row(QWidget):
    """Widgets side by side that get the whole room in fixed shares, whatever they would like."""

    def __init__(self, *parts: tuple[QWidget, int]) -> None:
        super().__init__()
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        for widget, share in parts:
            self.add(widget, share)

    def add(self, widget: QWidget, share: int) -> None:
        widget.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._row.addWidget(widget, share)


def _scrolling(widget: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidget(widget)
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    return area
