"""``seatproof work-out``: find out how a gauge sends its values, from a few presses."""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.devices.declared.file import save_format
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.request import Request
from seatproof.devices.derive.collect import NeverQuietError, collect_press
from seatproof.devices.derive.line_search import LineSearch
from seatproof.devices.derive.press import KnownPress, parse_shown
from seatproof.devices.derive.show import show_frame
from seatproof.devices.derive.work_out import WorkedOut, work_out
from seatproof.devices.formats import as_text
from seatproof.devices.transport import LineSettings, Transport, open_transport
from seatproof.devices.typed import TYPED_SETTINGS, TYPED_SOURCE, TypedLine
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.line_options import (
    add_line_options,
    line_settings,
    path_for_format,
    request_of,
)

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_DESCRIPTION: Final = """\
Find out how a gauge sends its values. Press its button when asked, and type what its display
showed, with all its decimals: first a large value, then a negative one if the gauge has any, then
one near zero. The format is shown in words and byte by byte, and written to a file that
"seatproof listen --format FILE" reads with."""

_MOST_PRESSES: Final = 8
_DONE: Final = ("q", "quit", "done")


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "work-out",
        help="find out how a gauge sends its values",
        description=_DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "source",
        metavar="SOURCE",
        help="the gauge's port or URL, file:PATH for a saved log, or keyboard for one that types",
    )
    add_line_options(parser)
    parser.add_argument(
        "--search-line", action="store_true", help="find speed and parity first, press by press"
    )
    parser.add_argument(
        "--request", metavar="BYTES", help=r"what the gauge wants to be sent, as in 1\r or \x02"
    )
    parser.add_argument("--name", default="my gauge", help="name of the format")
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=path_for_format,
        default=Path("gauge.toml"),
        help="where the format is written, .toml or .json (gauge.toml unless stated)",
    )
    parser.add_argument(
        "--wait",
        metavar="SECONDS",
        type=_seconds,
        default=60.0,
        help="how long to wait for a press (60 unless stated)",
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Ask for presses until the format is known; return the exit status.

    Raises
    ------
    DeviceError
        The line cannot be opened or was lost, or the file cannot be written.
    CommandError
        An option cannot be used.
    """
    settings = line_settings(args)
    request = None if args.request is None else request_of(args.request)
    if not args.name.strip() or any(mark in args.name for mark in "/\\"):
        raise CommandError("--name: write a name without slashes.")
    if args.source == TYPED_SOURCE and (args.search_line or request is not None):
        raise CommandError("A gauge that types has no line to search, and takes no request.")
    try:
        if args.search_line:
            found = _search_line(args)
            if found is None:
                print("No speed gave text; take the settings from the gauge's manual: --line.")
                return 1
            settings = found
            print(f"The line is {settings}.")
        line = TypedLine() if args.source == TYPED_SOURCE else open_transport(args.source, settings)
        try:
            result = Interview(
                lambda: _press(line, args.wait, request),
                ask=_ask,
                say=_say,
                name=args.name.strip(),
                act="press its button" if request is None else "press Enter to ask it",
            ).hold()
        finally:
            line.close()
    except NeverQuietError as error:
        raise CommandError(str(error)) from error
    if result is None or result.format is None:
        return 1
    if args.source == TYPED_SOURCE:
        settings = TYPED_SETTINGS
    form = result.format.model_copy(update={"line": settings, "request": request})
    save_format(form, args.output)
    print(f"Written to {args.output}; use it with: seatproof listen SOURCE --format {args.output}")
    return 0 if result.is_settled else 1


class Interview:
    """Asks for presses and displays until the format is settled or the person has done.

    Parameters
    ----------
    press : callable
        Returns the bytes of the next press; none if nothing came.
    ask : callable
        Asks a question; returns what was typed, or None at the end of the input.
    say : callable
        Shows a sentence or lines.
    name : str
        Name of the format.
    act : str
        What the person does to make the gauge send.
    """

    def __init__(
        self,
        press: Callable[[], bytes],
        *,
        ask: Callable[[str], str | None],
        say: Callable[[str], None],
        name: str,
        act: str = "press its button",
    ) -> None:
        self._act = act
        self._press = press
        self._ask = ask
        self._say = say
        self._name = name
        self._presses: list[KnownPress] = []

    def hold(self) -> WorkedOut | None:
        """Return what was found in the end; None if nothing was."""
        found: WorkedOut | None = None
        wish = "Show a large value on the gauge"
        while len(self._presses) < _MOST_PRESSES:
            if not self._take(wish):
                break
            if len(self._presses) == 1:
                wish = "Now show a negative value, if the gauge has any, or another one"
                continue
            found = work_out(self._presses, name=self._name)
            self._tell(found)
            if found.is_settled:
                break
            wish = "Another press: show another value, such as one near zero"
            if found.questions:
                wish = f"Not settled yet: {found.questions[0]}"
        return found

    def _take(self, wish: str) -> bool:
        """Take one press with its display; return whether to go on."""
        self._say(f"{wish}, and {self._act}.")
        raw = self._press()
        if not raw:
            self._say("Nothing came: is the gauge on, and is its cable in?")
            return False
        self._say(f"It sent {len(raw)} bytes: {as_text(raw)}")
        while True:
            typed = self._ask("What did the display show (q to end)? ")
            if typed is None or typed.strip().lower() in _DONE:
                return False
            try:
                self._presses.append(KnownPress(raw, parse_shown(typed)))
            except ValueError as error:
                self._say(str(error))
                continue
            return True

    def _tell(self, found: WorkedOut) -> None:
        if found.format is None:
            self._say(found.trouble)
            return
        self._say(found.format.in_words())
        for press in self._presses:
            self._say(f"\nThe press that showed {press.shown.value}:")
            self._say(_shown(found.format, press))
        if found.is_settled:
            self._say(f"\nAll {len(self._presses)} presses are read as their displays showed.")


def _shown(form: GaugeFormat, press: KnownPress) -> str:
    framer = form.framer(trust_first=True)
    frames = framer.feed(press.raw) + framer.silence()
    return "\n".join(show_frame(form, frame) for frame in frames)


def _search_line(args: argparse.Namespace) -> LineSettings | None:
    search = LineSearch()
    while (trying := search.trying) is not None:
        print(f"Trying {trying.speed}: press the gauge's button.", flush=True)
        line = open_transport(args.source, trying)
        try:
            data = collect_press(line, timeout_s=args.wait)
        finally:
            line.close()
        if not data:
            raise CommandError("Nothing came: is the gauge on, and is its cable in?")
        search.hear(data)
    return search.found


def _press(line: Transport, wait_s: float, request: Request | None) -> bytes:
    if isinstance(line, TypedLine):
        line.feed(sys.stdin.readline())
        return line.read(0.0)
    if request is not None:
        if _ask("") is None:
            return b""
        line.write(request.octets)
    return collect_press(line, timeout_s=wait_s)


def _ask(question: str) -> str | None:
    print(question, end="", flush=True)
    typed = sys.stdin.readline()
    return typed if typed else None


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 0.05 <= seconds <= 3600:
        raise argparse.ArgumentTypeError(f"{text!r}: write seconds from 0.05 to 3600")
    return seconds


def _say(text: str) -> None:
    print(text, flush=True)
