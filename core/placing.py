"""Writing a finished file: whole or not at all, and never over another one."""

import os
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Final
from uuid import uuid4

_MOST_NAMES: Final = 1000


class NotPlacedError(Exception):
    """A file that cannot be written where it was wanted; `finding` says why and what to do."""

    def __init__(self, path: Path, finding: str) -> None:
        self.path = path
        self.finding = finding
        super().__init__(f"{path} cannot be written: {finding}.")


def place(data: bytes, path: Path) -> Path:
    """Write a file under its name, or the next free one beside it; return where it is.

    A file of that name that holds the same bytes is left as it is.
    """
    folder = path.parent
    if not folder.is_dir():
        raise NotPlacedError(path, "there is no such folder; make it, or choose another")
    # Not a temporary file of the system's: that would be for its owner alone.
    unfinished = folder / f".{path.stem[:40]}-{uuid4().hex}.part"
    try:
        stream = unfinished.open("xb")
    except OSError as error:
        raise NotPlacedError(
            path, f"nothing can be written in that folder ({error.strerror}); choose another"
        ) from error
    try:
        with stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        return _settle(unfinished, data, path)
    except OSError as error:
        raise NotPlacedError(
            path, f"{error.strerror}; make room there, or choose another folder"
        ) from error
    finally:
        unfinished.unlink(missing_ok=True)


def _settle(unfinished: Path, data: bytes, path: Path) -> Path:
    for candidate in _names(path):
        try:
            # Taking the name first keeps the rename from ever replacing another one's file.
            candidate.open("xb").close()
        except FileExistsError:
            if _holds(candidate, data):
                return candidate
            continue
        try:
            unfinished.replace(candidate)
        except PermissionError:  # somebody opened the new name at once, as some scanners do
            candidate.unlink(missing_ok=True)
            continue
        except OSError:
            candidate.unlink(missing_ok=True)  # the name alone, taken for nothing
            raise
        return candidate
    raise NotPlacedError(path, "a thousand files of that name are there; choose another name")


def _holds(path: Path, data: bytes) -> bool:
    """Tell whether a file holds these bytes; one that a viewer has locked is taken not to."""
    try:
        return path.is_file() and path.read_bytes() == data
    except PermissionError:
        return False


def _names(path: Path) -> Iterator[Path]:
    yield path
    for number in count(2):
        if number > _MOST_NAMES:
            return
        yield path.with_name(f"{path.stem}-{number}{path.suffix}")
