"""The options of a line that several commands take."""

import argparse
from dataclasses import replace
from pathlib import Path
from typing import Final

from seatproof.core.units import Unit
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.known import find_format
from seatproof.devices.declared.request import Request
from seatproof.devices.formats import FrameFormat
from seatproof.devices.transport import LineSettings
from seatproof.gui.commands.errors import CommandError

SOURCE_HELP: Final = (
    "a port such as COM10 or /dev/ttyUSB0, socket://HOST:PORT, rfc2217://HOST:PORT, file:PATH for "
    "a capture read at once, replay:PATH for one in its own time, or keyboard for typed lines"
)
_FLOWS: Final = ("none", "xon/xoff", "rts/cts", "dsr/dtr")


def add_line_options(parser: argparse.ArgumentParser) -> None:
    """Add how the line is opened."""
    parser.add_argument(
        "--line", metavar="BITS", help='speed, data bits, parity and stop bits, as in "4800 7E2"'
    )
    parser.add_argument("--flow", choices=_FLOWS, help="flow control")
    for name in ("dtr", "rts"):
        parser.add_argument(
            f"--{name}",
            choices=("on", "off"),
            help=f"level of {name.upper()}; some cables draw their power from it",
        )


def line_settings(args: argparse.Namespace, given: LineSettings | None = None) -> LineSettings:
    """Return the settings that the options state, over those given with a format.

    Raises
    ------
    CommandError
        The line's bits are not written as they should be.
    """
    settings = LineSettings() if given is None else given
    if args.line is not None:
        try:
            settings = settings.with_bits(args.line)
        except ValueError as error:
            raise CommandError(f"--line {args.line!r}: {error}.") from error
    if args.flow is not None:
        settings = replace(settings, flow=args.flow)
    for name in ("dtr", "rts"):
        level = getattr(args, name)
        if level is not None:
            settings = replace(settings, **{name: level == "on"})
    return settings


def gauge_format(name: str, unit: str | None, request: str | None) -> FrameFormat:
    """Return a format by name or file, with the unit and the request that options add.

    Raises
    ------
    FormatError
        There is no such format.
    CommandError
        The format cannot take what is added.
    """
    form = find_format(name)
    if unit is None and request is None:
        return form
    if not isinstance(form, GaugeFormat):
        if unit is not None:
            raise CommandError(
                f'--unit: the format "{name}" takes none; what the frame does not say stays open.'
            )
        return form
    if unit is not None:
        form = form.with_unit(Unit(unit))
    return form if request is None else form.model_copy(update={"request": request_of(request)})


def request_of(text: str) -> Request:
    r"""Return the request of a text in which ``\r``, ``\n`` and ``\x02`` stand for those bytes."""
    try:
        octets = text.encode("latin-1").decode("unicode_escape").encode("latin-1")
    except UnicodeError as error:
        raise CommandError(rf"--request {text!r}: write bytes as in 1\r or \x02.") from error
    if not 1 <= len(octets) <= 32:
        raise CommandError("--request: write 1 to 32 bytes.")
    return Request(octets=octets)


def path_for_format(text: str) -> Path:
    """Return where a format is to be written; its name ends in .toml or .json."""
    path = Path(text)
    if path.suffix not in (".toml", ".json"):
        raise argparse.ArgumentTypeError(f"{text!r}: let the file's name end in .toml or .json")
    return path
