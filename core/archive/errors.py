"""What can be wrong with an archive file.

ArchiveError
    ArchiveUnusableError  the file is missing, no archive, or damaged
    ArchiveTooNewError    the file was written by a newer program
    ArchiveReadOnlyError  the file or its folder cannot be written
    ArchiveBusyError      another program holds the file
    ArchiveFullError      no room is left where the file lies
    ArchiveConflictError  the inspection was carried on elsewhere in the meantime
"""

from pathlib import Path


class ArchiveError(Exception):
    """Something about an archive file that its user can act on; nothing stored was changed."""

    def __init__(self, path: Path, sentence: str) -> None:
        self.path = path
        super().__init__(sentence)


class ArchiveUnusableError(ArchiveError):
    """The file cannot be used as an archive."""


class ArchiveTooNewError(ArchiveError):
    """The file's version is above what this program knows."""

    def __init__(self, path: Path, found: int, known: int) -> None:
        self.found = found
        self.known = known
        super().__init__(
            path,
            f"The archive {path} has version {found}, but this program knows versions up to "
            f"{known}; open it with a newer Seatproof.",
        )


class ArchiveReadOnlyError(ArchiveError):
    """Events cannot be added."""


class ArchiveBusyError(ArchiveError):
    """Another program is writing."""


class ArchiveFullError(ArchiveError):
    """The disk is full."""


class ArchiveConflictError(ArchiveError):
    """An event does not follow on the last one stored."""
