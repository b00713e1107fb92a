"""Which archive files there are on this computer: one's own, and the demonstration's; no Qt."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final, Self

import platformdirs

from seatproof.gui.commands.errors import CommandError
from seatproof.gui.shared.saying import say
from seatproof.gui.workplace import ARCHIVE_SUFFIX

DEMONSTRATION: Final = "demonstration"
OWN: Final = "archive"


@dataclass(frozen=True, slots=True)
class Archives:
    """The archive of one's own work, and the one in which the demonstration is measured."""

    own: Path
    demonstration: Path

    @classmethod
    def beside(cls, archive: Path) -> Self:
        """Return an archive, and a demonstration's in the same folder."""
        return cls(archive, archive.with_name(f"{DEMONSTRATION}{ARCHIVE_SUFFIX}"))


def default_archive(name: str) -> Path:
    """Return where an archive of that name lies for this user; its folder is made.

    Raises
    ------
    CommandError
        There may be no such folder.
    """
    folder = platformdirs.user_data_path("seatproof", appauthor=False)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CommandError(
            say(
                "The folder {folder} for your data cannot be made ({finding}); ask for the "
                "right to write there.",
                folder=str(folder),
                finding=str(error.strerror),
            )
        ) from error
    return folder / f"{name}{ARCHIVE_SUFFIX}"


def with_suffix(path: Path) -> Path:
    """Return a file's name as archives have it."""
    return path if path.suffix == ARCHIVE_SUFFIX else path.with_name(path.name + ARCHIVE_SUFFIX)


def breakable(path: Path) -> str:
    """Return a path that a label can break into lines at its folders."""
    return "".join(f"{sign}\u200b" if sign in "/\\" else sign for sign in str(path))
