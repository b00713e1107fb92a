"""The seam to the hardware: bytes in, bytes out, silence, and what became of the port.

Every exception of pyserial and of the system becomes a `DeviceError` in `seatproof.devices.faults`.
What the bytes mean is not known here.
"""

import logging
import re
import time
from dataclasses import dataclass, replace
from typing import Final, Literal, Protocol
from urllib.parse import urlsplit

import serial

from seatproof.devices.capture import FILE_PREFIX, REPLAY_PREFIX, FileTransport
from seatproof.devices.discovery import USB_PREFIX, find_ports, port_of
from seatproof.devices.errors import DeviceError, PortLostError, SourceError
from seatproof.devices.faults import Step, device_errors

_logger = logging.getLogger(__name__)

_NETWORK_SCHEMES: Final = ("socket", "rfc2217")

# How long one call into pyserial may block. It is set once, at opening: pyserial sends the whole
# line configuration to the port again whenever its timeout changes.
_SLICE_S: Final = 0.05
_WRITE_TIMEOUT_S: Final = 1.0  # pyserial's rfc2217 knows none; its socket buffers what is sent
_MAX_READ_BYTES: Final = 4096

_Parity = Literal["N", "E", "O"]
_PARITIES: Final[dict[str, _Parity]] = {"N": "N", "E": "E", "O": "O"}
_BITS: Final = re.compile(
    r"(?P<speed>[1-9][0-9]{1,6})\s+(?P<data>[78])(?P<parity>[NEOneo])(?P<stop>[12])", re.ASCII
)


class Transport(Protocol):
    """A line to a gauge that is open from its making to `close`."""

    @property
    def description(self) -> str:
        """What this line is, for a person."""

    @property
    def port_name(self) -> str | None:
        """Name of this computer's port that is open; None where the line is none of its ports."""

    @property
    def is_live(self) -> bool:
        """Whether bytes come from a device now; a replayed file is not live."""

    @property
    def keeps_time(self) -> bool:
        """Whether bytes come when they were sent; those of a file without times do not."""

    @property
    def skipped_s(self) -> float:
        """Seconds of silence that a replay passed over without waiting; 0 for live lines."""

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
        """Send all of `data`, or raise `DeviceError`: the line is gone or takes no requests."""

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
    flow : str
        Flow control: ``none``, ``xon/xoff``, ``rts/cts`` or ``dsr/dtr``.
    dtr, rts : bool
        Levels of the two control lines. Some interfaces draw their power from them.
    warm_up_s : float
        How long an interface needs after opening; everything it sends meanwhile is dropped.
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
    parity: _Parity = "N"
    stop_bits: Literal[1, 2] = 1
    flow: Literal["none", "xon/xoff", "rts/cts", "dsr/dtr"] = "none"
    exclusive: bool = True
    dtr: bool = True
    rts: bool = True
    warm_up_s: float = 0.0
    settle_s: float = 0.3
    settle_limit_s: float = 2.0
    gap_s: float = 1.0

    def __str__(self) -> str:
        return f"{self.speed} {self.data_bits}{self.parity}{self.stop_bits}"

    def with_bits(self, text: str) -> "LineSettings":
        """Return the same with speed, data bits, parity and stop bits as in ``4800 7E2``.

        Raises
        ------
        ValueError
            The text is not written so.
        """
        match = _BITS.fullmatch(text.strip())
        if match is None:
            raise ValueError("write speed, data bits, parity and stop bits as in 4800 7E2")
        return replace(
            self,
            speed=int(match["speed"]),
            data_bits=7 if match["data"] == "7" else 8,
            parity=_PARITIES[match["parity"].upper()],
            stop_bits=1 if match["stop"] == "1" else 2,
        )


def open_transport(source: str, settings: LineSettings) -> Transport:
    """Open a serial port, a network port or a capture file.

    Parameters
    ----------
    source : str
        Name of a port (``COM10``, ``/dev/ttyUSB0``, a pseudo-terminal), ``usb:`` and the ids of
        an adapter as `seatproof.devices.discovery` writes them, ``socket://HOST:PORT``,
        ``rfc2217://HOST:PORT``, ``file:PATH`` for a capture read at once, or ``replay:PATH`` for a
        capture with its original timing.

    Raises
    ------
    DeviceError
        One of its kinds; see `seatproof.devices.errors`.
    """
    if source.startswith((FILE_PREFIX, REPLAY_PREFIX)):
        return FileTransport(source)
    _check_source(source)
    name = port_of(source, find_ports()) if source.startswith(USB_PREFIX) else source
    with device_errors(name, Step.OPEN, settings):
        # Not opened by the constructor: DTR and RTS must have their levels from the first moment.
        port = serial.serial_for_url(
            name,
            do_not_open=True,
            baudrate=settings.speed,
            bytesize=settings.data_bits,
            parity=settings.parity,
            stopbits=settings.stop_bits,
            xonxoff=settings.flow == "xon/xoff",
            rtscts=settings.flow == "rts/cts",
            dsrdtr=settings.flow == "dsr/dtr",
            timeout=_SLICE_S,
            write_timeout=None if name.lower().startswith("rfc2217:") else _WRITE_TIMEOUT_S,
            exclusive=settings.exclusive,
        )
        port.dtr = settings.dtr
        port.rts = settings.rts
        port.open()
    return SerialTransport(port, name, _description(source, name, settings))


class SerialTransport:
    """An open pyserial port, local or over the network."""

    is_live: Final = True
    keeps_time: Final = True
    skipped_s: Final = 0.0

    def __init__(self, port: serial.Serial, source: str, description: str) -> None:
        self._port = port
        self._source = source
        self.port_name: Final = None if "://" in source else source
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
        with device_errors(self._source, Step.WRITE):
            self._port.write(data)

    def close(self) -> None:
        # pyserial 3.5 forgets to close a socket whose other end is gone already.
        leftover = getattr(self._port, "_socket", None)
        try:
            with device_errors(self._source, Step.CLOSE):
                self._port.close()
        except DeviceError as error:
            _logger.warning("closing %s: %s", self._source, error.detail)
        finally:
            if leftover is not None:
                leftover.close()

    def _read_first(self, timeout_s: float) -> bytes:
        deadline_s = time.monotonic() + timeout_s
        while True:
            with device_errors(self._source, Step.READ):
                data = bytes(self._port.read(1))
            if data or time.monotonic() >= deadline_s:
                return data

    def _read_waiting(self) -> bytes:
        data = b""
        while len(data) < _MAX_READ_BYTES:
            with device_errors(self._source, Step.READ):
                waiting = self._port.in_waiting
                more = bytes(self._port.read(min(waiting, _MAX_READ_BYTES))) if waiting else b""
            if not more:
                break
            data += more
        return data


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


def _description(source: str, name: str, settings: LineSettings) -> str:
    if source.lower().startswith("socket:"):  # there the settings mean nothing
        return f"network port {source}"
    known_as = "" if name == source else f", which is {source}"
    return f"port {name} ({settings}){known_as}"
