"""A button large enough for a gloved finger, whose text may take two lines and is never cut."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeySequence, QPaintEvent, QShortcut
from PySide6.QtWidgets import (
    QPushButton,
    QSizePolicy,
    QStyle,
    QStyleOptionButton,
    QStylePainter,
    QWidget,
)

_AIR = 12  # pixels between text and edge


class ActionButton(QPushButton):
    """A push button that wraps its text to its width; `text` may hold line breaks of its own.

    It is never chosen by a Return that it did not get itself: some gauges type one. A `key` chooses
    it at once, without the animation of a button's own shortcut, during which a person waits.
    """

    def __init__(self, text: str, key: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        if key:
            QShortcut(QKeySequence(key), self).activated.connect(self.click)
        self.setProperty("role", "action")
        self.setAutoDefault(False)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return max(super().sizeHint().height(), self._text_size(width).height() + _AIR)

    def sizeHint(self) -> QSize:
        wanted = self._text_size(10_000)
        return QSize(
            wanted.width() + 2 * _AIR,
            max(super().sizeHint().height(), wanted.height() + _AIR),
        )

    def minimumSizeHint(self) -> QSize:
        longest = max(self.text().split(), key=len, default="")
        width = self.fontMetrics().horizontalAdvance(longest) + 2 * _AIR
        return QSize(width, self.heightForWidth(width))

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        option = QStyleOptionButton()
        self.initStyleOption(option)
        option.text = ""
        painter = QStylePainter(self)
        painter.drawControl(QStyle.ControlElement.CE_PushButton, option)
        self.style().drawItemText(
            painter,
            self.rect().adjusted(_AIR // 2, 0, -_AIR // 2, 0),
            Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap,
            self.palette(),
            self.isEnabled(),
            self.text(),
            self.foregroundRole(),
        )
        painter.end()

    def _text_size(self, width: int) -> QSize:
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        room = self.rect()
        room.setSize(QSize(max(width - _AIR, 1), 10_000))
        return self.fontMetrics().boundingRect(room, flags, self.text()).size()
