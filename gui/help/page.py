"""A text of help over the place that it is about."""

from PySide6.QtCore import Qt, QUrl, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QScroller, QTextBrowser, QVBoxLayout, QWidget

from seatproof.core.words import Language
from seatproof.gui.help.texts import TOPICS, help_text
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say


class HelpPage(QWidget):
    """Shows one text at a time; links lead to the others, never out of the program.

    Signals
    -------
    left
        Back to where help was asked for.
    """

    left = Signal()

    def __init__(self, topic: str, language: Language, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._language = language
        self.topic = ""
        self.text = QTextBrowser()
        self.text.setObjectName("help_text")
        self.text.setAccessibleName(say("help"))
        self.text.setOpenLinks(False)
        self.text.anchorClicked.connect(self._follow)
        QScroller.grabGesture(
            self.text.viewport(), QScroller.ScrollerGestureType.TouchGesture
        )  # a finger moves the text
        self.back = ActionButton(say("Back (Esc)"))
        self.back.setObjectName("help_back")
        self.back.clicked.connect(self.left)
        layout = QVBoxLayout(self)
        layout.addWidget(self.text, 1)
        layout.addWidget(self.back)
        self.setFocusProxy(self.text)
        self.show_topic(topic)

    def show_topic(self, topic: str) -> None:
        """Show the text on a topic from its beginning."""
        self.topic = topic
        document = self.text.document()
        document.setDocumentMargin(self.fontMetrics().height())
        self.text.setMarkdown(help_text(topic, self._language))
        self.text.moveCursor(self.text.textCursor().MoveOperation.Start)
        self.text.verticalScrollBar().setValue(0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)

    def _follow(self, link: QUrl) -> None:
        topic = link.toString().removesuffix(".md")
        if topic in TOPICS:
            self.show_topic(topic)
