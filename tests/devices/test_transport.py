import errno
import os
import socket
import struct
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import serial
from serial import rfc2217

from seatproof.devices.errors import (
    DeviceError,
    EndOfSource,
    LineSettingsError,
    PortBusyError,
    PortForbiddenError,
    PortLostError,
    PortMissingError,
    SourceError,
)
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.transport import LineSettings, SerialTransport, Transport, open_transport
from seatproof.devices.wire_log import WireLog

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="the names are those of POSIX")

LOSSES: list[Exception] = [
    OSError(errno.EIO, "Input/output error"),
    OSError(errno.ENXIO, "Device not configured"),
    OSError(errno.EBUSY, "Device or resource busy"),
    OSError(errno.ENOENT, "No such file or directory"),
    OSError(errno.EBADF, "Bad file descriptor"),
    PermissionError(errno.EACCES, "Permission denied"),
    serial.SerialException("device reports readiness to read but returned no data"),
    serial.SerialException(
        "ClearCommError failed (PermissionError(13, 'The device does not recognize the command.',"
        " None, 22))"
    ),
    serial.SerialTimeoutException("Write timeout"),
    serial.PortNotOpenError(),
    TypeError("argument must be an int, or have a fileno() method."),
    AttributeError("'NoneType' object has no attribute 'hEvent'"),
    ValueError("file descriptor cannot be a negative integer (-1)"),
]
if sys.platform != "win32":
    import termios

    LOSSES.append(termios.error(errno.EIO, "Input/output error"))


class FakePort:
    """Answers as pyserial's port does, and raises where it is told to."""

    def __init__(self, waiting: bytes = b"", **failing: Exception) -> None:
        self.failing = failing
        self.waiting = waiting
        self.sent = b""
        self.closings = 0
        self.dtr = self.rts = True

    def _may_fail(self, call: str) -> None:
        if call in self.failing:
            raise self.failing[call]

    def open(self) -> None:
        self._may_fail("open")

    @property
    def in_waiting(self) -> int:
        self._may_fail("in_waiting")
        return len(self.waiting)

    def read(self, size: int) -> bytes:
        self._may_fail("read")
        data, self.waiting = self.waiting[:size], self.waiting[size:]
        return data

    def write(self, data: bytes) -> int:
        self._may_fail("write")
        self.sent += data
        return len(data)

    def close(self) -> None:
        self.closings += 1
        self._may_fail("close")


def transport_on(port: Any) -> SerialTransport:
    return SerialTransport(port, "COM10", "port COM10 (9600 8N1)")


def opening(monkeypatch: pytest.MonkeyPatch, error: Exception) -> DeviceError:
    port = FakePort(open=error)
    monkeypatch.setattr(serial, "serial_for_url", lambda *_args, **_kwargs: port)
    with pytest.raises(DeviceError) as caught:
        open_transport("COM10", LineSettings())
    return caught.value


# --- every exception at every call ---------------------------------------------------------------


@pytest.mark.parametrize("loss", LOSSES, ids=repr)
class TestEveryExceptionMeansTheLineIsGone:
    def test_while_reading(self, loss: Exception) -> None:
        with pytest.raises(PortLostError) as caught:
            transport_on(FakePort(read=loss)).read(0)
        assert caught.value.source == "COM10"
        assert type(loss).__name__ in caught.value.detail
        assert caught.value.__cause__ is loss

    def test_while_writing(self, loss: Exception) -> None:
        with pytest.raises(PortLostError):
            transport_on(FakePort(write=loss)).write(b"1\r")

    def test_while_asking_for_more(self, loss: Exception) -> None:
        transport = transport_on(FakePort(b"01A", in_waiting=loss))
        assert transport.read(0) == b"0", "what came before the loss still counts"
        with pytest.raises(PortLostError):
            transport.read(0)

    def test_closing_never_raises(self, loss: Exception) -> None:
        port = FakePort(close=loss)
        transport = transport_on(port)
        transport.close()
        transport.close()
        assert port.closings == 2

    def test_opening_always_gives_a_device_error(
        self, loss: Exception, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        error = opening(monkeypatch, loss)
        assert str(error).endswith((".", "!"))
        assert "Errno" not in str(error)
        assert type(loss).__name__ not in str(error)


@posix_only
@pytest.mark.parametrize(
    ("number", "kind"),
    [
        (errno.ENOENT, PortMissingError),
        (errno.ENXIO, PortMissingError),
        (errno.ENODEV, PortMissingError),
        (errno.EBUSY, PortBusyError),
        (errno.EAGAIN, PortBusyError),
        (errno.EACCES, PortForbiddenError),
        (errno.EPERM, PortForbiddenError),
        (errno.EIO, PortLostError),
        (errno.EINVAL, LineSettingsError),
        (errno.ENOTTY, SourceError),
    ],
)
def test_opening_tells_the_reasons_apart(
    number: int, kind: type[DeviceError], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert type(opening(monkeypatch, OSError(number, os.strerror(number)))) is kind
    as_pyserial = serial.SerialException(number, f"could not open port: {os.strerror(number)}")
    assert type(opening(monkeypatch, as_pyserial)) is kind
    if sys.platform != "win32":
        assert type(opening(monkeypatch, termios.error(number, os.strerror(number)))) is kind


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("PermissionError(13, 'Access is denied.', None, 5)", PortBusyError),
        ("FileNotFoundError(2, 'The system cannot find ...', None, 2)", PortMissingError),
        ("OSError(22, 'The semaphore timeout period ...', None, 121)", PortLostError),
    ],
)
def test_opening_on_windows_tells_the_reasons_apart_by_text(
    text: str, kind: type[DeviceError], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "platform", "win32")
    wrapped = serial.SerialException(f"could not open port 'COM10': {text}")
    assert type(opening(monkeypatch, wrapped)) is kind


def test_speed_that_the_port_does_not_know_is_the_settings_fault(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    error = opening(monkeypatch, ValueError("Invalid baud rate: -1"))
    assert isinstance(error, LineSettingsError)
    assert "9600 8N1" in str(error)
    assert not error.may_pass


def test_only_ports_are_worth_waiting_for() -> None:
    waits = {kind.__name__ for kind in DeviceError.__subclasses__() if kind.may_pass}
    ports = {"PortMissingError", "PortBusyError", "PortForbiddenError", "PortLostError"}
    assert waits == ports | {"AlikeError"}


@posix_only
def test_forbidden_port_names_its_group_and_the_command(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    import grp

    port = tmp_path / "ttyUSB0"
    port.touch()
    port.chmod(0o660)
    status = port.stat()
    named = os.stat_result((*status[:5], 20, *status[6:]))
    monkeypatch.setattr(Path, "stat", lambda *_args, **_kwargs: named)
    monkeypatch.setattr(grp, "getgrgid", lambda gid: grp.struct_group((f"g{gid}", "x", gid, [])))
    monkeypatch.setattr(
        serial, "serial_for_url", lambda *_a, **_k: FakePort(open=PermissionError(13, "denied"))
    )
    with pytest.raises(PortForbiddenError) as caught:
        open_transport(str(port), LineSettings())
    assert caught.value.group == "g20"
    assert "sudo usermod -aG g20 $USER" in str(caught.value)


def test_forbidden_port_without_a_group_names_no_command() -> None:
    error = PortForbiddenError("/dev/ttyUSB0")
    assert "usermod" not in str(error)
    assert "ask" in str(error)


@pytest.mark.parametrize(
    ("platform", "said"), [("linux", True), ("darwin", False), ("win32", False)]
)
def test_busy_port_names_the_system_service_only_on_linux(
    platform: str, said: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "platform", platform)
    assert ("system service" in str(PortBusyError("p"))) == said


# --- names of sources ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "source",
    [
        "",
        "  ",
        "a\0b",
        "socket://",
        "socket://host",
        "socket://:7000",
        "socket://host:port",
        "socket://host:99999",
        "rfc2217://host",
        "loop://",
        "http://host:80",
        "://",
        "socket://[::1:80",
    ],
)
def test_source_that_means_nothing_is_refused_at_once(source: str) -> None:
    with pytest.raises(SourceError) as caught:
        open_transport(source, LineSettings())
    assert not caught.value.may_pass


@posix_only
@pytest.mark.parametrize("source", ["/dev/no-such-port", "no-such-port"])
def test_port_that_does_not_exist_is_missing(source: str) -> None:
    with pytest.raises(PortMissingError, match="plug the gauge in"):
        open_transport(source, LineSettings())


@posix_only
def test_ordinary_file_is_no_port_and_the_sentence_says_how_to_replay_it(tmp_path: Path) -> None:
    path = tmp_path / "capture.txt"
    path.write_bytes(b"1.5\r")
    with pytest.raises(SourceError, match="file:PATH"):
        open_transport(str(path), LineSettings())
    assert path.read_bytes() == b"1.5\r"


@posix_only
def test_folder_is_no_port(tmp_path: Path) -> None:
    with pytest.raises(SourceError):
        open_transport(str(tmp_path), LineSettings())


def test_network_port_where_nothing_listens_is_missing() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    with pytest.raises(PortMissingError, match="Nothing answers at"):
        open_transport(f"socket://127.0.0.1:{port}", LineSettings())


# --- capture files -------------------------------------------------------------------------------


def test_capture_file_gives_its_bytes_and_then_ends(tmp_path: Path) -> None:
    path = tmp_path / "capture.bin"
    path.write_bytes(bytes(range(256)) * 40)
    transport = open_transport(f"file:{path}", LineSettings())
    assert not transport.is_live
    data = b"".join(transport.read(1.0) for _ in range(3))
    assert data == bytes(range(256)) * 40
    with pytest.raises(EndOfSource):
        transport.read(1.0)
    transport.close()
    transport.close()


@pytest.mark.parametrize("name", ["missing.bin", ".", "bad\0name"])
def test_capture_file_that_cannot_be_read_is_a_bad_source(tmp_path: Path, name: str) -> None:
    with pytest.raises(SourceError, match="cannot be read"):
        open_transport(f"file:{tmp_path / name}", LineSettings())


@pytest.mark.skipif(sys.platform == "win32", reason="needs a device that never ends")
def test_file_without_an_end_is_no_capture() -> None:
    with pytest.raises(SourceError, match="more than 64 MB"):
        open_transport("file:/dev/zero", LineSettings())


def test_capture_with_a_silence_of_years_is_replayed_at_once(tmp_path: Path) -> None:
    log = WireLog()
    log.add(0.0, "in", b"1.5\r")
    log.add(1e9, "in", b"2.5\r")
    log.save(tmp_path / "wire")
    transport = open_transport(f"file:{tmp_path / 'wire'}", LineSettings())
    pieces: list[bytes] = []
    with pytest.raises(EndOfSource):
        _drain(transport, pieces)
    assert [piece for piece in pieces if piece] == [b"1.5\r", b"2.5\r"]
    assert 2 < len(pieces) < 1000
    assert transport.skipped_s == pytest.approx(1e9)


def _drain(transport: Transport, pieces: list[bytes]) -> None:
    while True:
        pieces.append(transport.read(0.1))


def test_capture_file_takes_no_requests(tmp_path: Path) -> None:
    path = tmp_path / "capture.bin"
    path.write_bytes(b"1.5\r")
    transport = open_transport(f"file:{path}", LineSettings())
    try:
        with pytest.raises(SourceError):
            transport.write(b"1\r")
    finally:
        transport.close()
    with pytest.raises(SourceError):
        transport.read(0)
    assert path.read_bytes() == b"1.5\r"


# --- real lines ----------------------------------------------------------------------------------


@pytest.fixture(
    params=[pytest.param(False, id="pty", marks=posix_only), pytest.param(True, id="tcp")]
)
def line(request: pytest.FixtureRequest) -> Any:
    with SimulatedLine(tcp=request.param) as line:
        yield line


def read_exactly(transport: Transport, count: int) -> bytes:
    data = b""
    while len(data) < count:
        more = transport.read(5.0)
        assert more, f"silence after {data!r}"
        data += more
    return data


def test_line_carries_all_256_bytes_unchanged(line: SimulatedLine) -> None:
    transport = open_transport(line.source, LineSettings())
    try:
        assert transport.is_live
        assert line.source in transport.description
        assert line.send(bytes(range(256)))
        assert read_exactly(transport, 256) == bytes(range(256))
        assert transport.read(0.0) == b""
    finally:
        transport.close()


def test_unplugging_gives_the_rest_and_then_the_loss(line: SimulatedLine) -> None:
    transport = open_transport(line.source, LineSettings())
    try:
        line.send(b"01A+0001")
        assert read_exactly(transport, 8) == b"01A+0001"
        line.unplug()
        with pytest.raises(PortLostError):
            transport.read(5.0)
        with pytest.raises(DeviceError):
            open_transport(line.source, LineSettings())
    finally:
        transport.close()


def test_network_line_that_was_reset_leaves_no_descriptor(
    open_descriptors: Callable[[], int],
) -> None:
    before = open_descriptors()
    with socket.create_server(("127.0.0.1", 0)) as server:
        source = f"socket://127.0.0.1:{server.getsockname()[1]}"
        transport = open_transport(source, LineSettings())
        connection, _ = server.accept()
        # Closing with a linger time of zero resets the connection, as a crashed server does.
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        connection.close()
        with pytest.raises(PortLostError):
            transport.read(5.0)
        transport.close()
    assert open_descriptors() == before


def test_writing_to_a_line(line: SimulatedLine) -> None:
    transport = open_transport(line.source, LineSettings())
    transport.write(b"1\r")
    transport.close()
    with pytest.raises(PortLostError):
        transport.write(b"1\r")
    with pytest.raises(PortLostError):
        transport.read(0.0)


def serve_rfc2217(server: socket.socket) -> None:
    """Be the far end of one rfc2217 line: answer "1" CR with a frame, and hang up on "quit"."""
    connection, _ = server.accept()

    class Wire:
        write = staticmethod(connection.sendall)

    with connection, serial.serial_for_url("loop://") as port:
        manager = rfc2217.PortManager(port, Wire())
        received = b""
        while not received.endswith(b"quit"):
            received += b"".join(manager.filter(connection.recv(1024)))
            if received == b"1\r":
                connection.sendall(b"".join(manager.escape(b"01A+00024.35\r")))
                received = b""


# pyserial 3.5 names its thread in a way that newer versions of Python warn of.
@pytest.mark.filterwarnings("ignore:set(Daemon|Name)\\(\\) is deprecated:DeprecationWarning")
@pytest.mark.parametrize("scheme", ["rfc2217", "RFC2217"])
def test_port_of_a_terminal_server_is_opened_read_written_and_lost(scheme: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        far_end = threading.Thread(target=serve_rfc2217, args=(server,))
        far_end.start()
        source = f"{scheme}://127.0.0.1:{server.getsockname()[1]}"
        transport = open_transport(source, LineSettings(speed=4800, data_bits=7, parity="E"))
        try:
            assert "4800 7E1" in transport.description
            transport.write(b"1\r")
            assert read_exactly(transport, 13) == b"01A+00024.35\r"
            transport.write(b"quit")
            with pytest.raises(PortLostError):
                transport.read(5.0)
        finally:
            transport.close()
            far_end.join(5.0)


@posix_only
def test_second_opening_of_a_port_is_busy() -> None:
    with SimulatedLine(tcp=False) as line:
        transport = open_transport(line.source, LineSettings())
        try:
            with pytest.raises(PortBusyError):
                open_transport(line.source, LineSettings())
        finally:
            transport.close()
        open_transport(line.source, LineSettings()).close()


@posix_only
def test_line_settings_reach_the_port() -> None:
    settings = LineSettings(speed=4800, data_bits=7, parity="E", stop_bits=2)
    assert str(settings) == "4800 7E2"
    with SimulatedLine(tcp=False) as line:
        transport = open_transport(line.source, settings)
        try:
            fd = os.open(line.source, os.O_RDWR | os.O_NOCTTY)
            _, _, cflag, _, ispeed, _, _ = termios.tcgetattr(fd)
            os.close(fd)
        finally:
            transport.close()
    assert ispeed == termios.B4800
    assert cflag & termios.CSTOPB
    assert "4800 7E2" in transport.description


def test_dtr_and_rts_are_set_before_the_port_opens(monkeypatch: pytest.MonkeyPatch) -> None:
    levels = []

    class Port(FakePort):
        def open(self) -> None:
            levels.append((self.dtr, self.rts))

    monkeypatch.setattr(serial, "serial_for_url", lambda *_args, **_kwargs: Port())
    open_transport("COM10", LineSettings(dtr=False, rts=True))
    open_transport("COM10", LineSettings(dtr=True, rts=False))
    assert levels == [(False, True), (True, False)]


def test_opening_and_closing_leaves_no_descriptor_and_no_thread(
    line: SimulatedLine, open_descriptors: Callable[[], int]
) -> None:
    before, threads = open_descriptors(), threading.active_count()
    for _ in range(3):
        open_transport(line.source, LineSettings()).close()
    line.send(b"")  # a network line notices its listeners' going when it sends
    line.unplug()
    line.replug()
    assert open_descriptors() == before
    assert threading.active_count() == threads
