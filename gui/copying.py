"""A copy of what was sealed into a second folder, beside the window and never in its way."""

from datetime import date
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.record.errors import RecordError
from seatproof.gui.bench.background import Background
from seatproof.gui.shared.saying import again, say


class Copier(QObject):
    """Copies after seals, one after the other, in a thread of its own.

    `said` tells what came of the last copy; it is empty before the first.

    Signals
    -------
    failed : str
        A copy could not be made; the sentence says why, and that the seal holds.
    copied : str
        One was made; the sentence says where it lies.
    """

    failed = Signal(str)
    copied = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._background = Background(self)
        self.said = ""

    def copy(self, source: Path, folder: Path, inspection: str, day: date) -> None:
        """Copy a sealed inspection soon, and the whole archive where the day has no copy yet."""
        self._background(lambda: _copy(source, folder, inspection, day), self._tell)

    def stop(self) -> bool:
        """Begin no other copy; return whether the last one ended within a few seconds."""
        return self._background.stop()

    def _tell(self, came_of_it: tuple[bool, str]) -> None:
        worked, self.said = came_of_it
        (self.copied if worked else self.failed).emit(self.said)


def _copy(source: Path, folder: Path, inspection: str, day: date) -> tuple[bool, str]:
    from seatproof.core.archive.backup import back_up_after_seal

    try:
        kept = back_up_after_seal(source, folder, inspection, day)
    except (ArchiveError, RecordError, OSError) as error:
        return False, say(
            "The seal holds and is stored, but no copy went to {folder}: {finding} Mend that, or "
            "choose another folder in the settings.",
            folder=str(folder),
            finding=_as_sentence(again(str(error))),
        )
    return True, say("The last copy lies at {path}.", path=str(kept.transfer))


def _as_sentence(finding: str) -> str:
    return finding if finding.endswith((".", "!", "?")) else f"{finding}."
