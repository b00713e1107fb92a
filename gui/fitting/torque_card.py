"""Tightening as work: the joint, the next bolt, the tool, and what came of every act."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QComboBox, QFrame, QLineEdit, QVBoxLayout, QWidget

from seatproof.core.equipment.item import Item
from seatproof.core.plan.fitting import TorqueStep
from seatproof.gui.bench.pages.base import Asker, button, card, plain_label, row
from seatproof.gui.fitting.bolting import LUBRICANTS
from seatproof.gui.fitting.joint_view import JointView
from seatproof.gui.fitting.model import FittingModel
from seatproof.gui.fitting.step_card import StepCard
from seatproof.gui.fitting.step_cards import Entry
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.theme import Theme

TURNED_KEY = "F3"
_ONE_COLUMN_EM = 28
_LARGE_TEXT_PX = 26
_NO_LIMIT = 16_777_215  # Qt's own
_WHY_TOOL = (
    wording("No other tool is here; checked before use"),
    wording("Agreed with the quality lead"),
)
_WHY_ORDER = (
    wording("The maker's instructions name another order"),
    wording("A bolt cannot be reached in that order"),
)
_WHY_LOOSEN = (
    wording("A bolt was taken past its torque"),
    wording("The joint does not close evenly"),
    wording("Parts were put together wrongly"),
)
_WHY_WITHOUT = (
    wording("The tool is not in the register yet"),
    wording("Borrowed for today"),
)


class TorqueCard(StepCard):
    """The work on one joint."""

    def __init__(self, model: FittingModel, step: TorqueStep, ask: Asker, theme: Theme) -> None:
        super().__init__(model, step, ask)
        self._step = step
        self.bolting = model.bolting
        self.joint = JointView(step, theme, self._choose)
        self._tools: tuple[Item, ...] = ()
        self._halves = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        body = QWidget()
        body.setLayout(self._halves)
        self._halves.setContentsMargins(0, 0, 0, 0)
        self._halves.addWidget(self.joint, 3)
        work = QVBoxLayout()
        work.addWidget(self._now())
        work.addStretch(1)
        side = QWidget()
        side.setLayout(work)
        work.setContentsMargins(0, 0, 0, 0)
        self._halves.addWidget(side, 2)
        self._before = (self._threads(), self._tool())
        for frame in self._before:
            self.column.addWidget(frame)
        self.column.addWidget(body, 1)
        self.with_what = plain_label("with_what")
        self.change = button(
            say("Other threads or tool"), "change_preparation", self.show_now, checkable=True
        )
        self.column.addLayout(row(self.with_what, self.change))
        self.column.addWidget(self._other())
        self.column.addWidget(self.found)

    # --- parts -----------------------------------------------------------------------------------

    def _now(self) -> QFrame:
        frame, layout = card("")
        self.instruction = plain_label("bolt_instruction", "far")
        self.stage = plain_label("bolt_stage", "question")
        self.order = plain_label("bolt_order")
        self.why_not = plain_label("why_not", "problem")
        self.confirm = button("", "confirm_bolt", self.confirm_now)
        self.confirm.setProperty("emphasis", "strong")
        self.turned = button("", "bolt_turned", self.turned_now)
        unit = self._step.unit
        self.typed = Entry(
            "typed_torque", say("Torque read off the tool, {unit}", unit=unit), self._type
        )
        self.type = button(say("Log it"), "log_torque", self._type)
        for widget in (self.instruction, self.stage, self.why_not, self.confirm, self.turned):
            layout.addWidget(widget)
        layout.addLayout(row(self.typed, self.type))
        layout.addWidget(self.order)
        return frame

    def _threads(self) -> QFrame:
        frame, layout = card(say("State of the threads, to be said before the first bolt"))
        self.lubricant = QComboBox()
        self.lubricant.setObjectName("lubricant")
        self.lubricant.setEditable(True)
        for lubricant in LUBRICANTS:
            self.lubricant.addItem(say(lubricant), lubricant)
        self.lubricant.setCurrentText("")
        edit = self.lubricant.lineEdit()
        assert edit is not None  # the box is editable
        edit.setPlaceholderText(say("choose, or write it in your words"))
        edit.setMaxLength(200)
        self.note_threads = button(say("Log this state"), "note_threads", self._note_threads)
        self.threads = plain_label("threads_said")
        layout.addLayout(row(self.lubricant, self.note_threads))
        layout.addWidget(self.threads)
        return frame

    def _tool(self) -> QFrame:
        frame, layout = card(say("Torque tool"))
        self.asked_class = plain_label("asked_class")
        if self._step.tool_class:
            asked = say("The plan asks for: {tool_class}", tool_class=self._step.tool_class)
            self.asked_class.setText(asked)
        else:
            self.asked_class.hide()
        self.tool_said = plain_label("tool_said")
        self.tools = QComboBox()
        self.tools.setObjectName("torque_tools")
        self.put = button(say("Put in service"), "put_tool", self._put)
        self.without = button(
            say("Go on without a tool of the register"),
            "without_tool",
            lambda: self.ask(
                say("Why with no tool of the register?"),
                _WHY_WITHOUT,
                lambda reason: self.bolting.go_without_tool(self._step, reason),
            ),
        )
        layout.addWidget(self.asked_class)
        layout.addWidget(self.tool_said)
        layout.addLayout(row(self.tools, self.put, self.without))
        return frame

    def _other(self) -> QFrame:
        frame, layout = card(say("Another order, or from the beginning"))
        self.new_order = QLineEdit()
        self.new_order.setObjectName("new_order")
        self.new_order.setAccessibleName(say("Order of the bolts for this stage, comma between"))
        self.take_order = button(
            say("Let this order hold for the stage"), "take_order", self._order
        )
        self.loosen = button(
            say("All loosened: begin again"),
            "loosen",
            lambda: self.ask(
                say("Why were the bolts loosened?"),
                _WHY_LOOSEN,
                lambda reason: self.bolting.loosen(self._step, reason),
            ),
        )
        layout.addLayout(row(self.new_order, self.take_order))
        layout.addWidget(self.loosen)
        return frame

    # --- showing ---------------------------------------------------------------------------------

    def show_now(self) -> None:
        super().show_now()
        step, bolting = self._step, self.bolting
        turn = bolting.turn(step)
        self.joint.show_bolts(bolting.bolts(step))
        self.instruction.setText(bolting.instruction(step))
        self.stage.setText(bolting.stage_words(step))
        self.order.setText(bolting.order_words(step))
        why_not = bolting.why_not(step) if turn is not None else ""
        self.why_not.setText(why_not)
        self.why_not.setVisible(bool(why_not))
        can = self.is_open and not why_not and turn is not None
        checks = turn is not None and step.stages[turn.stage].kind == "check"
        bolt = "" if turn is None else turn.bolt
        self.confirm.setText(
            say("Bolt {bolt} did not turn (Enter)", bolt=bolt)
            if checks
            else say("Bolt {bolt} is tightened (Enter)", bolt=bolt)
        )
        self.turned.setText(say("Bolt {bolt} turned ({key})", bolt=bolt, key=TURNED_KEY))
        self.turned.setVisible(checks)
        for widget in (self.confirm, self.turned, self.typed, self.type):
            widget.setEnabled(can)
        self.confirm.setVisible(turn is not None)
        noted = self.model.state.fitting.thread(step.id)
        lubricant = "" if noted is None else again(noted.lubricant)
        self.threads.setText(f"✓ {lubricant}")
        self.threads.setVisible(noted is not None)
        self.tool_said.setText(bolting.tool_words(step))
        self._show_tools()
        prepared = bolting.is_prepared(step)
        self.change.setVisible(prepared)
        for frame in self._before:
            frame.setVisible(not prepared or self.change.isChecked())
        threads = say("Threads: {state}.", state=lubricant) if lubricant else ""
        self.with_what.setText(f"{threads} {bolting.tool_words(step)}.".strip())
        self.with_what.setVisible(prepared)
        for other in (self.note_threads, self.lubricant, self.without, self.loosen):
            other.setEnabled(self.is_open)
        self.put.setEnabled(self.is_open and bool(self._tools))
        self.take_order.setEnabled(self.is_open and turn is not None)
        if not self.new_order.hasFocus() and turn is not None:
            self.new_order.setText(", ".join(bolting.progress(step).orders[turn.stage]))

    def restyle(self, theme: Theme) -> None:
        self.joint.restyle(theme)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        narrow = self.width() < _ONE_COLUMN_EM * self.fontMetrics().height()
        direction = QBoxLayout.Direction.TopToBottom if narrow else QBoxLayout.Direction.LeftToRight
        self._halves.setDirection(direction)
        # With large text the whole joint is to be seen beside its instruction, without scrolling.
        large = self.fontMetrics().height() > _LARGE_TEXT_PX
        top = Qt.AlignmentFlag.AlignTop if large else Qt.AlignmentFlag(0)
        self._halves.setAlignment(self.joint, top)
        self.joint.setMaximumHeight(self.joint.minimumSizeHint().height() if large else _NO_LIMIT)

    def _show_tools(self) -> None:
        tools = self.model.tools()
        if tools == self._tools and self.tools.count():
            return
        self._tools = tools
        self.tools.clear()
        for item in tools:
            due = item.certificate.due
            until = say("calibrated until {date}", date=due) if due else say("no calibration date")
            words = (item.inventory_number, item.description, item.torque_class, until)
            self.tools.addItem(", ".join(filter(None, words)))
        if not tools:
            self.tools.addItem(
                say("The register has no torque tool; enter it at the place “gauges”.")
            )

    # --- doing -----------------------------------------------------------------------------------

    def confirm_now(self) -> None:
        """Confirm the bolt in hand, as button, key and pedal do."""
        if self.bolting.turn(self._step) is not None or self.is_open:
            self.do(lambda: self.bolting.confirm(self._step))

    def turned_now(self) -> None:
        """In a check pass: the bolt in hand still turned."""
        turn = self.bolting.turn(self._step)
        if turn is not None and self._step.stages[turn.stage].kind == "check":
            self.do(lambda: self.bolting.confirm(self._step, turned=True))

    def _type(self) -> None:
        text = self.typed.text()
        if self.do(lambda: self.bolting.type_torque(self._step, text)):
            self.typed.clear()

    def _choose(self, bolt: str) -> None:
        self.bolting.choose(self._step, bolt)
        self.model.on_change()

    def _note_threads(self) -> None:
        typed = self.lubricant.currentText()
        offered = self.lubricant.findText(typed, Qt.MatchFlag.MatchExactly)
        lubricant = typed if offered < 0 else LUBRICANTS[offered]  # the record stays English
        self.do(lambda: self.bolting.note_threads(self._step, lubricant))

    def _put(self) -> None:
        item = self._tools[self.tools.currentIndex()]
        faults = self.bolting.faults(self._step, item)
        if faults:
            self.ask(
                " ".join([*faults, say("Why is it used?")]),
                _WHY_TOOL,
                lambda reason: self._put_in_service(item, reason),
            )
        else:
            self.do(lambda: self._put_in_service(item, ""))

    def _put_in_service(self, item: Item, reason: str) -> None:
        self.bolting.put_in_service(self._step, item, reason)
        self.model.on_tool(item)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _order(self) -> None:
        text = self.new_order.text()
        self.ask(
            say("Why does another order hold for this stage?"),
            _WHY_ORDER,
            lambda reason: self.bolting.choose_order(self._step, text, reason),
        )
