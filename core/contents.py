"""The bytes of a file that somebody named: as many as such a file may have, and no more.

A device that never ends, or a disk image named by mistake, must not fill the memory.
"""

import errno
import os
from pathlib import Path
from typing import Final

MOST_BYTES: Final = 500_000_000  # far more than any record, sheet or list
_AT_ONCE: Final = 1 << 20


def contents(path: Path, most_bytes: int = MOST_BYTES) -> bytes:
    """Return what is in a file; `OSError` where that cannot be read, or is more than `most_bytes`.

    What is read is counted, since a device does not tell how much will come.
    """
    content = bytearray()
    with path.open("rb") as stream:
        while part := stream.read(_AT_ONCE):
            content += part
            if len(content) > most_bytes:
                raise OSError(errno.EFBIG, os.strerror(errno.EFBIG), str(path))
    return bytes(content)
