"""A button that takes the key or the pedal for an action."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QWidget

from seatproof.gui.settings import Action
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say

_MODIFIERS = (Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta)


class KeyButton(ActionButton):
    """Shows an action's key; once tapped, takes the next key that is pressed.

    Signals
    -------
    pressed_key : str
        The key in portable spelling; empty where Delete took it away.
    """

    pressed_key = Signal(str)

    def __init__(self, action: Action, parent: QWidget | None = None) -> None:
        super().__init__("", parent=parent)
        self._action = action
        self._key = ""
        self._waits = False
        self.setObjectName(f"key_{action.name.lower()}")
        self.clicked.connect(self._wait)

    def show_key(self, key: str) -> None:
        """Show the key that holds."""
        self._key, self._waits = key, False
        self.setText(f"{self._words()}\n{key or say('no key')}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not self._waits:
            super().keyPressEvent(event)
            return
        key = Qt.Key(event.key())
        if key in _MODIFIERS:
            return
        if key == Qt.Key.Key_Escape:
            self.show_key(self._key)
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.pressed_key.emit("")
        else:
            sequence = QKeySequence(event.keyCombination())
            self.pressed_key.emit(sequence.toString(QKeySequence.SequenceFormat.PortableText))

    def focusNextPrevChild(self, following: bool) -> bool:
        # A pedal may send Tab; it is then its key, not a way out.
        return False if self._waits else super().focusNextPrevChild(following)

    def _wait(self) -> None:
        self._waits = True
        self.setText(f"{self._words()}\n{say('press it now; Delete for none')}")

    def _words(self) -> str:
        words = say(self._action.value)
        return words[:1].upper() + words[1:]
