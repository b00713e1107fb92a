"""A value in figures as large as their place allows, to be read from across the shop."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from seatproof.gui.shared.saying import again

_LARGEST_PX = 200
_TEMPLATE = "000.0000"  # keeps the size of the figures still while digits come and go


class FigureLabel(QWidget):
    """Figures that fill the widget's width and height."""

    def __init__(
        self, family: str, parent: QWidget | None = None, *, largest_px: int = _LARGEST_PX
    ) -> None:
        super().__init__(parent)
        self._family = family
        self._largest_px = largest_px
        self._text = ""
        self._colour: QColor | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(64)

    def show_figures(self, text: str, colour: QColor | None = None) -> None:
        """Show a text; `colour` is that of ordinary text unless stated."""
        self._text = again(text)
        self._colour = colour
        self.setAccessibleName(self._text)
        self.update()

    @property
    def text(self) -> str:
        return self._text

    def sizeHint(self) -> QSize:
        return QSize(360, 110)

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        painter.setFont(self._fitting_font())
        painter.setPen(self._colour or self.palette().windowText().color())
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self._text)
        painter.end()

    def _fitting_font(self) -> QFont:
        font = QFont(self._family)
        font.setBold(True)
        font.setPixelSize(_LARGEST_PX)
        metrics = QFontMetricsF(font)
        longest = max(self._text, _TEMPLATE, key=metrics.horizontalAdvance)
        by_width = self.width() / max(metrics.horizontalAdvance(longest), 1.0)
        by_height = self.height() / metrics.height()
        font.setPixelSize(
            max(12, min(self._largest_px, int(_LARGEST_PX * min(by_width, by_height))))
        )
        return font
