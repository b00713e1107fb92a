import errno
import os
import sys
from pathlib import Path

import pytest

from seatproof.core.contents import contents


def test_all_of_a_file_is_read(tmp_path):
    path = tmp_path / "file"
    path.write_bytes(b"\x00ab" * 1_000_000)
    assert contents(path) == path.read_bytes()
    assert contents(path, 3_000_000) == path.read_bytes()


def test_a_file_that_is_too_long_is_not_read_to_its_end(tmp_path):
    path = tmp_path / "file"
    path.write_bytes(b"abcd")
    with pytest.raises(OSError, match=os.strerror(errno.EFBIG)) as caught:
        contents(path, 3)
    assert caught.value.errno == errno.EFBIG


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such device")
def test_a_device_without_end_ends():
    with pytest.raises(OSError, match=os.strerror(errno.EFBIG)):
        contents(Path("/dev/zero"), 10_000_000)
