"""What can be wrong with an archive file, or with what is asked of it.

ArchiveError
    ArchiveUnusableError    the file is missing or no archive
        ArchiveDamagedError     it is one, and damaged
    ArchiveTooNewError      the file was written by a newer program
    ArchiveTooOldError      it must be brought forward first, which needs the right to write
    ArchivePlaceError       it lies in a network or synchronised folder
    ArchiveReadOnlyError    the file or its folder cannot be written, or it is open elsewhere
    ArchiveBusyError        another program holds the file
    ArchiveFullError        no room is left where the file lies
    ArchiveGoneError        the disk no longer answers, or another file is in its place
    ArchiveConflictError    the inspection was carried on elsewhere in the meantime
    ArchiveEventError       an event that is wrong in itself
        ArchiveAlteredError     it is one stored here, which no longer can be what was stored
    AttachmentError         an attachment that is too large, missing or altered
    SearchError             a search that cannot be made
    CopyError               a copy that cannot be made or does not hold
    TransferError           a transfer file that cannot be used
"""

from pathlib import Path


class ArchiveError(Exception):
    """Something about an archive file that its user can act on; nothing stored was changed.

    `is_altered` tells what was changed by hand from what only cannot be read.
    """

    is_altered = False

    def __init__(self, path: Path, sentence: str) -> None:
        self.path = path
        super().__init__(sentence)


class ArchiveUnusableError(ArchiveError):
    """The file cannot be used as an archive."""


class ArchiveDamagedError(ArchiveUnusableError):
    """The file is an archive, and part of it is destroyed; `finding` says how that was seen."""

    def __init__(self, path: Path, finding: str) -> None:
        self.finding = finding
        super().__init__(
            path,
            f"The archive {path} is damaged ({finding}); copy it to another disk before anything "
            "else, then open a backup, or save what can be saved with: seatproof archive salvage.",
        )


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


class ArchiveTooOldError(ArchiveError):
    """The file's version is below what can be read without bringing it forward."""

    def __init__(self, path: Path, found: int, known: int) -> None:
        self.found = found
        self.known = known
        super().__init__(
            path,
            f"The archive {path} has version {found} and is read as version {known}; open it once "
            "in the window, which brings it forward and keeps a copy of the old file.",
        )


class ArchivePlaceError(ArchiveError):
    """The file lies where a database cannot be kept whole."""


class ArchiveReadOnlyError(ArchiveError):
    """Events cannot be added."""


class ArchiveBusyError(ArchiveError):
    """Another program is writing."""


class ArchiveFullError(ArchiveError):
    """The disk is full."""


class ArchiveGoneError(ArchiveError):
    """What is written now would not be found again."""


class ArchiveConflictError(ArchiveError):
    """An event does not follow on the last one stored."""


class ArchiveEventError(ArchiveError):
    """An event whose hash is not that of its content."""


class ArchiveAlteredError(ArchiveEventError):
    """A stored event that holds what Seatproof stores in none."""

    is_altered = True

    def __init__(self, path: Path, finding: str) -> None:
        self.finding = finding
        super().__init__(
            path,
            f"The archive {path} was altered: {finding}. Take it from a backup, or save what can "
            "be saved with: seatproof archive salvage.",
        )


class AttachmentError(ArchiveError):
    """An attachment that cannot be kept, or is not what it was when it was kept."""


class SearchError(ArchiveError):
    """A search that cannot be made as it was asked for."""


class CopyError(ArchiveError):
    """A copy that cannot be made, or that does not hold what the archive holds."""


class TransferError(ArchiveError):
    """A transfer file that cannot be written, or does not hold."""
