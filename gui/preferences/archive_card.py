"""The card on files: which archive is open, and where copies of what is sealed go."""

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from seatproof.gui.archives import breakable, with_suffix
from seatproof.gui.preferences.cards import card, plain_button
from seatproof.gui.settings import Settings
from seatproof.gui.shared.saying import say
from seatproof.gui.workplace import ARCHIVE_SUFFIX


class ArchiveCard(QWidget):
    """Shows and asks for files.

    Signals
    -------
    archive_chosen : Path
        That archive shall be opened in place of this one.
    folder_chosen : str
        Copies shall go there; empty for nowhere.
    """

    archive_chosen = Signal(object)
    folder_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._archive = Path()
        self._earlier: Path | None = None
        self.archive = _words("archive_file")
        self.other = plain_button(say("Another archive …"), "archive_other")
        self.other.clicked.connect(self._choose)
        self.new = plain_button(say("A new archive …"), "archive_new")
        self.new.clicked.connect(self._make)
        self.back = plain_button("", "archive_back")
        self.back.clicked.connect(self._go_back)
        self.folder = _words("backup_folder")
        self.copied = _words("backup_said")
        self.choose_folder = plain_button(say("Choose a folder …"), "backup_choose")
        self.choose_folder.clicked.connect(self._choose_folder)
        self.no_folder = plain_button(say("No copies"), "backup_none")
        self.no_folder.clicked.connect(lambda: self.folder_chosen.emit(""))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._archive_part())
        layout.addWidget(self._copies_part())

    def show_archive(self, archive: Path, earlier: Path | None, copied: str) -> None:
        """Show which archive is open, which one was before, and what came of the last copy."""
        self._archive, self._earlier = archive, earlier
        self.archive.setText(breakable(archive))
        self.back.setVisible(earlier is not None)
        if earlier is not None:
            self.back.setText(say("Back to {path}", path=earlier.name))
            self.back.setToolTip(str(earlier))
        self.show_copy(copied)

    def show_copy(self, sentence: str) -> None:
        """Show what came of the last copy."""
        self.copied.setText(sentence)
        self.copied.setVisible(bool(sentence))

    def show_settings(self, settings: Settings) -> None:
        """Show where copies go."""
        folder = settings.backup_folder
        self.folder.setText(
            breakable(Path(folder))
            if folder
            else say("No folder is chosen: nothing is copied, and a broken disk loses everything.")
        )
        self.no_folder.setEnabled(bool(folder))

    def _archive_part(self) -> QFrame:
        frame, grid = card(say("Archive: the file that everything measured goes into"))
        _fill(grid, [self.archive], [self.other, self.new, self.back])
        return frame

    def _copies_part(self) -> QFrame:
        frame, grid = card(say("Copies: after every seal, into a folder on another disk"))
        _fill(grid, [self.folder, self.copied], [self.choose_folder, self.no_folder])
        return frame

    def _choose(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self,
            say("Choose an archive"),
            str(self._archive.parent),
            say("Archives (*.seatproof);;All files (*)"),
        )
        if name:
            self.archive_chosen.emit(Path(name))

    def _make(self) -> None:
        name, _ = QFileDialog.getSaveFileName(
            self,
            say("Name a new archive"),
            str(self._archive.with_name(f"archive 2{ARCHIVE_SUFFIX}")),
            say("Archives (*.seatproof);;All files (*)"),
            # One that is there already is opened: nothing is ever written over.
            options=QFileDialog.Option.DontConfirmOverwrite,
        )
        if name:
            self.archive_chosen.emit(with_suffix(Path(name)))

    def _go_back(self) -> None:
        if self._earlier is not None:
            self.archive_chosen.emit(self._earlier)

    def _choose_folder(self) -> None:
        name = QFileDialog.getExistingDirectory(self, say("Choose a folder for copies"))
        if name:
            self.folder_chosen.emit(name)


def _words(name: str) -> QLabel:
    label = QLabel()
    label.setObjectName(name)
    label.setWordWrap(True)
    return label


def _fill(grid: QGridLayout, labels: list[QLabel], buttons: list[QWidget]) -> None:
    for row, label in enumerate(labels):
        grid.addWidget(label, row, 0, 1, 3)
    for column, button in enumerate(buttons):
        grid.addWidget(button, len(labels), column)
