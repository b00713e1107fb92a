"""Entering a person into the register, with the name and the passphrase of who vouches for it."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QLabel, QLineEdit, QWidget

from seatproof.core.people.errors import PersonRefusedError
from seatproof.core.people.kinds import ROLES, Role
from seatproof.gui.shared.action_button import ActionButton

if TYPE_CHECKING:  # nothing that opens a key is loaded before somebody is entered
    from seatproof.core.people.register import PeopleRegister

_FIRST: Final = (
    "The first person entered is an administrator, who can enter the others. Keep the passphrase: "
    "nobody can find it out again."
)
_FURTHER: Final = "An administrator vouches for everybody entered, with a passphrase."


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
        self.roles: dict[Role, QCheckBox] = {role: QCheckBox(role) for role in ROLES}
        self.first = _secret("person_passphrase")
        self.again = _secret("person_passphrase_again")
        self.voucher = QComboBox()
        self.voucher_passphrase = _secret("person_voucher_passphrase")
        self.enter = ActionButton("Enter")
        self.enter.setObjectName("person_enter")
        self.enter.clicked.connect(lambda: self.entered.emit())
        self.setFocusProxy(self.name)
        layout = QFormLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        layout.addRow(self._words)
        layout.addRow("New person's name", self.name)
        for role, box in self.roles.items():
            layout.addRow("May sign as" if role == ROLES[0] else "", box)
        layout.addRow("Their passphrase", self.first)
        layout.addRow("The same again", self.again)
        layout.addRow("Administrator", self.voucher)
        layout.addRow("Administrator's passphrase", self.voucher_passphrase)
        layout.addRow(self.enter)
        self._layout = layout

    def show_people(self, register: "PeopleRegister", role: Role) -> None:
        """Offer the administrators; `role` is the one that is wanted."""
        self.voucher.clear()
        for person in register.active():
            if person.has_role("administrator"):
                self.voucher.addItem(person.name, person.id)
        is_first = not register.people
        self._words.setText(_FIRST if is_first else _FURTHER)
        for each, box in self.roles.items():
            box.setChecked(each == role or (is_first and each == "administrator"))
            box.setEnabled(not (is_first and each == "administrator"))
        for widget in (self.voucher, self.voucher_passphrase):
            self._layout.setRowVisible(widget, not is_first)

    def enter_into(self, register: "PeopleRegister") -> str:
        """Enter the person; return the name. The fields with passphrases are emptied.

        Raises
        ------
        PeopleError, ArchiveError
            It was refused or could not be stored.
        """
        name, first, again = self.name.text().strip(), self.first.text(), self.again.text()
        vouching = self.voucher_passphrase.text()
        for field in (self.first, self.again, self.voucher_passphrase):
            field.clear()
        if first != again:
            raise PersonRefusedError("The two passphrases differ; type them again.")
        chosen = tuple(role for role, box in self.roles.items() if box.isChecked())
        if not chosen:
            raise PersonRefusedError("Choose at least one role.")
        if register.people:
            voucher = self.voucher.currentData()
            if voucher is None:
                raise PersonRefusedError("There is no administrator who could vouch for it.")
            register.add(register.unlock(voucher, vouching), name, chosen, first)
        else:
            register.begin(name, first, chosen)
        self.name.clear()
        return name


def _secret(name: str) -> QLineEdit:
    edit = QLineEdit()
    edit.setObjectName(name)
    edit.setEchoMode(QLineEdit.EchoMode.Password)
    return edit
