"""Which ports there are now, what seems to be plugged into them, and how to find one again.

A system numbers its ports as they come, so the name of a port is no name of a gauge. An adapter is
known by its USB vendor, product and serial number, written as a source that stays the same:
``usb:0403:6001:A1B2C3``, or ``usb:0403:6001@1-2.3`` by the socket where it has no serial number.
"""

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from serial.tools import list_ports

from seatproof.devices.errors import AlikeError, DeviceError, PortMissingError, SourceError

USB_PREFIX: Final = "usb:"
_USB: Final = re.compile(
    r"usb:(?P<vendor>[0-9a-fA-F]{4}):(?P<product>[0-9a-fA-F]{4})"
    r"(?::(?P<serial>[^@\s]+))?(?:@(?P<socket>\S+))?",
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class PortFound:
    """A port of this computer: the name to open it by, and what the system says it is.

    Attributes
    ----------
    name, description : str
        As the system has them.
    vendor, product : int or None
        USB ids of the adapter; None for a port that is built in.
    serial_number : str or None
        Of the adapter; many have none.
    socket : str or None
        Where it is plugged in, as the system counts sockets.
    """

    name: str
    description: str
    vendor: int | None = None
    product: int | None = None
    serial_number: str | None = None
    socket: str | None = None

    @property
    def is_usb(self) -> bool:
        return self.vendor is not None and self.product is not None

    @property
    def lasting_source(self) -> str:
        """The source that finds this adapter again under another port name."""
        if not self.is_usb:
            return self.name
        ids = f"{USB_PREFIX}{self.vendor:04x}:{self.product:04x}"
        if self.serial_number is not None and re.fullmatch(r"[^@\s]+", self.serial_number):
            return f"{ids}:{self.serial_number}"
        return ids if self.socket is None else f"{ids}@{self.socket}"

    def seems(self, others: "tuple[PortFound, ...]") -> str:
        """Say what this seems to be, among the ports that are there."""
        if not self.is_usb:
            return "a built-in port"
        alike = [o for o in others if o.is_alike(self) and o.name != self.name]
        kind = "a USB adapter"
        if self.serial_number is None:
            kind += " without a serial number, known by its socket alone"
        if alike:
            kind += "; looks just like the one at " + " and ".join(o.name for o in alike)
        return kind

    def is_alike(self, other: "PortFound") -> bool:
        """Tell whether nothing but the socket tells two adapters apart."""
        return (self.vendor, self.product, self.serial_number) == (
            other.vendor,
            other.product,
            other.serial_number,
        )


def find_ports() -> tuple[PortFound, ...]:
    """Return the ports that something is plugged into, in the natural order of their names."""
    found = [
        PortFound(
            port.device,
            port.description,
            vendor=port.vid,
            product=port.pid,
            serial_number=port.serial_number or None,
            socket=port.location or None,
        )
        for port in list_ports.comports()
        if port.description != "n/a" or port.vid is not None
    ]
    return tuple(sorted(found, key=lambda port: _natural(port.name)))


def lasting_source_of(name: str) -> str | None:
    """Return the source by which the adapter at a port is found again, whatever its name then.

    None where the port is none of an adapter, or where nothing tells the adapter from another.
    Where adapters look alike, the socket is part of the source; then one in another socket is asked
    about.
    """
    try:
        ports = find_ports()
        path = Path(name)
        own_name = str(path.resolve()) if path.exists() else name
    except OSError:
        return None
    found = next((port for port in ports if port.name in (name, own_name)), None)
    if found is None or not found.is_usb:
        return None
    source = found.lasting_source
    has_twin = any(port.is_alike(found) and port.name != found.name for port in ports)
    if has_twin and "@" not in source and found.socket is not None:
        source = f"{source}@{found.socket}"
    try:
        is_certain = port_of(source, ports) == found.name
    except DeviceError:
        return None
    return source if is_certain else None


def port_of(source: str, ports: tuple[PortFound, ...]) -> str:
    """Return the name that the adapter of a ``usb:`` source has now.

    Raises
    ------
    SourceError
        The source is not written as it should be.
    PortMissingError
        No such adapter is plugged in.
    AlikeError
        Several are, and nothing tells which one is meant; or one without a serial number is in
        another socket, so that it may be another gauge's.
    """
    match = _USB.fullmatch(source)
    if match is None:
        raise SourceError(source, "write it as usb:VENDOR:PRODUCT:SERIAL; see: seatproof ports")
    wanted = (int(match["vendor"], 16), int(match["product"], 16))
    fitting = [port for port in ports if (port.vendor, port.product) == wanted]
    if match["serial"] is not None:
        fitting = [port for port in fitting if port.serial_number == match["serial"]]
    if match["socket"] is not None:
        at_socket = [port for port in fitting if port.socket == match["socket"]]
        if not at_socket and fitting:
            raise AlikeError(source, "", candidates=tuple(port.name for port in fitting))
        fitting = at_socket
    if not fitting:
        raise PortMissingError(source, "no such adapter")
    if len(fitting) > 1:
        raise AlikeError(source, "", candidates=tuple(port.name for port in fitting))
    return fitting[0].name


def _natural(name: str) -> tuple[tuple[int, int | str], ...]:
    """Order COM3 before COM10."""
    pieces = re.findall(r"[0-9]+|[^0-9]+", name)
    return tuple((0, int(p)) if p.isdigit() else (1, p) for p in pieces)
