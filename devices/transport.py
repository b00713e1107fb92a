"""The seam to the hardware: bytes in, bytes out, silence, and what became of the port.

Every exception of pyserial and of the system becomes a `DeviceError` here and nowhere else, in
`device_error`. What the bytes mean is not known here.
"""

import errno
import logging
import re
import socket
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Final, Literal, Protocol
from urllib.parse import urlsplit

import serial

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

_logger = logging.getLogger(__name__)

FILE_PREFIX: Final = "file:"
_NETWORK_SCHEMES: Final = ("socket", "rfc2217")

# How long one call into pyserial may block. It is set once, at opening: pyserial sends the whole
# line configuration to the port again whenever its timeout changes.
_SLICE_S: Final = 0.05
_WRITE_TIMEOUT_S: Final = 1.0  # pyserial's rfc2217 knows none; its socket buffers what is sent
_MAX_READ_BYTES: Final = 4096


class Transport(Protocol):
    """A line to a gauge that is open from its making to `close`."""

    @property
    def description(self) -> str:
        """What this line is, for a person."""

    @property
    def is_live(self) -> bool:
        """Whether bytes come from a device now; a replayed file is not live."""

    def read(self, timeout_s: float) -> bytes:
        """Return what arrived, as soon as something does; ``b""`` after `timeout_s` of silence.

        Raises
        ------
        DeviceError
            The line is gone. All that arrived before has been returned by earlier calls.
        EndOfSource
            A capture file is at its end.
        """

    def write(self, data: bytes) -> None:
        """Send all of `data`, or raise `DeviceError`."""

    def close(self) -> None:
        """Let go of the line. Never raises, and may be called again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSettings:
    """How a line is to be opened and when what comes over it can be trusted.

    Attributes
    ----------
    speed : int
        Bits per second.
    data_bits, parity, stop_bits
        The character frame; parity is none, even or odd.
    exclusive : bool
        Whether no other program may open the port meanwhile. On Windows it is always so.
    dtr, rts : bool
        Levels of the two control lines. Some interfaces draw their power from them.
    settle_s : float
        After opening, everything is dropped until the line has been silent this long: the system
        and the adapter may hold presses that were made before.
    settle_limit_s : float
        A gauge that sends without a pause never falls silent; after this long, listening begins
        in the middle of the stream.
    gap_s : float
        A frame whose next byte stays away this long has broken off.
    """

    speed: int = 9600
    data_bits: Literal[7, 8] = 8
    parity: Literal["N", "E", "O"] = "N"
    stop_bits: Literal[1, 2] = 1
    exclusive: bool = True
    dtr: bool = True
    rts: bool = True
    settle_s: float = 0.3
    settle_limit_s: float = 2.0
    gap_s: float = 1.0

    def __str__(self) -> str:
        return f"{self.speed} {self.data_bits}{self.parity}{self.stop_bits}"


def open_transport(source: str, settings: LineSettings) -> Transport:
    """Open a serial port, a network port or a capture file.

    Parameters
    ----------
    source : str
        Name of a port (``COM10``, ``/dev/ttyUSB0``, a pseudo-terminal), ``socket://HOST:PORT``,
        ``rfc2217://HOST:PORT``, or ``file:PATH`` for a file of bytes as they came.

    Raises
    ------
    DeviceError
        One of its kinds; see `seatproof.devices.errors`.
    """
    if source.startswith(FILE_PREFIX):
        return FileTransport(source)
    _check_source(source)
    with _device_errors(source, _Step.OPEN, settings):
        # Not opened by the constructor: DTR and RTS must have their levels from the first moment.
        port = serial.serial_for_url(
            source,
            do_not_open=True,
            baudrate=settings.speed,
            bytesize=settings.data_bits,
            parity=settings.parity,
            stopbits=settings.stop_bits,
            timeout=_SLICE_S,
            write_timeout=None if source.lower().startswith("rfc2217:") else _WRITE_TIMEOUT_S,
            exclusive=settings.exclusive,
        )
        port.dtr = settings.dtr
        port.rts = settings.rts
        port.open()
    return SerialTransport(port, source, _description(source, settings))


class SerialTransport:
    """An open pyserial port, local or over the network."""

    is_live: Final = True

    def __init__(self, port: serial.Serial, source: str, description: str) -> None:
        self._port = port
        self._source = source
        self._lost: DeviceError | None = None
        self.description: Final = description

    def read(self, timeout_s: float) -> bytes:
        if self._lost is not None:
            raise self._lost
        data = self._read_first(timeout_s)
        if data:
            try:
                data += self._read_waiting()
            except PortLostError as error:
                # What came before the plug was pulled still counts; the next call tells the loss.
                self._lost = error
        return data

    def write(self, data: bytes) -> None:
        with _device_errors(self._source, _Step.WRITE):
            self._port.write(data)

    def close(self) -> None:
        # pyserial 3.5 forgets to close a socket whose other end is gone already.
        leftover = getattr(self._port, "_socket", None)
        try:
            with _device_errors(self._source, _Step.CLOSE):
                self._port.close()
        except DeviceError as error:
            _logger.warning("closing %s: %s", self._source, error.detail)
        finally:
            if leftover is not None:
                leftover.close()

    def _read_first(self, timeout_s: float) -> bytes:
        deadline_s = time.monotonic() + timeout_s
        while True:
            with _device_errors(self._source, _Step.READ):
                data = bytes(self._port.read(1))
            if data or time.monotonic() >= deadline_s:
                return data

    def _read_waiting(self) -> bytes:
        data = b""
        while len(data) < _MAX_READ_BYTES:
            with _device_errors(self._source, _Step.READ):
                waiting = self._port.in_waiting
                more = bytes(self._port.read(min(waiting, _MAX_READ_BYTES))) if waiting else b""
            if not more:
                break
            data += more
        return data


class FileTransport:
    """A capture file, replayed from its first byte to its last."""

    is_live: Final = False

    def __init__(self, source: str) -> None:
        self._source = source
        path = Path(source.removeprefix(FILE_PREFIX))
        try:
            self._stream = path.open("rb")
        except (OSError, ValueError) as error:
            raise _unreadable(source, error) from error
        self.description: Final = f"capture file {path}"

    def read(self, timeout_s: float) -> bytes:
        del timeout_s  # a file has no silence
        try:
            data = self._stream.read(_MAX_READ_BYTES)
        except (OSError, ValueError) as error:
            raise _unreadable(self._source, error) from error
        if not data:
            raise EndOfSource(self._source)
        return data

    def write(self, data: bytes) -> None:
        raise SourceError(self._source, f"a capture file takes no requests ({len(data)} bytes).")

    def close(self) -> None:
        self._stream.close()


def _unreadable(source: str, error: OSError | ValueError) -> SourceError:
    reason = getattr(error, "strerror", None) or str(error)
    return SourceError(source, f"the file cannot be read ({reason}).")


# --- the one place where exceptions are translated -----------------------------------------------


class _Step(StrEnum):
    OPEN = "open"
    READ = "read"
    WRITE = "write"
    CLOSE = "close"


def _termios_error() -> tuple[type[Exception], ...]:
    if sys.platform == "win32":
        return ()
    import termios

    return (termios.error,)


_TERMIOS_ERROR: Final = _termios_error()
# A descriptor that vanished under pyserial shows as any of the last three. Only single calls into
# pyserial run under this net, so that it hides no mistake of ours.
_CAUGHT: Final[tuple[type[Exception], ...]] = (
    OSError,
    *_TERMIOS_ERROR,
    TypeError,
    AttributeError,
    ValueError,
)

_MISSING: Final = frozenset(
    {
        errno.ENOENT,
        errno.ENODEV,
        errno.ENXIO,
        errno.ECONNREFUSED,
        errno.ECONNRESET,
        errno.EHOSTUNREACH,
        errno.ENETUNREACH,
        errno.ETIMEDOUT,
    }
)
_BUSY: Final = frozenset({errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK})
_FORBIDDEN: Final = frozenset({errno.EACCES, errno.EPERM})
_NO_PORT: Final = frozenset({errno.ENOTTY, errno.EISDIR})

# On Windows pyserial keeps the number only inside its text: PermissionError(13, 'Access is ...').
_NUMBER_IN_TEXT: Final = re.compile(r"Error\((\d+),")


@contextmanager
def _device_errors(
    source: str, step: _Step, settings: LineSettings | None = None
) -> Iterator[None]:
    try:
        yield
    except _CAUGHT as error:
        raise _device_error(error, source, step, settings) from error


def _device_error(
    error: Exception, source: str, step: _Step, settings: LineSettings | None
) -> DeviceError:
    """Say what an exception of pyserial or of the system means for the line."""
    detail = f"{step}: {type(error).__name__}: {error}"
    if step is not _Step.OPEN:
        return PortLostError(source, detail)
    causes = list(_chain(error))
    number = next((n for n in map(_errno_of, causes) if n is not None), None)
    if number in _MISSING or any(isinstance(c, socket.gaierror | TimeoutError) for c in causes):
        return PortMissingError(source, detail)
    if number in _BUSY:
        return PortBusyError(source, detail)
    if number in _FORBIDDEN:
        if sys.platform == "win32":  # it denies access to a port that somebody else holds
            return PortBusyError(source, detail)
        return PortForbiddenError(source, detail, group=_owning_group(source))
    if number in _NO_PORT:
        return SourceError(
            source, f"it is no serial port; to replay a file of bytes, name it {FILE_PREFIX}PATH."
        )
    if isinstance(error, ValueError) or (number == errno.EINVAL and sys.platform != "win32"):
        return LineSettingsError(source, detail, settings=str(settings))
    return PortLostError(source, detail)


def _chain(error: BaseException) -> Iterator[BaseException]:
    seen: BaseException | None = error
    while seen is not None:
        yield seen
        seen = seen.__cause__ or seen.__context__


def _errno_of(error: BaseException) -> int | None:
    if isinstance(error, socket.gaierror):
        return None  # its number is of another series
    if isinstance(error, OSError) and error.errno is not None:
        return error.errno
    if isinstance(error, _TERMIOS_ERROR) and error.args and isinstance(error.args[0], int):
        return error.args[0]
    in_text = _NUMBER_IN_TEXT.search(str(error))
    return None if in_text is None else int(in_text[1])


def _owning_group(source: str) -> str | None:
    """Name the group that may open a port; None where joining a group would not help."""
    if sys.platform == "win32":
        return None
    import grp
    import stat

    try:
        status = Path(source).stat()
        if status.st_gid == 0 or status.st_mode & (stat.S_IRGRP | stat.S_IWGRP) != (
            stat.S_IRGRP | stat.S_IWGRP
        ):
            return None
        return grp.getgrgid(status.st_gid).gr_name
    except (OSError, KeyError):
        return None


def _check_source(source: str) -> None:
    if not source.strip() or "\0" in source:
        raise SourceError(source or "(nothing)", "name a port, a URL or file:PATH.")
    if "://" not in source:
        return
    try:
        url = urlsplit(source)
        is_complete = bool(url.hostname and url.port)
    except ValueError:
        is_complete = False
    if not is_complete or url.scheme not in _NETWORK_SCHEMES:
        raise SourceError(source, "write it as socket://HOST:PORT or rfc2217://HOST:PORT.")


def _description(source: str, settings: LineSettings) -> str:
    if source.lower().startswith("socket:"):  # there the settings mean nothing
        return f"network port {source}"
    return f"port {source} ({settings})"
