"""Every exception at every call, and opening and closing over and over on lines that misbehave."""

import errno
import os
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import pairwise
from typing import Any

import pytest
import serial

from seatproof.devices.errors import DeviceError
from seatproof.devices.gauge import GaugeReader
from seatproof.devices.line_state import LineKind
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.transport import LineSettings

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")

EXCEPTIONS: list[Exception] = [
    *(OSError(number, os.strerror(number)) for number in (
        errno.EIO, errno.ENXIO, errno.ENODEV, errno.EBUSY, errno.ENOENT, errno.EBADF,
        errno.EAGAIN, errno.EPIPE, errno.EINTR, errno.ETIMEDOUT,
    )),
    PermissionError(errno.EACCES, "Permission denied"),
    ConnectionResetError(errno.ECONNRESET, "Connection reset by peer"),
    BrokenPipeError(errno.EPIPE, "Broken pipe"),
    TimeoutError("timed out"),
    serial.SerialException("device reports readiness to read but returned no data"),
    serial.SerialException("ClearCommError failed (PermissionError(13, 'Access', None, 5))"),
    serial.SerialException("WriteFile failed (OSError(22, 'bad command', None, 22))"),
    serial.SerialTimeoutException("Write timeout"),
    serial.PortNotOpenError(),
    TypeError("argument must be an int, or have a fileno() method."),
    AttributeError("'NoneType' object has no attribute 'hEvent'"),
    ValueError("file descriptor cannot be a negative integer (-1)"),
]  # fmt: skip
if sys.platform != "win32":
    import termios

    EXCEPTIONS += [
        termios.error(errno.EIO, "Input/output error"),
        termios.error(errno.ENOTTY, "Inappropriate ioctl for device"),
    ]

CALLS = ("open", "read", "in_waiting", "close", "dtr")


class Port:
    """Answers as pyserial's port does; raises at one call, where it is told to."""

    def __init__(self, waiting: bytes, failing: str = "", error: Exception | None = None) -> None:
        self._waiting, self._failing, self._error = waiting, failing, error
        self._dtr = self.rts = True
        self.closings = 0

    def _may_fail(self, call: str) -> None:
        if call == self._failing and self._error is not None:
            raise self._error

    def open(self) -> None:
        self._may_fail("open")

    @property
    def dtr(self) -> bool:
        return self._dtr

    @dtr.setter
    def dtr(self, level: bool) -> None:
        self._may_fail("dtr")
        self._dtr = level

    @property
    def in_waiting(self) -> int:
        self._may_fail("in_waiting")
        return len(self._waiting)

    def read(self, size: int) -> bytes:
        self._may_fail("read")
        if not self._waiting:
            self._may_fail("empty")
            time.sleep(0.001)
        data, self._waiting = self._waiting[:size], self._waiting[size:]
        return data

    def write(self, data: bytes) -> int:
        self._may_fail("write")
        return len(data)

    def close(self) -> None:
        self.closings += 1
        self._may_fail("close")


@pytest.mark.parametrize("error", EXCEPTIONS, ids=repr)
@pytest.mark.parametrize("call", CALLS)
def test_exception_at_a_call_is_one_change_with_one_sentence_and_reading_goes_on(
    call: str,
    error: Exception,
    journal: Any,
    started: Callable[[GaugeReader], GaugeReader],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    faulty = Port(b"1.5\r", call, error)
    sound = Port(b"2.5\r")
    # The first port is lost, so that something is on record before the fault.
    ports = [Port(b"0.5\r", "empty", OSError(errno.EIO, "gone")), faulty, sound]
    made = iter(ports)
    monkeypatch.setattr(serial, "serial_for_url", lambda *_args, **_kwargs: next(made, sound))
    reader = started(
        GaugeReader(
            "COM10",
            LineSettings(settle_s=0.0),
            on_arrival=journal.on_arrival,
            on_line=journal.on_line,
            retry_after_s=(0.001,),
        )
    )
    expected = "1.5" if call == "close" else "2.5"
    journal.wait_for(lambda j: expected in j.values)
    assert reader.stop(1.0)
    assert journal.kinds[-1] is LineKind.CLOSED
    assert journal.values[0] == "0.5", "what was on record stays"
    told = [state.sentence for state in journal.states]
    assert all(sentence.endswith((".", "Trying again.")) for sentence in told)
    assert not any("Error" in s or "Errno" in s for s in told), told
    changes = [(state.kind, state.sentence) for state in journal.states]
    assert all(one != other for one, other in pairwise(changes))
    was_open = ports[:1] if call in ("open", "dtr") else ports[:2]
    assert all(port.closings == 1 for port in was_open)


@pytest.mark.parametrize("error", EXCEPTIONS, ids=repr)
def test_exception_while_asking_is_a_loss_that_is_mended(
    error: Exception,
    journal: Any,
    started: Callable[[GaugeReader], GaugeReader],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from seatproof.devices.asking import Asking
    from seatproof.devices.declared.request import Request

    ports = iter([Port(b"", "write", error), Port(b"2.5\r")])
    sound = Port(b"")
    monkeypatch.setattr(serial, "serial_for_url", lambda *_args, **_kwargs: next(ports, sound))
    asking = Asking(Request(octets=b"1", interval_s=0.0), every_s=0.001)
    reader = started(
        GaugeReader(
            "COM10",
            LineSettings(settle_s=0.0),
            on_arrival=journal.on_arrival,
            on_line=journal.on_line,
            retry_after_s=(0.001,),
            asking=asking,
        )
    )
    journal.wait_for(lambda j: "2.5" in j.values)
    assert reader.stop(1.0)
    assert journal.kinds.count(LineKind.LOST) == 1


def test_only_device_errors_leave_the_transport() -> None:
    assert all(not isinstance(error, DeviceError) for error in EXCEPTIONS)


# --- over and over -------------------------------------------------------------------------------

N_LINES = 8
N_ROUNDS = 25  # 8 lines 25 times: 200 openings and closings of each kind


@contextmanager
def flooding(lines: list[SimulatedLine]) -> Iterator[None]:
    stop = threading.Event()

    def flood() -> None:
        while not stop.wait(0.002):
            for line in lines:
                line.send(b"\x9e\x86\x00\x87x\x0f" * 20)

    noise = threading.Thread(target=flood)
    noise.start()
    try:
        yield
    finally:
        stop.set()
        noise.join()


@contextmanager
def vanishing(lines: list[SimulatedLine]) -> Iterator[None]:
    stop = threading.Event()

    def come_and_go() -> None:
        while not stop.wait(0.01):
            for line in lines:
                line.unplug()
                line.replug()

    hand = threading.Thread(target=come_and_go)
    hand.start()
    try:
        yield
    finally:
        stop.set()
        hand.join()


@contextmanager
def silent(lines: list[SimulatedLine]) -> Iterator[None]:
    yield


@posix_only
@pytest.mark.parametrize("behaviour", [silent, flooding, vanishing], ids=lambda b: b.__name__)
def test_two_hundred_openings_and_closings_leave_no_thread_and_no_descriptor(
    behaviour: Callable[[list[SimulatedLine]], Any],
    open_descriptors: Callable[[], int],
    tmp_path: Any,
) -> None:
    before = open_descriptors()
    lines = [SimulatedLine(link=tmp_path / f"gauge{n}") for n in range(N_LINES)]
    try:
        with behaviour(lines):
            opened: list[str] = []
            for _ in range(N_ROUNDS):
                readers = [
                    GaugeReader(
                        line.source,
                        LineSettings(settle_s=0.0),
                        on_arrival=lambda _: None,
                        on_line=lambda state: opened.append(state.kind),
                        retry_after_s=(0.001,),
                    )
                    for line in lines
                ]
                for reader in readers:
                    reader.start()
                for reader in readers:
                    reader.stop(0.0)
                assert all(reader.stop(2.0) for reader in readers)
        names = [thread.name for thread in threading.enumerate()]
        assert not [name for name in names if name.startswith("gauge")]
    finally:
        for line in lines:
            line.close()
    assert opened.count(LineKind.CLOSED) == N_LINES * N_ROUNDS
    assert open_descriptors() == before
