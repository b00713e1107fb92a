"""What the papers of a piece of equipment say, field by field, and its certificate's file."""

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from seatproof.core.equipment.item import Item
from seatproof.gui.bench.pages.base import button, card, plain_label
from seatproof.gui.gauges.entries import CERTIFICATE, CURVE, item_entries
from seatproof.gui.gauges.item_form import ItemForm
from seatproof.gui.shared.entry_form import EntryForm
from seatproof.gui.shared.entry_rows import EntryRows
from seatproof.gui.shared.file_choice import file_to_read
from seatproof.gui.shared.saying import say, wording
from seatproof.gui.shared.scrolling import scrolling


class PapersPage(QWidget):
    """Shows an `ItemForm`.

    Signals
    -------
    saved : Item, str, str
        The item shall be entered; by whom, and why (for a change).
    attached : Path
        That file is the certificate.
    certificate_wanted
        The certificate's file is to be written out.
    retired : str, str
        It shall go out of use; by whom, and why.
    """

    saved = Signal(object, str, str)
    attached = Signal(object)
    certificate_wanted = Signal()
    retired = Signal(str, str)

    def __init__(self, read_only: str) -> None:
        super().__init__()
        self.form: ItemForm | None = None
        self._read_only = read_only
        self.fields = EntryForm("item")
        self.fields.edited.connect(self._put)
        self.certificate = EntryForm("item")
        self.certificate.edited.connect(self._put)
        self.curve = EntryRows("curve", CURVE, wording("Add a size of the certificate"))
        self.curve.edited.connect(lambda row, key, text: self._form.put_in_curve(row, key, text))
        self.curve.added.connect(lambda: self._form.add_to_curve())
        self.curve.removed.connect(lambda row: self._form.remove_from_curve(row))
        self.curve.moved.connect(lambda row: self._form.move_up_in_curve(row))
        content = QWidget()
        column = QVBoxLayout(content)
        frame, inside = card(say("The piece"))
        inside.addWidget(self.fields)
        column.addWidget(frame)
        frame, inside = card(say("Its certificate"))
        inside.addWidget(self.certificate)
        self.file = plain_label("certificate_file")
        self.attach = button(say("Keep its file …"), "attach_certificate", self._attach)
        self.write = button(say("Write the file out …"), "write_certificate", self._write)
        files = QHBoxLayout()
        files.addWidget(self.file, 1)
        files.addWidget(self.attach)
        files.addWidget(self.write)
        inside.addLayout(files)
        column.addWidget(frame)
        self.curve_card, inside = card(say("Errors of indication, size by size"))
        inside.addWidget(self.curve)
        column.addWidget(self.curve_card)
        column.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(scrolling(content), 1)
        layout.addLayout(self._foot())

    def show_form(self, form: ItemForm, *, is_retired: bool) -> None:
        """Show a form."""
        self.form = form
        form.on_change = self.show_now
        self.reason.setVisible(not form.is_new)
        self.retire.setVisible(not form.is_new and not is_retired)
        self.save.setText(
            say("Enter it (Ctrl+S)") if form.is_new else say("Enter the change (Ctrl+S)")
        )
        self.reason.clear()
        self.show_now()

    def show_now(self) -> None:
        """Show the form as it is now."""
        form = self._form
        values, unit = form.values(), form.unit.value
        fields = item_entries(form.kind)
        if not form.is_new:  # records name it by its number, which therefore stays
            fields = tuple(entry for entry in fields if entry.key != "inventory_number")
        self.fields.show_form(fields, values, form.remarks, unit)
        self.certificate.show_form(CERTIFICATE, values, form.remarks, unit)
        self.curve_card.setVisible(form.kind.sends_lengths)
        self.curve.show_rows(form.curve, form.curve_remarks, unit)
        kept = bool(values.get("certificate.sha256"))
        self.file.setText(
            say("Its file is kept in the archive.") if kept else say("No file is kept yet.")
        )
        self.write.setEnabled(kept)
        self.save.setEnabled(form.item is not None and form.is_changed and not self._read_only)

    @property
    def _form(self) -> ItemForm:
        assert self.form is not None  # nothing is shown before a form is
        return self.form

    def _put(self, key: str, value: object) -> None:
        if self.form is not None:
            self.form.put(key, value)

    def _foot(self) -> QHBoxLayout:
        self.person = QLineEdit()
        self.person.setObjectName("entered_by")
        self.person.setPlaceholderText(say("your name"))
        self.person.setAccessibleName(say("Your name"))
        self.reason = QLineEdit()
        self.reason.setObjectName("change_reason")
        self.reason.setPlaceholderText(say("reason"))
        self.reason.setAccessibleName(say("Reason"))
        for edit in (self.person, self.reason):
            edit.setMaxLength(200)
        self.save = button(say("Enter it (Ctrl+S)"), "save_item", self._save)
        self.save.setProperty("emphasis", "strong")
        self.retire = button(say("Take it out of use"), "retire_item", self._retire)
        row = QHBoxLayout()
        row.addWidget(self.person, 2)
        row.addWidget(self.reason, 3)
        row.addWidget(self.retire, 2)
        row.addWidget(self.save, 2)
        return row

    def _save(self) -> None:
        item: Item | None = self._form.item
        if item is not None:
            self.saved.emit(item, self.person.text().strip(), self.reason.text().strip())

    def _retire(self) -> None:
        self.retired.emit(self.person.text().strip(), self.reason.text().strip())

    def _attach(self) -> None:
        path: Path | None = file_to_read(
            self,
            say("The certificate's file"),
            say("Certificates (*.pdf *.png *.jpg *.jpeg);;All files (*)"),
        )
        if path is not None:
            self.attached.emit(path)

    def _write(self) -> None:
        self.certificate_wanted.emit()
