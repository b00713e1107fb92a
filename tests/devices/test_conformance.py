"""What every transport must do, run over all of them."""

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path

import pytest
import serial
from serial import rfc2217

from seatproof.devices.errors import DeviceError, EndOfSource
from seatproof.devices.simulated.line import HAS_PTY, SimulatedLine
from seatproof.devices.transport import LineSettings, Transport, open_transport
from seatproof.devices.typed import TypedLine
from seatproof.devices.wire_log import WireLog

MESSAGE = b"01A+00024.350\r"


@dataclass
class Wired:
    """A transport, and what is needed to send to it and to end its line."""

    transport: Transport
    send: Callable[[bytes], object]
    end: Callable[[], object]
    takes_requests: bool


def simulated(stack: ExitStack, tmp_path: Path, *, tcp: bool) -> Wired:
    line = stack.enter_context(SimulatedLine(tcp=tcp))
    transport = open_transport(line.source, LineSettings())
    return Wired(transport, line.send, line.unplug, takes_requests=True)


def terminal_server(stack: ExitStack, tmp_path: Path) -> Wired:
    server = stack.enter_context(socket.create_server(("127.0.0.1", 0)))
    peers: list[socket.socket] = []
    accepted, hung_up = threading.Event(), threading.Event()

    def serve() -> None:
        connection, _ = server.accept()
        peers.append(connection)

        class Wire:
            write = staticmethod(connection.sendall)

        with connection, serial.serial_for_url("loop://") as port:
            manager = rfc2217.PortManager(port, Wire())
            accepted.set()
            while received := connection.recv(1024):
                b"".join(manager.filter(received))
                if hung_up.is_set():
                    return

    far_end = threading.Thread(target=serve)
    far_end.start()
    stack.callback(far_end.join, 5.0)
    transport = open_transport(f"rfc2217://127.0.0.1:{server.getsockname()[1]}", LineSettings())
    assert accepted.wait(5.0)

    def send(data: bytes) -> None:
        peers[0].sendall(data.replace(b"\xff", b"\xff\xff"))

    def end() -> None:
        hung_up.set()
        with suppress(OSError):  # closed already
            peers[0].shutdown(socket.SHUT_RDWR)

    return Wired(transport, send, end, takes_requests=True)


def typed(stack: ExitStack, tmp_path: Path) -> Wired:
    line = TypedLine()
    return Wired(line, lambda data: line.feed(data.decode()), line.end, takes_requests=False)


def capture(stack: ExitStack, tmp_path: Path, *, prefix: str, timed: bool) -> Wired:
    path = tmp_path / "capture"
    if timed:
        log = WireLog()
        log.add(100.0, "in", MESSAGE[:4])
        log.add(100.1, "out", b"1\r")
        log.add(100.2, "in", MESSAGE[4:])
        log.save(path)
    else:
        path.write_bytes(MESSAGE)
    transport = open_transport(f"{prefix}{path}", LineSettings())
    return Wired(transport, lambda data: None, lambda: None, takes_requests=False)


MAKERS: dict[str, Callable[[ExitStack, Path], Wired]] = {
    "network": lambda stack, path: simulated(stack, path, tcp=True),
    "terminal server": terminal_server,
    "typed": typed,
    "capture": lambda s, p: capture(s, p, prefix="file:", timed=False),
    "timed capture at once": lambda s, p: capture(s, p, prefix="file:", timed=True),
    "timed capture in its time": lambda s, p: capture(s, p, prefix="replay:", timed=True),
}
if HAS_PTY:
    MAKERS["port"] = lambda stack, path: simulated(stack, path, tcp=False)

# pyserial 3.5 names its thread in a way that newer versions of Python warn of.
pytestmark = pytest.mark.filterwarnings(
    "ignore:set(Daemon|Name)\\(\\) is deprecated:DeprecationWarning"
)


@pytest.fixture(params=MAKERS)
def wired(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Wired]:
    with ExitStack() as stack:
        made = MAKERS[request.param](stack, tmp_path)
        stack.callback(made.transport.close)
        yield made
        made.end()


def read_to(transport: Transport, count: int) -> bytes:
    data, deadline = b"", time.monotonic() + 5.0
    while len(data) < count:
        assert time.monotonic() < deadline, data
        data += transport.read(0.5)
    return data


def test_bytes_come_in_order_and_unchanged(wired: Wired) -> None:
    wired.send(MESSAGE[:5])
    wired.send(MESSAGE[5:])
    assert read_to(wired.transport, len(MESSAGE)) == MESSAGE
    assert wired.transport.description
    assert wired.transport.skipped_s >= 0


def test_silence_is_no_bytes_after_the_time_or_the_end_of_a_file(wired: Wired) -> None:
    began_s = time.monotonic()
    if wired.transport.is_live:
        assert wired.transport.read(0.05) == b""
        assert time.monotonic() - began_s < 1.0
    else:
        read_to(wired.transport, len(MESSAGE))
        with pytest.raises(EndOfSource):
            wired.transport.read(0.05)


def test_all_that_came_before_the_end_is_given_before_it_is_told(wired: Wired) -> None:
    wired.send(MESSAGE)
    data = read_to(wired.transport, len(MESSAGE)) if wired.transport.is_live else b""
    wired.end()
    is_at_end = False
    for _ in range(200):
        try:
            data += wired.transport.read(0.05)
        except (DeviceError, EndOfSource):
            is_at_end = True
            break
    assert is_at_end
    assert data == MESSAGE


def test_request_is_sent_or_refused_in_a_sentence(wired: Wired) -> None:
    if wired.takes_requests:
        wired.transport.write(b"1\r")
        return
    with pytest.raises(DeviceError, match=r"takes no requests .*\."):
        wired.transport.write(b"1\r")


def test_closing_never_raises_and_what_follows_is_a_device_error(wired: Wired) -> None:
    wired.transport.close()
    wired.transport.close()
    with pytest.raises(DeviceError):
        wired.transport.read(0.05)
    with pytest.raises(DeviceError):
        wired.transport.write(b"1\r")
