"""All that happened at the point that is selected."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget

from seatproof.gui.shared.saying import again, say

_MOST_LINES = 9


class StoryCard(QFrame):
    """Shows a point's story; nothing where there is none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self._text = QLabel()
        self._text.setObjectName("story")
        self._text.setWordWrap(True)
        self._text.setTextFormat(Qt.TextFormat.PlainText)  # it may hold what somebody wrote
        layout = QVBoxLayout(self)
        layout.addWidget(self._text)
        self.hide()

    def show_story(self, story: str) -> None:
        """Show a story; where it is long, how it began and how it ended."""
        lines = story.splitlines()
        if len(lines) > _MOST_LINES:
            left_out = len(lines) - _MOST_LINES
            left = say("… {count} more …", count=str(left_out))
            lines = [*lines[:2], left, *lines[2 + left_out :]]
        self._text.setText("\n".join(again(line) for line in lines))
        self.setVisible(bool(story))
