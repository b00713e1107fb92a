"""Which ports there are now, for a person to choose from."""

from dataclasses import dataclass

from serial.tools import list_ports


@dataclass(frozen=True, slots=True)
class PortFound:
    """A port of this computer: the name to open it by, and what the system says it is."""

    name: str
    description: str


def find_ports() -> tuple[PortFound, ...]:
    """Return the ports that something is plugged into, in the order of their names."""
    found = sorted(list_ports.comports())
    return tuple(
        PortFound(port.device, port.description)
        for port in found
        if port.description != "n/a" or port.vid is not None
    )
