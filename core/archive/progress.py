"""How long pieces of work tell how far they are, and are stopped."""

from collections.abc import Callable
from pathlib import Path

from seatproof.core.archive.errors import ArchiveError

Progress = Callable[[int, int], None]  # how much is done, of how much
Cancelled = Callable[[], bool]


class StoppedError(ArchiveError):
    """Whoever asked for it wanted it no longer; nothing half-done was left."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, f"Stopped, as asked, before {path} was done; nothing is half-done.")


def silent(done: int, total: int) -> None:
    """Tell nobody how far it is."""


def never() -> bool:
    """Go on to the end."""
    return False
