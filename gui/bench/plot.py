"""What both plots of the bench have in common: a plain plot area, a legend that is never cut."""

from collections.abc import Sequence
from math import isfinite

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from seatproof.gui.shared.legend import Entry, lay_out, legend_height, paint_legend
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.theme import Theme

MOST_ROWS = 3


class PlotArea(pg.PlotWidget):
    """A plot that is zoomed with wheel and drag, and fitted again with a double click.

    No menu: what a plot can do is done by the program, not by the library that draws it.

    Signals
    -------
    fit_wanted()
        The area was clicked twice.
    """

    fit_wanted = Signal()

    def __init__(self, axes: dict[str, pg.AxisItem] | None = None) -> None:
        super().__init__(axisItems=axes)
        self.setFrameShape(PlotArea.Shape.NoFrame)
        self.setMenuEnabled(False)
        self.hideButtons()
        self.scene().contextMenu = []  # the library's own export, not that of the record
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setMinimumSize(0, 0)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self.fit_wanted.emit()
        super().mouseDoubleClickEvent(event)


class PlotPanel(QWidget):
    """A plot with a line of words above it and a legend below it; subclasses say what is shown."""

    def __init__(self, theme: Theme, area: PlotArea, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._area = area
        self._view: pg.ViewBox = area.plotItem.getViewBox()
        self._header = FittedLabel(theme)
        self._legend = LegendRow(theme)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(4, 4, 4, 4)
        layout.setSpacing(0)
        # What has no room is hidden; it does not make the panel larger than it was made.
        layout.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        layout.addWidget(self._header)
        layout.addWidget(self._area, stretch=1)
        layout.addWidget(self._legend)
        self._area.fit_wanted.connect(self.fit)

    def fit(self) -> None:
        """Show the whole plot."""
        raise NotImplementedError

    def _restyle(self) -> None:
        """Take on the present theme and lettering; not needed for new data."""
        raise NotImplementedError

    def _refresh(self) -> None:
        """Show again all that is to be shown, in the present theme and lettering."""
        raise NotImplementedError

    def minimumSizeHint(self) -> QSize:
        return QSize(120, 120)

    def resizeEvent(self, event: QResizeEvent) -> None:
        em = self.fontMetrics().height()
        self._legend.setVisible(self.height() >= 14 * em)
        self._header.setVisible(self.height() >= 3 * em)
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.FontChange:
            self._restyle()
            self._refresh()
        super().changeEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        QPainter(self).fillRect(self.rect(), self._theme.paper)


class LegendRow(QWidget):
    """Shows as many entries as have room in its rows, and how many have not."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._entries: tuple[Entry, ...] = ()
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def set_entries(self, entries: Sequence[Entry]) -> None:
        """Show these, the most important ones first."""
        self._entries = tuple(entries)
        self.updateGeometry()
        self.update()

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        metrics = QFontMetricsF(self.font())
        placed, _ = lay_out(self._entries, metrics, width, MOST_ROWS)
        return round(legend_height(placed, metrics) + 0.5)

    def sizeHint(self) -> QSize:
        return QSize(100, self.heightForWidth(self.width()))

    def minimumSizeHint(self) -> QSize:
        return QSize(0, 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        theme = self._theme
        painter.fillRect(self.rect(), theme.paper)
        metrics = QFontMetricsF(self.font())
        rows = min(MOST_ROWS, int(self.height() / metrics.height()))
        placed, left_out = lay_out(self._entries, metrics, self.width(), rows)
        if left_out and placed:
            shown = len(placed)
            while shown > 0:  # make room for saying so
                entries = (*self._entries[:shown], _more(len(self._entries) - shown))
                placed, without = lay_out(entries, metrics, self.width(), rows)
                if not without:
                    break
                shown -= 1
        paint_legend(painter, placed, QRectF(self.rect()), metrics, theme)


class FittedLabel(QWidget):
    """Shows the longest of several wordings that its width has room for."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._wordings: tuple[str, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    @property
    def wordings(self) -> tuple[str, ...]:
        return self._wordings

    def set_wordings(self, *wordings: str) -> None:
        """Say this, the longest wording first."""
        self._wordings = wordings
        self.setAccessibleName(wordings[0] if wordings else "")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(40, round(1.4 * self.fontMetrics().height()))

    def minimumSizeHint(self) -> QSize:
        return QSize(0, 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        theme = self._theme
        painter.fillRect(self.rect(), theme.paper)
        metrics = QFontMetricsF(self.font())
        wording = next(
            (text for text in self._wordings if metrics.horizontalAdvance(text) <= self.width()), ""
        )
        painter.setPen(theme.faint_ink)
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, wording)


def finite_pairs(
    xs: Sequence[float], ys: Sequence[float]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return only the pairs that can be drawn: one that is not finite would blank a whole curve."""
    pairs = [(x, y) for x, y in zip(xs, ys, strict=True) if isfinite(x) and isfinite(y)]
    array = np.array(pairs, dtype=np.float64).reshape(-1, 2)
    return array[:, 0], array[:, 1]


def _more(count: int) -> Entry:
    return Entry(
        lambda painter, centre, size, theme: None, say("and {count} more", count=str(count))
    )
