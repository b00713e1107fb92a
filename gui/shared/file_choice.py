"""Asking for a file's name; a name that exists already is never overwritten by who writes there."""

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget


def file_to_read(parent: QWidget, title: str, kinds: str) -> Path | None:
    """Ask for a file that is there; None where nothing was chosen."""
    name, _ = QFileDialog.getOpenFileName(parent, title, "", kinds)
    return Path(name) if name else None


def file_to_write(parent: QWidget, title: str, proposed: Path, kinds: str) -> Path | None:
    """Ask where to write; None where nothing was chosen.

    The next free name beside it is taken where a file is there already, so nobody is asked whether
    to overwrite it.
    """
    name, _ = QFileDialog.getSaveFileName(
        parent, title, str(proposed), kinds, options=QFileDialog.Option.DontConfirmOverwrite
    )
    return Path(name) if name else None
