"""The photos of one condition: thumbnails, a button to add one, and where files are dropped."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QBuffer, QByteArray, QEvent, QIODevice, QObject, QSize, Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QImageReader, QPixmap
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.record.kinds import PhotoAdded
from seatproof.gui.bench.pages.base import button
from seatproof.gui.shared.file_choice import file_to_read
from seatproof.gui.shared.saying import say

KINDS: Final = "JPEG, PNG (*.jpg *.jpeg *.png)"
_THUMBNAIL_EM: Final = 3.6  # the height of a thumbnail

PhotoSource = Callable[[str], bytes]


class ConditionPhotos(QWidget):
    """Shows the photos of a condition, and takes further ones by its button or as dropped files.

    The button, `add`, is for the owner to place.

    Parameters
    ----------
    name : str
        Of the button, for those who look for it.
    source : callable
        Returns the bytes of a photo by their hash.

    Signals
    -------
    chosen : Path
        A file was chosen, or dropped; it may be no picture.
    """

    chosen = Signal(object)

    def __init__(self, name: str, source: PhotoSource, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._source = source
        self._shown: tuple[str, ...] = ()
        self.thumbnails: list[QLabel] = []
        self._may_add = True
        self.add = button(say("Add a photo"), name, self._choose)
        self.add.setToolTip(say("a picture can be dropped here as well"))
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.addStretch(1)
        self.take_drops_on(self, self.add)

    def take_drops_on(self, *widgets: QWidget) -> None:
        """Take the files that are dropped on these widgets."""
        for widget in widgets:
            widget.setAcceptDrops(True)
            widget.installEventFilter(self)

    def show_photos(self, photos: tuple[PhotoAdded, ...], *, may_add: bool) -> None:
        """Show these photos; none can be added to what is sealed."""
        self._may_add = may_add
        self.add.setEnabled(may_add)
        self.setVisible(bool(photos))
        names = tuple(photo.sha256 for photo in photos)
        if names == self._shown:
            return
        self._shown = names
        for old in self.thumbnails:
            self._row.removeWidget(old)
            old.deleteLater()
        self.thumbnails = [self._thumbnail(photo) for photo in photos]
        for place, label in enumerate(self.thumbnails):
            self._row.insertWidget(place, label)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QDragEnterEvent) and self._may_add and _files(event):
            event.acceptProposedAction()
            return True
        if event.type() is QEvent.Type.Drop and isinstance(event, QDropEvent):
            event.acceptProposedAction()
            for file in _files(event):
                self.chosen.emit(file)
            return True
        return super().eventFilter(watched, event)

    def _choose(self) -> None:
        file = file_to_read(self, say("A photo of what was found"), KINDS)
        if file is not None:
            self.chosen.emit(file)

    def _thumbnail(self, photo: PhotoAdded) -> QLabel:
        label = QLabel()
        words = say(
            "photo, {width} × {height} pixels, SHA-256 {digest}…",
            width=str(photo.width),
            height=str(photo.height),
            digest=photo.sha256[:16],
        )
        label.setAccessibleName(words)
        label.setToolTip(words)
        high = round(_THUMBNAIL_EM * self.fontMetrics().height())
        picture = self._picture(photo, high)
        if picture is None:
            label.setText(say("photo"))
        else:
            label.setPixmap(picture)
        return label

    def _picture(self, photo: PhotoAdded, high: int) -> QPixmap | None:
        """Return a small picture, upright; None where the archive gives none."""
        try:
            content = self._source(photo.sha256)
        except (ArchiveError, KeyError):
            return None  # the sheet, and the health of the archive, will say so
        buffer = QBuffer()
        buffer.setData(QByteArray(content))
        buffer.open(QIODevice.OpenModeFlag.ReadOnly)
        reader = QImageReader(buffer)
        reader.setAutoTransform(True)
        size, ratio = reader.size(), self.devicePixelRatioF()
        side = round(2 * high * ratio)  # large enough, whichever way it is turned
        if size.isValid() and max(size.width(), size.height()) > side:
            wanted = QSize(side, side)
            reader.setScaledSize(size.scaled(wanted, Qt.AspectRatioMode.KeepAspectRatio))
        image = reader.read()
        if image.isNull():
            return None
        smooth = Qt.TransformationMode.SmoothTransformation
        picture = QPixmap.fromImage(image.scaledToHeight(round(high * ratio), smooth))
        picture.setDevicePixelRatio(ratio)
        return picture


def _files(event: QDropEvent) -> tuple[Path, ...]:
    """Return the files that are dropped."""
    urls = event.mimeData().urls()
    return tuple(Path(url.toLocalFile()) for url in urls if url.isLocalFile())
