"""Catches what machines type, anywhere in a window, before any field can have it.

It looks at every key of the application first. Characters that a person typed reach the field they
were meant for a few hundredths of a second later; those of a keyboard interface or a scanner never
do. Keys without a character, such as F5, pass by.
"""

import time
from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QWidget

from seatproof.gui.bench.typing import PACE_S, PaceKeeper, Typed

_PAUSE_MS: Final = round(PACE_S * 1000) + 5
_COMMANDS: Final = (
    Qt.KeyboardModifier.ControlModifier
    | Qt.KeyboardModifier.AltModifier
    | Qt.KeyboardModifier.MetaModifier
)
_SELECT_ALL: Final = "\x01"  # Control-A, which some interfaces press before a value


class KeyFilter(QObject):
    """Filters the keys of a window while it lives; `stop` takes it out.

    Parameters
    ----------
    window : QWidget
        Whose keys it looks at.
    on_line : callable
        Called with what a machine typed, its end included.
    on_key : callable
        Called with a key that a person pressed where nothing takes text; returns whether it was a
        command. A character's own short-cut cannot work while characters are held back.
    """

    def __init__(
        self,
        window: QWidget,
        on_line: Callable[[str], None],
        on_key: Callable[[QKeySequence], bool] | None = None,
    ) -> None:
        super().__init__(window)
        self._window = window
        self._on_line = on_line
        self._on_key = on_key
        self._keeper: PaceKeeper[QKeyEvent] = PaceKeeper()
        self._is_replaying = False
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.setTimerType(Qt.TimerType.PreciseTimer)
        self._pause.timeout.connect(lambda: self._settle(self._keeper.pause()))
        self._app = QApplication.instance()
        assert self._app is not None
        self._app.installEventFilter(self)

    def stop(self) -> None:
        """Look at no key any longer; what is held goes where it was typed."""
        self._pause.stop()
        self._settle(self._keeper.pause())
        if self._app is not None:
            self._app.removeEventFilter(self)
            self._app = None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if self._is_replaying or not isinstance(event, QKeyEvent):
            return False
        if not isinstance(watched, QWidget) or watched.window() is not self._window:
            return False
        if not _is_character(event):
            return False
        if event.type() is QEvent.Type.ShortcutOverride:
            event.accept()  # it is no short-cut before it is known who typed it
            return True
        if event.type() is not QEvent.Type.KeyPress:
            return False
        at_s = event.timestamp() / 1000 if event.timestamp() else time.monotonic()
        # The event itself dies with this call.
        kept = QKeyEvent(
            event.type(), event.key(), event.modifiers(), event.text(), event.isAutoRepeat()
        )
        settled = self._keeper.feed(event.text(), kept, at_s, is_repeat=event.isAutoRepeat())
        if self._keeper.is_holding:
            self._pause.start()
        else:
            self._pause.stop()
        self._settle(settled)
        return True

    def _settle(self, typed: Typed[QKeyEvent]) -> None:
        for key in typed.by_hand:
            self._pass_on(key)
        if typed.line:
            self._on_line(typed.line)

    def _pass_on(self, key: QKeyEvent) -> None:
        """Give a key that a person pressed to whatever has the focus now."""
        target = QApplication.focusWidget() or self._window
        takes_text = bool(target.inputMethodHints()) or target.testAttribute(
            Qt.WidgetAttribute.WA_InputMethodEnabled
        )
        sequence = QKeySequence(key.keyCombination())
        if not takes_text and self._on_key is not None and self._on_key(sequence):
            return
        self._is_replaying = True
        try:
            QApplication.sendEvent(target, key)
        finally:
            self._is_replaying = False


def _is_character(event: QKeyEvent) -> bool:
    text = event.text()
    if len(text) != 1:
        return False
    if text == _SELECT_ALL:
        return True
    if event.modifiers() & _COMMANDS:
        return False
    return text.isprintable() or text in "\r\n\t"
