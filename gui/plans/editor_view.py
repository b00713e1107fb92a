"""The editor of a plan on the screen: its parts, the drawing beside them, and what is missing."""

from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QBoxLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.gui.bench.pages.base import plain_label
from seatproof.gui.plans.captions import caption_of
from seatproof.gui.plans.drawing import PlanDrawing
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.plans.findings import Finding
from seatproof.gui.plans.part import Part
from seatproof.gui.plans.parts import PARTS, ShaftPart
from seatproof.gui.plans.seats_part import SeatsPart
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.scrolling import scrolling
from seatproof.gui.shared.theme import Theme

_SIDE_BY_SIDE_EM = 58
_LISTS: Final = {
    "seat": wording("seat {name}"),
    "fitting": wording("step {name}"),
    "section": wording("section {name}"),
    "keyway": wording("keyway {name}"),
    "stage": wording("stage {name}"),
}


class EditorView(QWidget):
    """Shows a `PlanEditor`.

    Signals
    -------
    kept : str
        The plan shall be kept, by the person of that name.
    left
        Back to the list; what was not kept is lost.
    """

    kept = Signal(str)
    left = Signal()

    def __init__(self, editor: PlanEditor, person: str, read_only: str, theme: Theme) -> None:
        super().__init__()
        self.editor = editor
        self._read_only = read_only
        self._leaving = False
        self._narrow = False
        self.drawing = PlanDrawing(theme)
        self._seat_id = ""
        self.parts: dict[str, Part] = {}
        self.tabs: dict[str, ActionButton] = {}
        self._stack = QStackedWidget()
        self._areas: list[QScrollArea] = []
        tabs = QHBoxLayout()
        for word, make in PARTS:
            part = make(editor)
            self.parts[word] = part
            area = scrolling(part)
            self._areas.append(area)
            self._stack.addWidget(area)
            tab = ActionButton(say(word))
            tab.setObjectName(f"part_{word.replace(' ', '_').lower()}")
            tab.setCheckable(True)
            tab.clicked.connect(lambda _=False, word=word: self.show_part(word))
            tabs.addWidget(tab)
            self.tabs[word] = tab
        seats, shaft = self.parts["Seats"], self.parts["Shaft"]
        assert isinstance(seats, SeatsPart)
        assert isinstance(shaft, ShaftPart)
        self.seats = seats
        seats.seat_shown.connect(self._show_seat)
        shaft.seat_made.connect(self._go_to_seat)

        self.facts = plain_label("plan_facts")
        side = QVBoxLayout()
        side.addWidget(self.drawing, 1)
        side.addWidget(self.facts)
        self._body = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._body.addWidget(self._stack, 11)
        self._body.addLayout(side, 9)
        layout = QVBoxLayout(self)
        layout.addLayout(self._head())
        layout.addLayout(tabs)
        layout.addLayout(self._body, 1)
        layout.addLayout(self._foot(person))
        for keys, do in (
            ("F8", self.go_to_next),
            ("Ctrl+S", self.keep.click),
            ("Ctrl+Z", self.undo.click),
            ("Ctrl+PgDown", lambda: self._step(1)),
            ("Ctrl+PgUp", lambda: self._step(-1)),
        ):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(do)
        editor.on_change = self.show_now
        self.show_part("Plan")
        self.show_now()
        self.parts["Plan"].go_to(("plan", "title"))

    def show_part(self, word: str) -> None:
        """Bring a part to the front."""
        self._stack.setCurrentIndex(list(self.parts).index(word))
        for other, tab in self.tabs.items():
            tab.setChecked(other == word)

    def show_now(self) -> None:
        """Show the plan as it is now."""
        for part in self.parts.values():
            part.show_now()
        editor = self.editor
        for word, tab in self.tabs.items():
            found = [one for one in editor.findings if self._part_of(one) == word]
            wrong = sum(not one.is_missing for one in found)
            tab.setText(f"{say(word)}\n{self._mark(len(found), bool(wrong))}")
        first = editor.findings[0] if editor.findings else None
        self.next.setVisible(first is not None)
        self.whole.setVisible(first is None)
        if first is not None:
            # What is wrong there is told beside the field, too.
            said = "" if self._narrow else f": {again(first.sentence)}"
            self.next.setText(f"{say('Next')} (F8): {self._place_of(first)}{said}")
        self.whole.setText(say("✓ The plan is whole: {points}.", points=editor.points_words()))
        self.undo.setEnabled(editor.can_undo)
        self.keep.setEnabled(first is None and not self._read_only)
        self.title.setText(str(editor.value(("plan", "title"))) or say("A new plan"))
        self.drawing.show_plan(editor.sketch, self._seat_id)
        limits = editor.limits_words(self.seats.index) if editor.value(("seat",)) else ""
        seat = say("Seat {seat}", seat=self._seat_id)
        self.facts.setText(f"{seat}: {limits}" if limits else "")
        self._ask_leave(False)

    def say(self, sentence: str) -> None:
        """Say what went wrong, in the window's words or in those of another part."""
        self.trouble.setText(again(sentence))
        self.trouble.setVisible(bool(sentence))

    def go_to_next(self) -> None:
        """Go to the field of the first thing that is wrong or missing."""
        if not self.editor.findings:
            return
        finding = self.editor.findings[0]
        word = self._part_of(finding)
        self.show_part(word)
        self.parts[word].go_to(finding.path)
        focused = self.focusWidget()
        area = self._areas[list(self.parts).index(word)]
        if focused is not None and area.isAncestorOf(focused):
            area.ensureWidgetVisible(focused, 20, 120)

    def leave(self) -> None:
        """Go back to the list; asked twice where something would be lost."""
        if self.editor.is_changed and not self._leaving:
            self._ask_leave(True)
            return
        self.left.emit()

    def restyle(self, theme: Theme) -> None:
        self.drawing.restyle(theme)

    def resizeEvent(self, event: QResizeEvent) -> None:
        narrow = event.size().width() < _SIDE_BY_SIDE_EM * self.fontMetrics().height()
        if narrow != self._narrow:
            self._narrow = narrow
            self._body.setDirection(
                QBoxLayout.Direction.BottomToTop if narrow else QBoxLayout.Direction.LeftToRight
            )
            # Above each other, the drawing gets what it needs and the form the rest.
            for index, stretch in enumerate((1, 0) if narrow else (11, 9)):
                self._body.setStretch(index, stretch)
            self.facts.setVisible(not narrow)
            self.show_now()
        super().resizeEvent(event)

    def _head(self) -> QHBoxLayout:
        self.title = plain_label("editor_title", "heading")
        self.undo = QPushButton(say("Undo (Ctrl+Z)"))
        self.undo.setObjectName("undo")
        self.undo.clicked.connect(self.editor.undo)
        self.back = QPushButton()
        self.back.setObjectName("back_to_plans")
        self.back.clicked.connect(self.leave)
        row = QHBoxLayout()
        row.addWidget(self.title, 1)
        row.addWidget(self.undo)
        row.addWidget(self.back)
        return row

    def _foot(self, person: str) -> QVBoxLayout:
        self.trouble = plain_label("editor_trouble", "banner")
        self.trouble.setText(again(self._read_only))
        self.trouble.setVisible(bool(self._read_only))
        self.next = ActionButton("")
        self.next.setObjectName("next_finding")
        self.next.clicked.connect(self.go_to_next)
        self.whole = plain_label("plan_whole", "question")
        self.person = QLineEdit(person)
        self.person.setObjectName("kept_by")
        self.person.setPlaceholderText(say("your name"))
        self.person.setAccessibleName(say("Kept by"))
        self.person.setMaxLength(80)
        self.keep = ActionButton(say("Keep this version (Ctrl+S)"))
        self.keep.setObjectName("keep_plan")
        self.keep.setProperty("emphasis", "strong")
        self.keep.clicked.connect(self._keep)
        caption = QLabel(say("Kept by"))
        caption.setBuddy(self.person)
        row = QHBoxLayout()
        row.addWidget(self.next, 5)
        row.addWidget(self.whole, 5)
        row.addWidget(caption)
        row.addWidget(self.person, 2)
        row.addWidget(self.keep, 3)
        foot = QVBoxLayout()
        foot.addWidget(self.trouble)
        foot.addLayout(row)
        return foot

    def _keep(self) -> None:
        name = self.person.text().strip()
        if not name:
            self.say(say("Write your name beside it first: the register says who kept a version."))
            self.person.setFocus()
            return
        self.say("")
        self.kept.emit(name)

    def _ask_leave(self, asking: bool) -> None:
        self._leaving = asking
        self.back.setText(say("Leave without keeping?") if asking else say("Back to the plans"))

    def _step(self, by: int) -> None:
        words = list(self.parts)
        at = (self._stack.currentIndex() + by) % len(words)
        self.show_part(words[at])

    def _show_seat(self, seat_id: str) -> None:
        self._seat_id = seat_id
        self.drawing.show_plan(self.editor.sketch, seat_id)

    def _go_to_seat(self, index: int) -> None:
        self.show_part("Seats")
        self.seats.show_seat(index)
        self.seats.go_to(("seat", index, "tolerance_class"))

    def _mark(self, found: int, is_wrong: bool) -> str:
        """Return the mark of a tab, in words where there is room for them."""
        if not found:
            return "✓"
        if self._narrow:
            return f"{'✗' if is_wrong else '○'} {found}"
        if is_wrong:
            return say("✗ {count} to mend", count=str(found))
        return say("○ {count} to fill in", count=str(found))

    def _part_of(self, finding: Finding) -> str:
        root = str(finding.path[0]) if finding.path else "plan"
        return next((word for word, part in self.parts.items() if root in part.roots), "Plan")

    def _place_of(self, finding: Finding) -> str:
        """Name the field as the form does."""
        words = [say(self._part_of(finding))]
        for at, part in enumerate(finding.path):
            if isinstance(part, int):
                name = self.editor.value((*finding.path[: at + 1], "id")) or part + 1
                row = _LISTS.get(str(finding.path[at - 1]), wording("row {name}"))
                words.append(say(row, name=str(name)))
        caption = caption_of(finding.path)
        if caption:
            words.append(caption)
        return " › ".join(words)
