"""The place of gauges: everything that is measured with, and how it stands."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QIcon, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QBoxLayout,
    QComboBox,
    QFileDialog,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.equipment.errors import EquipmentError
from seatproof.core.equipment.item import Item, ItemKind, LineOfGauge
from seatproof.core.equipment.repeatability import RepeatabilityTest, entry_of
from seatproof.core.placing import NotPlacedError
from seatproof.core.record.errors import RecordError
from seatproof.core.units import UM_PER_MM
from seatproof.devices.declared.file import save_format
from seatproof.devices.discovery import find_ports
from seatproof.devices.errors import DeviceError
from seatproof.gui.bench.pages.base import button, plain_label
from seatproof.gui.gauges.due_mark import due_icon
from seatproof.gui.gauges.item_form import ItemForm
from seatproof.gui.gauges.item_view import ItemView
from seatproof.gui.gauges.listening import format_of
from seatproof.gui.gauges.register import GaugeRegister, Row
from seatproof.gui.settings import Settings
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.theme import Theme
from seatproof.gui.workplace import Workplace, local_now

_WORLD = (ArchiveError, RecordError, EquipmentError, DeviceError, NotPlacedError, OSError)
_SIDE_BY_SIDE_EM = 58
_NAME_FIRST: Final = wording("Write your name first: the register says who entered what.")
_REASON_FIRST: Final = wording(
    "Write the reason first; it stays in the register beside the change."
)
_EMPTY: Final = wording(
    "Nothing is entered yet.\n\nEnter what you measure with: micrometers, indicators, setting "
    "standards, vee blocks, thermometers, torque tools. What is entered can be put in service at "
    "the bench with a tap, and warns before its calibration ends."
)


class GaugesPlace(QWidget):
    """Shows the register of equipment."""

    def __init__(self, workplace: Workplace, theme: Theme, settings: Settings) -> None:
        super().__init__()
        del settings
        self._theme = theme
        self._register = GaugeRegister(workplace.archive, local_now)
        self._rows: tuple[Row, ...] = ()
        self._is_filling = False
        self._narrow = False
        self._is_new = False
        self._in_front = False  # where there is no room for both: the piece, not the list
        self._drafts: dict[
            str, ItemForm | None
        ] = {}  # what was typed and not entered yet, by number
        self.view = ItemView(self._register.uses, find_ports, self._register.read_only)
        self.view.hide()
        self.view.papers.saved.connect(self._save)
        self.view.papers.attached.connect(self._attach)
        self.view.papers.certificate_wanted.connect(self._write_certificate)
        self.view.papers.retired.connect(self._retire)
        self.view.line.saved.connect(self._save_line)
        self.view.test.kept.connect(self._keep_test)
        self.list = QListWidget()
        self.list.setObjectName("equipment_list")
        self.list.setAccessibleName(say("Equipment"))
        self.list.setWordWrap(True)
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setSpacing(3)
        self.list.currentRowChanged.connect(self._show_row)
        for opened in (self.list.itemClicked, self.list.itemActivated):
            opened.connect(lambda _: self._bring_forward(True))
        self.view.back.clicked.connect(lambda: self._bring_forward(False))
        self.new = button(say("Enter a piece (Ctrl+N)"), "new_item", self._new)
        self.new.setProperty("emphasis", "strong")
        self.empty = plain_label("no_equipment")
        self.empty.setText(say(_EMPTY))
        self.warnings = plain_label("due_warnings", "question")
        self.done = plain_label("gauges_done", "question")
        self.trouble = plain_label("gauges_trouble", "banner")
        self.trouble.hide()
        title = plain_label("", "instruction")
        title.setText(say("Gauges and equipment"))
        self._left = QWidget()
        left = QVBoxLayout(self._left)
        left.setContentsMargins(0, 0, 0, 0)
        for widget in (title, self.new, self.warnings, self.empty):
            left.addWidget(widget)
        left.addWidget(self.list, 1)
        self._below = QWidget()
        left.addWidget(self._below, 1)
        self._body = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._body.addWidget(self._left, 2)
        self._body.addWidget(self.view, 4)
        self._beside = QWidget()  # keeps the list from spreading while nothing is chosen
        self._body.addWidget(self._beside, 4)
        layout = QVBoxLayout(self)
        layout.addLayout(self._body, 1)
        layout.addWidget(self.done)
        layout.addWidget(self.trouble)
        for keys, do in (("Ctrl+N", self.new.click), ("Ctrl+S", self.view.papers.save.click)):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(do)

    def activate(self) -> None:
        """Read the register again, unless somebody is writing in it."""
        form = self.view.papers.form
        if self.view.isVisible() and form is not None and form.is_new:
            return
        self._fill(self._chosen())
        (self.list if self._rows else self.new).setFocus()

    def restyle(self, theme: Theme, scale: float) -> None:
        """Take on other colours."""
        del scale
        self._theme = theme
        for index, row in enumerate(self._rows):
            self.list.item(index).setIcon(self._icon(row))

    def shut(self) -> None:
        """Close the lines that are open here."""
        self.view.shut_lines()

    def has_unsaved(self) -> bool:
        """Tell whether something is typed and not entered."""
        form = self.view.papers.form
        return bool(self._drafts) or (form is not None and form.is_changed)

    def holds_keys(self) -> bool:
        """Tell whether somebody is typing here."""
        focused = QApplication.focusWidget()
        return (
            focused is not None
            and self.isAncestorOf(focused)
            and isinstance(focused, QLineEdit | QPlainTextEdit | QComboBox)
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._narrow = event.size().width() < _SIDE_BY_SIDE_EM * self.fontMetrics().height()
        self._arrange()
        super().resizeEvent(event)

    def hideEvent(self, event: object) -> None:
        # A line left open here would be held against the bench.
        self.view.shut_lines()

    def say(self, sentence: str) -> None:
        """Say what went wrong, in the window's words or in those of another part."""
        self.trouble.setText(again(sentence))
        self.trouble.setVisible(bool(sentence))
        self.done.setText("")

    def _say_done(self, sentence: str) -> None:
        self.say("")
        self.done.setText(f"✓ {sentence}")

    def _fill(self, number: str) -> None:
        try:
            self._register.read()
            rows = self._register.rows()
        except (ArchiveError, RecordError) as error:
            self.say(str(error))
            return
        self.say(self._register.read_only)
        self._is_filling = True
        self._rows = rows
        self.list.clear()
        size = round(1.5 * self.fontMetrics().height())
        self.list.setIconSize(QSize(size, size))
        for row in rows:
            self.list.addItem(QListWidgetItem(self._icon(row), f"{row.title}\n{row.state_words}"))
        self._is_filling = False
        self.list.setVisible(bool(rows))
        self._below.setVisible(not rows)
        self.empty.setVisible(not rows)
        warnings = self._register.warnings()
        lines = list(warnings[:3])
        if len(warnings) > 3:
            lines.append(say("… and {count} more", count=str(len(warnings) - 3)))
        self.warnings.setText("\n".join(lines))
        self.warnings.setVisible(bool(warnings))
        at = next((at for at, row in enumerate(rows) if row.number == number), 0 if rows else -1)
        self.list.setCurrentRow(at)
        self._show_row(at)

    def _icon(self, row: Row) -> QIcon:
        state = None if row.entry.is_retired else row.due.state
        return due_icon(state, self._theme, round(1.5 * self.fontMetrics().height()))

    def _chosen(self) -> str:
        index = self.list.currentRow()
        return self._rows[index].number if 0 <= index < len(self._rows) else ""

    def _item(self) -> Item | None:
        row = self._register.row(self._chosen())
        return row.entry.item if row is not None else None

    def _show_row(self, index: int) -> None:
        if self._is_filling:
            return
        there = 0 <= index < len(self._rows)
        if there:
            self._is_new = False
        self._arrange()
        if not there:
            return
        row = self._rows[index]
        self._keep_draft()
        try:
            self.view.show_row(row, self._drafts.pop(row.number, None))
        except ArchiveError as error:
            self.say(str(error))

    def _new(self) -> None:
        self._is_filling = True
        self.list.setCurrentRow(-1)
        self._is_filling = False
        self.say(self._register.read_only)
        self._keep_draft()
        self._is_new = True
        self._bring_forward(True)
        self.view.show_new(self._drafts.pop("", None) or ItemForm(None, ItemKind.MICROMETER))

    def _bring_forward(self, piece: bool) -> None:
        self._in_front = piece
        self._arrange()
        if not piece:
            self.list.setFocus()

    def _arrange(self) -> None:
        """Show list and piece beside each other, or one of them where there is no more room."""
        there = self._is_new or self.list.currentRow() >= 0
        self.view.setVisible(there and (self._in_front or not self._narrow))
        self.view.back.setVisible(self._narrow)
        self._left.setVisible(not (self._narrow and there and self._in_front))
        self._beside.setVisible(not there and not self._narrow)

    def _keep_draft(self) -> None:
        """Keep what was typed and not entered, for when its piece is come back to."""
        form = self.view.papers.form
        if form is not None and form.is_changed:
            self._drafts["" if form.is_new else form.number] = form

    # --- entering --------------------------------------------------------------------------------

    def _save(self, item: Item, person: str, reason: str) -> None:
        known = self._register.row(item.inventory_number) is not None
        form = self.view.papers.form
        if not person:
            self._ask(_NAME_FIRST, self.view.papers.person)
            return
        if form is not None and form.is_new and known:
            self.say(
                say(
                    "The inventory number {inventory_number} is in the register already; give "
                    "another, or change the entry that has it.",
                    inventory_number=item.inventory_number,
                )
            )
            return
        if form is not None and not form.is_new and not known:
            self.say(say("An inventory number stays as it is; enter a new piece for another one."))
            return
        if known and not reason:
            self._ask(_REASON_FIRST, self.view.papers.reason)
            return
        if self._entered(item, person, reason):
            self._say_done(say("Entered: {number}.", number=item.inventory_number))

    def _entered(self, item: Item, person: str, reason: str) -> bool:
        try:
            self._register.save(item, person, reason)
        except _WORLD as error:
            self.say(str(error))
            return False
        self.view.papers.form = None  # what was typed is entered
        self._fill(item.inventory_number)
        return True

    def _retire(self, person: str, reason: str) -> None:
        if not person or not reason:
            field = self.view.papers.reason if person else self.view.papers.person
            self._ask(_REASON_FIRST if person else _NAME_FIRST, field)
            return
        number = self._chosen()
        try:
            self._register.book.retire(person, number, reason)
        except _WORLD as error:
            self.say(str(error))
            return
        self._fill(number)
        self._say_done(say("Out of use: {number}. Records that name it keep it.", number=number))

    def _attach(self, path: Path) -> None:
        form = self.view.papers.form
        if form is None:
            return
        try:
            digest = self._register.attach(path.read_bytes())
        except _WORLD as error:
            self.say(str(error))
            return
        form.put("certificate.sha256", digest)
        self._say_done(
            say("{file} is kept in the archive; enter the change to name it here.", file=path.name)
        )

    def _write_certificate(self) -> None:
        item = self._item()
        if item is None:
            return
        folder = QFileDialog.getExistingDirectory(self, say("Write the certificate's file into"))
        if not folder:
            return
        try:
            written = self._register.write_certificate(item, Path(folder))
        except _WORLD as error:
            self.say(str(error))
            return
        self._say_done(say("Written: {path}", path=str(written)))

    def _save_line(self, line: LineOfGauge) -> None:
        item = self._item()
        person = self.view.papers.person.text().strip()
        if item is None:
            return
        if not person:
            self.view.show_page("Papers")
            self._ask(_NAME_FIRST, self.view.papers.person)
            return
        try:
            if line.format_toml:
                # The bench finds a format by its file; the register's text is what lasts.
                path = self._register.format_file(item.inventory_number)
                form = format_of(line)
                save_format(form, path)  # type: ignore[arg-type]  # a kept text is a GaugeFormat
                line = line.model_copy(update={"format_name": str(path)})
        except _WORLD as error:
            self.say(str(error))
            return
        changed = item.model_copy(update={"line": line})
        if self._entered(changed, person, "line and format"):
            self._say_done(say("Kept: the line of {number}.", number=item.inventory_number))

    def _keep_test(self, test: RepeatabilityTest) -> None:
        item = self._item()
        person = self.view.papers.person.text().strip()
        if item is None:
            return
        if not person:
            self.view.show_page("Papers")
            self._ask(_NAME_FIRST, self.view.papers.person)
            return
        changed = item.model_copy(
            update={
                "repeatability_mm": f"{max(test.deviation_um, 0.0001) / UM_PER_MM:.7f}",
                "repeats": test.presses,
            }
        )
        try:
            self._register.book.note_repeatability(person, entry_of(item, test))
            if changed != item:
                self._register.book.change(person, changed, "repeatability test")
        except _WORLD as error:
            self.say(str(error))
            return
        self._fill(item.inventory_number)
        self._say_done(say("Kept: the repeatability of {number}.", number=item.inventory_number))

    def _ask(self, sentence: str, field: QLineEdit) -> None:
        self.say(say(sentence))
        field.setFocus()
