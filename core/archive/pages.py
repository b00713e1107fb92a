"""Rows read from the pages of a damaged SQLite file, without the tree that should lead to them.

Every page is looked at for itself, those in the write-ahead log too: a leaf of a table tells its
rows, whatever became of the rest of the file. Whether a row is one that was written must show from
the row itself.

References
----------
.. [1] SQLite, "Database File Format", sections 1.3 (header), 1.6 (b-tree pages), 2.1 (records),
   4.1 (write-ahead log). https://www.sqlite.org/fileformat2.html
"""

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Final, Self

Value = None | int | float | str | bytes

_LEAF: Final = 0x0D  # a leaf of a table
_HEADER_BYTES: Final = 100
_LOG_HEADER_BYTES: Final = 32
_FRAME_HEADER_BYTES: Final = 24
_SIZES: Final = frozenset(1 << power for power in range(9, 17))
_USUAL_SIZE: Final = 4096
_INTEGER_BYTES: Final = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}
_MOST_VALUES: Final = 64


class Pages:
    """The pages of a database file and of the log beside it; those that cannot be read are none."""

    def __init__(self, path: Path) -> None:
        self._file = _Bytes(path)
        self._log = _Bytes(path.with_name(f"{path.name}-wal"))
        self._size = self._page_size()
        # A frame of the log is a page as it was after some commit: the newest of a number counts
        # where a row runs on into it.
        self._frames = self._frames_of_log()
        self._newest = dict(self._frames)
        self.count = self._file.length // self._size + len(self._frames)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        self._file.close()
        self._log.close()

    def _page_size(self) -> int:
        for stated in (
            int.from_bytes(self._file.at(16, 2), "big"),
            int.from_bytes(self._log.at(8, 4), "big"),
        ):
            size = 65_536 if stated == 1 else stated
            if size in _SIZES:
                return size
        return _USUAL_SIZE

    def _frames_of_log(self) -> list[tuple[int, int]]:
        step = _FRAME_HEADER_BYTES + self._size
        frames = []
        for offset in range(_LOG_HEADER_BYTES, self._log.length - step + 1, step):
            number = int.from_bytes(self._log.at(offset, 4), "big")
            frames.append((number, offset + _FRAME_HEADER_BYTES))
        return frames

    def rows(self) -> Iterator[tuple[int, list[list[Value]]]]:
        """Give, page by page, how many pages were looked at and the rows found on this one."""
        done = 0
        for offset in range(0, self._file.length - self._size + 1, self._size):
            done += 1
            page = self._file.at(offset, self._size)
            yield done, self._rows_on(page, _HEADER_BYTES if offset == 0 else 0)
        for number, offset in self._frames:
            done += 1
            page = self._log.at(offset, self._size)
            yield done, self._rows_on(page, _HEADER_BYTES if number == 1 else 0)

    def _rows_on(self, page: bytes, start: int) -> list[list[Value]]:
        if len(page) < self._size or page[start] != _LEAF:
            return []
        count = int.from_bytes(page[start + 3 : start + 5], "big")
        rows = []
        for index in range(count):
            at = start + 8 + 2 * index
            if at + 2 > len(page):
                break
            row = self._row(page, int.from_bytes(page[at : at + 2], "big"))
            if row is not None:
                rows.append(row)
        return rows

    def _row(self, page: bytes, at: int) -> list[Value] | None:
        """Return the values of the row whose cell is there; None where that is no cell."""
        try:
            length, at = _varint(page, at)
            _, at = _varint(page, at)  # the row's number
            return _values(self._payload(page, at, length))
        except (IndexError, ValueError, struct.error, UnicodeDecodeError):
            return None

    def _payload(self, page: bytes, at: int, length: int) -> bytes:
        # Section 1.6: how much of a long payload stays on the leaf.
        usable = self._size
        most = usable - 35
        if length <= most:
            payload = page[at : at + length]
            if len(payload) < length:
                raise ValueError("the cell runs over the page's end")
            return payload
        least = (usable - 12) * 32 // 255 - 23
        here = least + (length - least) % (usable - 4)
        if here > most:
            here = least
        if length > self._file.length + self._log.length:
            raise ValueError("the cell is longer than the file")
        parts = [page[at : at + here]]
        following = int.from_bytes(page[at + here : at + here + 4], "big")
        missing = length - here
        while missing > 0:
            overflow = self._page(following)
            parts.append(overflow[4 : 4 + missing])
            missing -= usable - 4
            following = int.from_bytes(overflow[:4], "big")
        return b"".join(parts)

    def _page(self, number: int) -> bytes:
        if number in self._newest:
            offset = self._newest[number]
            return self._log.at(offset, self._size)
        offset = (number - 1) * self._size
        page = self._file.at(offset, self._size) if number >= 1 else b""
        if len(page) < self._size:
            raise ValueError(f"there is no page {number}")
        return page


class _Bytes:
    """A file that may have places which cannot be read, or not be there at all."""

    def __init__(self, path: Path) -> None:
        self._stream = path.open("rb") if path.exists() else None
        self.length = path.stat().st_size if path.exists() else 0

    def at(self, offset: int, count: int) -> bytes:
        """Return so many bytes from there, or fewer where the file ends or cannot be read."""
        if self._stream is None:
            return b""
        try:
            self._stream.seek(offset)
            return self._stream.read(count)
        except OSError:
            return b""  # a bad place of the disk: what lies there is lost, and nothing else

    def close(self) -> None:
        if self._stream is not None:
            self._stream.close()


def _varint(data: bytes, at: int) -> tuple[int, int]:
    value = 0
    for index in range(8):
        byte = data[at + index]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + index + 1
    return value << 8 | data[at + 8], at + 9


def _values(record: bytes) -> list[Value]:
    """Return the values of a record (section 2.1)."""
    header_length, at = _varint(record, 0)
    kinds = []
    while at < header_length:
        kind, at = _varint(record, at)
        kinds.append(kind)
        if len(kinds) > _MOST_VALUES:
            raise ValueError("no table of an archive has so many columns")
    values: list[Value] = []
    for kind in kinds:
        if kind == 0:
            value: Value = None
            length = 0
        elif kind in _INTEGER_BYTES:
            length = _INTEGER_BYTES[kind]
            value = int.from_bytes(record[at : at + length], "big", signed=True)
        elif kind == 7:
            length = 8
            (value,) = struct.unpack(">d", record[at : at + 8])
        elif kind in (8, 9):
            value, length = kind - 8, 0
        elif kind >= 12:
            length = (kind - 12) // 2
            piece = record[at : at + length]
            if len(piece) < length:
                raise ValueError("the record ends early")
            value = piece.decode("utf-8") if kind % 2 else piece
        else:
            raise ValueError("no such kind of value")
        values.append(value)
        at += length
    return values
