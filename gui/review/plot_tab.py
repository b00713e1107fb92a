"""A tab of plots: of one seat, or of two side by side, with what can be chosen about them."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.gui.shared.figure import Figure
from seatproof.gui.shared.figure_frame import FigureFrame
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.theme import Theme

Make = Callable[[str], Figure | None]
_LEAST_PX = 70


class PlotTab(QWidget):
    """Shows what `make` makes of a seat; nothing is made before the tab is looked at.

    Parameters
    ----------
    theme : Theme
    make : callable
        Returns the figure of a seat by its id, or None where there is none.
    place : callable
        Says where a picture goes, as `FigureFrame` asks.
    controls : widgets
        What else can be chosen; their own signals lead to `refresh`.

    Signals
    -------
    enlarged : bool
        A plot wants the room of the whole place, or gives it back.
    """

    enlarged = Signal(bool)

    def __init__(
        self,
        theme: Theme,
        make: Make,
        place: Callable[[Figure], tuple[Path, str]],
        controls: tuple[QWidget, ...] = (),
    ) -> None:
        super().__init__()
        self._make = make
        self._is_stale = True
        self.seat, self.beside = QComboBox(), QComboBox()
        self.seat.setAccessibleName(say("Seat"))
        self.beside.setAccessibleName(say("Seat beside it"))
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.hide()
        self.frames = (FigureFrame(theme, place), FigureFrame(theme, place))
        self._controls = QWidget()
        row = QHBoxLayout(self._controls)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.seat)
        row.addWidget(self.beside)
        for control in controls:
            row.addWidget(control)
        for box in self._controls.findChildren(QComboBox):
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
            box.setMinimumWidth(_LEAST_PX)
        row.addStretch(1)
        self.frames[1].hide()
        plots = QHBoxLayout()
        for frame in self.frames:
            plots.addWidget(frame, 1)
            frame.enlarged.connect(lambda on, frame=frame: self._enlarge(frame, on))
        layout = QVBoxLayout(self)
        layout.addWidget(self._controls)
        layout.addWidget(self.words)
        layout.addLayout(plots, 1)
        self.seat.currentIndexChanged.connect(lambda _: self.refresh())
        self.beside.currentIndexChanged.connect(lambda _: self.refresh())

    def show_seats(self, seats: tuple[tuple[str, str], ...]) -> None:
        """Offer these seats, each by its id and its word."""
        for box in (self.seat, self.beside):
            box.blockSignals(True)
            box.clear()
        self.beside.addItem(say("alone"), "")
        for seat_id, word in seats:
            self.seat.addItem(word, seat_id)
            self.beside.addItem(f"+ {word}", seat_id)
        for box in (self.seat, self.beside):
            box.blockSignals(False)
        self.beside.setVisible(len(seats) > 1)
        self.refresh()

    def refresh(self, *, keep_zoom: bool = False) -> None:
        """Make the figures anew, now or when the tab is looked at."""
        self._is_stale = True
        if self.isVisible():
            self.make_now(keep_zoom=keep_zoom)

    def make_now(self, *, keep_zoom: bool = False) -> None:
        """Make the figures anew if anything changed."""
        if not self._is_stale:
            return
        self._is_stale = False
        chosen = (self.seat.currentData() or "", self.beside.currentData() or "")
        for frame, seat_id in zip(self.frames, chosen, strict=True):
            frame.show_figure(self._make(seat_id) if seat_id else None, keep_zoom=keep_zoom)
        self.frames[1].setVisible(bool(chosen[1]))

    def end_enlarged(self) -> bool:
        """Give the room back; return whether there was any to give."""
        large = [frame for frame in self.frames if frame.enlarge.isChecked()]
        for frame in large:
            frame.enlarge.setChecked(False)
        return bool(large)

    def showEvent(self, event: object) -> None:
        del event
        self.make_now()

    def _enlarge(self, frame: FigureFrame, on: bool) -> None:
        for other in self.frames:
            if other is not frame:
                other.setVisible(not on and bool(self.beside.currentData()))
        self._controls.setVisible(not on)
        self.enlarged.emit(on)
