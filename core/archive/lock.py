"""One program writes in an archive; the system lets go of its lock when that program dies.

A second SQLite writer would do no harm to the file, but to the work: two people at one inspection.
The lock is on a small file beside the archive, since closing any handle on the archive itself would
drop SQLite's own locks on POSIX systems.
"""

import contextlib
import os
import platform
import sys
import time
from pathlib import Path
from typing import BinaryIO, Final, Self

from seatproof.core.archive.errors import ArchiveReadOnlyError

_PAUSE_S: Final = 0.05
_LOCKED_BYTE: Final = 1 << 30  # beyond what is written: a locked byte cannot be read on Windows
_MOST_SAID: Final = 200


class HeldElsewhereError(Exception):
    """Another program has the archive open for writing; `holder` says which, in words."""

    def __init__(self, holder: str) -> None:
        self.holder = holder
        super().__init__(holder)


class Lock:
    """The right to write in one archive."""

    def __init__(self, path: Path, stream: BinaryIO) -> None:
        self._path = path
        self._stream = stream

    @classmethod
    def take(cls, archive: Path, patience_s: float) -> Self:
        """Take the lock of an archive.

        Raises
        ------
        HeldElsewhereError
            Another program holds it, and still does after `patience_s`.
        ArchiveReadOnlyError
            The lock's file cannot be made.
        """
        path = archive.with_name(f"{archive.name}-lock")
        until = time.monotonic() + patience_s
        while True:
            try:
                stream = path.open("a+b")
            except OSError as error:
                raise ArchiveReadOnlyError(
                    archive,
                    f"Nothing can be written in {archive.parent} ({error.strerror}), so no reading "
                    "could be stored; choose an archive file in a folder of your own.",
                ) from error
            if _lock(stream):
                if _is_at(stream, path):
                    break
                stream.close()  # whoever held it has taken the file away meanwhile
                continue
            holder = _holder(stream)
            stream.close()
            if time.monotonic() >= until:
                raise HeldElsewhereError(holder)
            time.sleep(_PAUSE_S)
        stream.truncate(0)
        stream.write(f"process {os.getpid()} on {platform.node() or 'this computer'}".encode())
        stream.flush()
        return cls(path, stream)

    def release(self) -> None:
        """Let go, once; the lock's file goes too."""
        if self._stream.closed:
            return
        with contextlib.suppress(OSError):
            # While it is still locked: whoever waits for this very file sees that it is gone.
            # Windows removes no open file; it stays, empty of meaning, for the next one.
            self._path.unlink(missing_ok=True)
        self._stream.close()


def _holder(stream: BinaryIO) -> str:
    try:
        stream.seek(0)
        said = stream.read(_MOST_SAID).decode("utf-8", "replace").strip()
    except OSError:
        said = ""
    return said or "another program"


def _is_at(stream: BinaryIO, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(stream.fileno()), path.stat())
    except FileNotFoundError:
        return False


if sys.platform == "win32":
    import msvcrt

    def _lock(stream: BinaryIO) -> bool:
        stream.seek(_LOCKED_BYTE)
        try:
            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _lock(stream: BinaryIO) -> bool:
        try:
            fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True
