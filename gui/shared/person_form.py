"""Entering a person into the register, with the name and the passphrase of who vouches for it."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QLabel, QLineEdit, QWidget

from seatproof.core.people.errors import PersonRefusedError
from seatproof.core.people.kinds import ROLES, Role
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording

if TYPE_CHECKING:  # nothing that opens a key is loaded before somebody is entered
    from seatproof.core.people.register import PeopleRegister

_FIRST: Final = wording(
    "The first person entered is an administrator, who can enter the others. Keep the passphrase: "
    "nobody can find it out again."
)
_FURTHER: Final = wording("An administrator vouches for everybody entered, with a passphrase.")
_DIFFER: Final = wording("The two passphrases differ; type them again.")
_NO_ROLE: Final = wording("Choose at least one role.")
_NO_NAME: Final = wording("Give the name of the person.")
_NO_VOUCHER: Final = wording("There is no administrator who could vouch for it.")


class PersonForm(QWidget):
    """Fields for a new person.

    Signals
    -------
    entered
        The fields are filled in, and the person is to be entered.
    """

    entered = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = QLabel()
        self._words.setWordWrap(True)
        self._words.setProperty("role", "small")
        self.name = QLineEdit()
        self.name.setObjectName("person_name")
        self.roles: dict[Role, QCheckBox] = {role: QCheckBox(again(role)) for role in ROLES}
        self.first = _secret("person_passphrase")
        self.again = _secret("person_passphrase_again")
        self.voucher = QComboBox()
        self.voucher_passphrase = _secret("person_voucher_passphrase")
        self.enter = ActionButton(say("Enter"))
        self.enter.setObjectName("person_enter")
        self.enter.clicked.connect(lambda: self.entered.emit())
        self.setFocusProxy(self.name)
        layout = QFormLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        layout.addRow(self._words)
        layout.addRow(say("New person's name"), self.name)
        for role, box in self.roles.items():
            layout.addRow(say("May sign as") if role == ROLES[0] else "", box)
        layout.addRow(say("Their passphrase"), self.first)
        layout.addRow(say("The same again"), self.again)
        layout.addRow(say("Administrator"), self.voucher)
        layout.addRow(say("Administrator's passphrase"), self.voucher_passphrase)
        layout.addRow(self.enter)
        self._layout = layout
        self._problem = QLabel(self)
        self._problem.setObjectName("person_problem")
        self._problem.setProperty("role", "problem")
        self._problem.setWordWrap(True)
        self._problem.hide()
        self._asked: QWidget = self.name

    def show_people(self, register: "PeopleRegister", role: Role) -> None:
        """Offer the administrators; `role` is the one that is wanted."""
        self.tell("")
        self.voucher.clear()
        for person in register.active():
            if person.has_role("administrator"):
                self.voucher.addItem(person.name, person.id)
        is_first = not register.people
        self._words.setText(say(_FIRST if is_first else _FURTHER))
        for each, box in self.roles.items():
            box.setChecked(each == role or (is_first and each == "administrator"))
            box.setEnabled(not (is_first and each == "administrator"))
        for widget in (self.voucher, self.voucher_passphrase):
            self._layout.setRowVisible(widget, not is_first)

    def tell(self, sentence: str) -> None:
        """Say what stands in the way, beside the field that it is about."""
        if self._layout.indexOf(self._problem) >= 0:
            self._layout.takeRow(self._problem)
        self._problem.setText(again(sentence))
        self._problem.hide()
        if sentence:
            self._layout.insertRow(self._row_of(self._asked) + 1, self._problem)
            self._problem.show()
            self._asked.setFocus(Qt.FocusReason.OtherFocusReason)

    def _row_of(self, field: QWidget) -> int:
        items = (
            self._layout.itemAt(row, QFormLayout.ItemRole.FieldRole)
            for row in range(self._layout.rowCount())
        )
        return next(
            row for row, item in enumerate(items) if item is not None and item.widget() is field
        )

    def enter_into(self, register: "PeopleRegister") -> str:
        """Enter the person; return the name. The fields with passphrases are emptied.

        Raises
        ------
        PeopleError, ArchiveError
            It was refused or could not be stored; `tell` says so beside the field.
        """
        name, first, repeated = self.name.text().strip(), self.first.text(), self.again.text()
        vouching = self.voucher_passphrase.text()
        for field in (self.first, self.again, self.voucher_passphrase):
            field.clear()
        self._asked = self.name
        if not name:
            raise PersonRefusedError(_NO_NAME)
        self._asked = self.again
        if first != repeated:
            raise PersonRefusedError(_DIFFER)
        chosen = tuple(role for role, box in self.roles.items() if box.isChecked())
        self._asked = self.roles[ROLES[0]]
        if not chosen:
            raise PersonRefusedError(_NO_ROLE)
        if register.people:
            voucher = self.voucher.currentData()
            self._asked = self.voucher
            if voucher is None:
                raise PersonRefusedError(_NO_VOUCHER)
            self._asked = self.voucher_passphrase
            signer = register.unlock(voucher, vouching)
            self._asked = self._of_register(first)
            register.add(signer, name, chosen, first)
        else:
            self._asked = self._of_register(first)
            register.begin(name, first, chosen)
        self.name.clear()
        return name

    def _of_register(self, passphrase: str) -> QWidget:
        """Return the field that the register refuses, if it refuses any."""
        from seatproof.core.people.key import LEAST_CHARACTERS, MOST_CHARACTERS

        fits = len(passphrase.strip()) >= LEAST_CHARACTERS and len(passphrase) <= MOST_CHARACTERS
        return self.name if fits else self.first


def _secret(name: str) -> QLineEdit:
    edit = QLineEdit()
    edit.setObjectName(name)
    edit.setEchoMode(QLineEdit.EchoMode.Password)
    return edit
