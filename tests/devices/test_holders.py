import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from seatproof.devices.errors import PortBusyError
from seatproof.devices.holders import who_else_holds, who_holds
from seatproof.devices.transport import LineSettings, open_transport

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="asks Linux's process table"
)

HOLD = (
    "import fcntl, os, sys; fd = os.open(sys.argv[1], os.O_RDWR | os.O_NOCTTY);"
    "fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB); print('held', flush=True); sys.stdin.read()"
)


@pytest.fixture
def port() -> Iterator[str]:
    """Return a pseudo-terminal whose master another process has, as a real port has none here."""
    master, slave = os.openpty()
    yield os.ttyname(slave)
    os.close(slave)
    os.close(master)


def test_process_that_holds_a_port_is_named_by_the_error_of_opening_it(port: str) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, port], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        assert who_else_holds(port) == who_holds(port)
        with pytest.raises(PortBusyError) as caught:
            open_transport(port, LineSettings())
        assert caught.value.holder is not None
        assert f"(process {holder.pid})" in caught.value.holder
        assert "close that program" in str(caught.value)
        holder.communicate("")
    assert who_else_holds(port) is None


def test_nobody_is_named_for_a_port_that_is_not_there(tmp_path: Path) -> None:
    assert who_holds(str(tmp_path / "none")) is None
    assert who_holds("socket://127.0.0.1:1") is None
