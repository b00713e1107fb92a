"""A figure with what can be done with it: enlarge, copy, save."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QRectF, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from seatproof.gui.shared.figure import Figure, has_room_for_notes
from seatproof.gui.shared.figure_export import copy_figure, save_figure
from seatproof.gui.shared.figure_view import FigureView
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.theme import Theme


class FigureFrame(QWidget):
    """A figure's view over its buttons.

    Parameters
    ----------
    theme : Theme
    place : callable
        Returns the folder for pictures, and the name of one without an ending.

    Signals
    -------
    enlarged : bool
        It is to have all the room, or no longer.
    """

    enlarged = Signal(bool)

    def __init__(
        self,
        theme: Theme,
        place: Callable[[Figure], tuple[Path, str]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._place = place
        self.view = FigureView(theme)
        self.enlarge = QPushButton(say("Enlarge"))
        self.enlarge.setCheckable(True)
        self.enlarge.setToolTip(say("gives the plot the whole room; again, or Esc: back"))
        self.copy = QPushButton(say("Copy"))
        self.save = QPushButton(say("Save picture"))
        self.save.setToolTip(say("as SVG and as PNG, in the folder of pictures beside the archive"))
        self.said = QLabel()
        self.said.setProperty("role", "small")
        self.said.setWordWrap(True)
        self.notes = QLabel()
        self.notes.setProperty("role", "small")
        self.notes.setWordWrap(True)
        self.notes.hide()
        # Hiding words while a layout is at work would leave their room empty.
        self._settled = QTimer(self)
        self._settled.setSingleShot(True)
        self._settled.timeout.connect(self._say_notes)
        self.enlarge.toggled.connect(self._enlarge)
        self.copy.clicked.connect(self._copy)
        self.save.clicked.connect(self._save)
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        for made in (self.enlarge, self.copy, self.save):
            row.addWidget(made)
        row.addWidget(self.said, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.view, 1)
        layout.addLayout(row)
        layout.addWidget(self.notes)

    def show_figure(self, figure: Figure | None, *, keep_zoom: bool = False) -> None:
        """Show a figure; without one there is nothing to be done."""
        self.view.show_figure(figure, keep_zoom=keep_zoom)
        self.said.setText("")
        self._say_notes()
        for made in (self.enlarge, self.copy, self.save):
            made.setEnabled(figure is not None)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._settled.start(0)

    def _say_notes(self) -> None:
        """Say below the plot how to read it, where it has no room for that above."""
        figure, rect = self.view.figure, QRectF(self.view.rect())
        if figure is None or has_room_for_notes(figure, rect, self.view.font()):
            self.notes.hide()
            return
        self.notes.setText(" ".join(figure.notes))
        self.notes.show()

    def _enlarge(self, on: bool) -> None:
        self.enlarge.setText(say("Smaller") if on else say("Enlarge"))
        self.enlarged.emit(on)

    def _copy(self) -> None:
        if self.view.figure is not None:
            copy_figure(self.view.figure, self.view.shown)
            self.said.setText(say("Copied."))

    def _save(self) -> None:
        figure = self.view.figure
        if figure is None:
            return
        folder, name = self._place(figure)
        try:
            svg, png = save_figure(figure, folder, name, self.view.shown)
        except OSError as error:
            self.said.setText(
                say(
                    "The picture cannot be written to {folder} ({why}).",
                    folder=str(folder),
                    why=error.strerror or str(error),
                )
            )
        else:
            self.said.setText(say("Saved as {svg} and {png}.", svg=str(svg), png=png.name))
