"""A sheet's pages on the screen: one at a time, as wide as the room or larger."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage, QKeySequence, QPixmap, QResizeEvent, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from seatproof.gui.shared.saying import again, say

_ZOOMS = (1.0, 1.5, 2.0, 3.0)


class PageView(QWidget):
    """Shows pictures of pages; PgUp and PgDn turn them, + and - change their size."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pictures: tuple[QImage, ...] = ()
        self._page = 0
        self._zoom = 0
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.before, self.after = QPushButton(say("Page back")), QPushButton(say("Page on"))
        self.smaller, self.larger = QPushButton(say("Smaller")), QPushButton(say("Larger"))
        self._paper = QLabel()
        self._paper.setAlignment(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop)
        self._area = QScrollArea()
        self._area.setWidget(self._paper)
        self._area.setWidgetResizable(True)
        self._area.setAccessibleName(say("Page of the sheet"))
        row = QHBoxLayout()
        for made in (self.before, self.after, self.smaller, self.larger):
            row.addWidget(made)
        row.addWidget(self.words, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(row)
        layout.addWidget(self._area, 1)
        for made, step in ((self.before, -1), (self.after, 1)):
            made.clicked.connect(lambda _=False, step=step: self.turn(step))
        for made, step in ((self.smaller, -1), (self.larger, 1)):
            made.clicked.connect(lambda _=False, step=step: self.resize_by(step))
        within = Qt.ShortcutContext.WidgetWithChildrenShortcut
        for keys, do in (
            ("PgDown", lambda: self.turn(1)),
            ("PgUp", lambda: self.turn(-1)),
            ("+", lambda: self.resize_by(1)),
            ("-", lambda: self.resize_by(-1)),
        ):
            QShortcut(QKeySequence(keys), self, context=within).activated.connect(do)
        self.show_pages(())

    @property
    def page(self) -> int:
        """The page that is shown, from 1; 0 for none."""
        return self._page + 1 if self._pictures else 0

    def show_pages(self, pictures: Sequence[QImage], words: str = "") -> None:
        """Show the first of these pages; without any, say these words."""
        self._pictures = tuple(pictures)
        self._page = 0
        self._show(words)

    def turn(self, step: int) -> None:
        """Turn so many pages on."""
        if self._pictures:
            self._page = min(max(self._page + step, 0), len(self._pictures) - 1)
            self._area.verticalScrollBar().setValue(0)
            self._show()

    def resize_by(self, step: int) -> None:
        """Show pages larger or smaller; the smallest is as wide as the room."""
        self._zoom = min(max(self._zoom + step, 0), len(_ZOOMS) - 1)
        self._show()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._show(self.words.text() if not self._pictures else "")

    def _show(self, words: str = "") -> None:
        count = len(self._pictures)
        self.before.setEnabled(self._page > 0)
        self.after.setEnabled(self._page < count - 1)
        for made in (self.smaller, self.larger):
            made.setEnabled(count > 0)
        if not count:
            self._paper.setPixmap(QPixmap())
            self.words.setText(again(words))
            return
        self.words.setText(
            say("page {number} of {count}", number=str(self._page + 1), count=str(count))
        )
        picture = self._pictures[self._page]
        ratio = self.devicePixelRatioF()
        room = self._area.viewport().size() - QSize(4, 4)
        width = max(room.width() * _ZOOMS[self._zoom] * ratio, 1.0)
        shown = QPixmap.fromImage(
            picture.scaledToWidth(round(width), Qt.TransformationMode.SmoothTransformation)
        )
        shown.setDevicePixelRatio(ratio)
        self._paper.setPixmap(shown)
