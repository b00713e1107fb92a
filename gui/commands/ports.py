"""``seatproof ports``: list what is plugged in, with what it seems to be."""

import argparse
import json
from typing import TYPE_CHECKING

from seatproof.devices.discovery import PortFound, find_ports
from seatproof.devices.holders import who_holds

if TYPE_CHECKING:
    from argparse import _SubParsersAction


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "ports",
        help="list what is plugged in",
        description="List the ports of this computer, what seems to be plugged into each, and the "
        "source by which an adapter is found again when its port has another name.",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the ports there are now; return the exit status."""
    ports = find_ports()
    if args.json:
        print(json.dumps([_as_document(port, ports) for port in ports]))
        return 0
    if not ports:
        print("No port has anything plugged into it. Plug the gauge's cable in and ask again.")
    for port in ports:
        print(_as_text(port, ports))
    return 0


def _as_document(port: PortFound, ports: tuple[PortFound, ...]) -> dict[str, str | None]:
    return {
        "port": port.name,
        "source": port.lasting_source,
        "description": port.description,
        "vendor": None if port.vendor is None else f"{port.vendor:04x}",
        "product": None if port.product is None else f"{port.product:04x}",
        "serial_number": port.serial_number,
        "socket": port.socket,
        "seems": port.seems(ports),
        "held_by": who_holds(port.name),
    }


def _as_text(port: PortFound, ports: tuple[PortFound, ...]) -> str:
    lines = [f"{port.name}: {port.description}", f"    {port.seems(ports)}"]
    if port.is_usb:
        lines.append(f"    found again as {port.lasting_source}")
    holder = who_holds(port.name)
    if holder is not None:
        lines.append(f"    in use by {holder}")
    return "\n".join(lines)
