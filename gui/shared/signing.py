"""Signing on: a person picks their name and gives their passphrase, and their key is open.

Nobody is signed on for longer than one signature. The panel lies in the page and holds nothing up:
presses go on arriving while somebody types.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.people.errors import PeopleError
from seatproof.core.people.kinds import Role
from seatproof.core.record.errors import RecordError
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.person_form import PersonForm
from seatproof.gui.shared.saying import again, say

if TYPE_CHECKING:  # nothing that opens a key is loaded before somebody signs
    from seatproof.core.people.register import PeopleRegister

OpenRegister = Callable[[], "PeopleRegister"]
TROUBLES: Final = (ArchiveError, PeopleError, RecordError)


class SigningPanel(QFrame):
    """Asks who signs.

    Parameters
    ----------
    open_register : callable
        Reads the register of people anew.

    Signals
    -------
    signed_on : Signer
        Somebody gave their passphrase; the key is open for what was asked.
    given_up
        It is not to be signed now.
    """

    signed_on = Signal(object)
    given_up = Signal()

    def __init__(self, open_register: OpenRegister, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "notice")
        self._open_register = open_register
        self._role: Role = "inspector"
        self._question = QLabel()
        self._question.setProperty("role", "question")
        self.who = QComboBox()
        self.who.setObjectName("signing_who")
        self.passphrase = QLineEdit()
        self.passphrase.setObjectName("signing_passphrase")
        self.passphrase.setEchoMode(QLineEdit.EchoMode.Password)
        self.passphrase.returnPressed.connect(self._sign)
        self.trouble = QLabel()
        self.trouble.setProperty("role", "problem")
        for label in (self._question, self.trouble):
            label.setWordWrap(True)
        self.sign = ActionButton(say("Sign"))
        self.sign.setObjectName("signing_sign")
        self.sign.setProperty("emphasis", "strong")
        self.sign.clicked.connect(self._sign)
        self.give_up = ActionButton(say("Not now"))
        self.give_up.setObjectName("signing_give_up")
        self.give_up.clicked.connect(self._give_up)
        self.enter = ActionButton(say("Enter a person"))
        self.enter.setCheckable(True)
        self.enter.setObjectName("signing_enter_person")
        self.form = PersonForm()
        self.form.entered.connect(self._enter)
        self.enter.toggled.connect(self.form.setVisible)
        self._lay_out()
        self.hide()

    def ask(self, question: str, role: Role) -> None:
        """Ask somebody of a role to sign; `question` says what is signed, in the window's words."""
        self._role = role
        self._question.setText(question)
        self.trouble.setText("")
        self.passphrase.clear()
        self._show_people("")
        self.show()
        (self.passphrase if self.who.count() else self.form).setFocus(
            Qt.FocusReason.OtherFocusReason
        )

    def say(self, sentence: str) -> None:
        """Say what stands in the way of a signature, in the window's language or in English."""
        self.trouble.setText(again(sentence))
        self.trouble.setVisible(bool(sentence))

    # --- inside ----------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        fields = QFormLayout()
        fields.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        fields.addRow(say("Name"), self.who)
        fields.addRow(say("Passphrase"), self.passphrase)
        buttons = QHBoxLayout()
        for made in (self.sign, self.give_up):
            buttons.addWidget(made)
        layout = QVBoxLayout(self)
        layout.addWidget(self._question)
        layout.addLayout(fields)
        layout.addWidget(self.trouble)
        layout.addLayout(buttons)
        layout.addWidget(self.enter)
        layout.addWidget(self.form)

    def _show_people(self, chosen: str) -> None:
        """Offer those who have the role; where there is nobody, a form to enter somebody."""
        self.who.clear()
        try:
            register = self._open_register()
        except TROUBLES as error:
            self.say(str(error))
            return
        for person in register.active():
            if person.has_role(self._role):
                self.who.addItem(person.name, person.id)
                if person.name == chosen:
                    self.who.setCurrentIndex(self.who.count() - 1)
        self.form.show_people(register, self._role)
        nobody = self.who.count() == 0
        self.sign.setEnabled(not nobody)
        self.enter.setChecked(nobody)
        self.form.setVisible(nobody)
        role = again(self._role)
        self.say(say("Nobody is entered as {role} yet.", role=role) if nobody else "")

    def _sign(self) -> None:
        passphrase = self.passphrase.text()
        self.passphrase.clear()
        if self.who.currentData() is None:
            return
        try:
            signer = self._open_register().unlock(self.who.currentData(), passphrase)
        except TROUBLES as error:
            self.say(str(error))
            return
        self.say("")
        self.signed_on.emit(signer)

    def _give_up(self) -> None:
        self.passphrase.clear()
        self.hide()
        self.given_up.emit()

    def _enter(self) -> None:
        try:
            name = self.form.enter_into(self._open_register())
        except TROUBLES as error:
            self.say("")
            self.form.tell(str(error))
            return
        self.enter.setChecked(False)
        self._show_people(name)
        self.passphrase.setFocus(Qt.FocusReason.OtherFocusReason)
