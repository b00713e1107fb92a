"""``seatproof listen``: print what a gauge sends, frame by frame, with what is made of it."""

import argparse
import json
import queue
import re
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from seatproof.devices.arrival import Arrival
from seatproof.devices.asking import Asking
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.pressing import Pressing
from seatproof.devices.errors import DeviceError, PortBusyError
from seatproof.devices.formats import FrameFormat, Reading
from seatproof.devices.gauge import GaugeReader
from seatproof.devices.group import FromGauge, GaugeGroup
from seatproof.devices.line_state import LineKind, LineState
from seatproof.devices.picking import Take
from seatproof.devices.transport import LineSettings, Transport, open_transport
from seatproof.devices.typed import TYPED_SETTINGS, TYPED_SOURCE, TypedLine
from seatproof.gui.commands.endings import ended_by_signal
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.line_options import (
    SOURCE_HELP,
    add_line_options,
    gauge_format,
    line_settings,
    request_of,
)

if TYPE_CHECKING:
    from argparse import _SubParsersAction

# On some systems a wait without a limit cannot be interrupted from the keyboard.
_LOOK_UP_S: Final = 0.5

# Modem services probe a port for some ten seconds after it was plugged in, and a port that was just
# closed may be held for a moment.
_BUSY_S: Final = 15.0

# A path may hold an equals sign, an inventory number holds no colon and no slash.
_NUMBERED: Final = re.compile(r"(?P<number>[A-Za-z0-9][A-Za-z0-9 ._-]*)=(?=.)")


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "listen",
        help="print what a gauge sends",
        description="Print every frame that a gauge sends: the reading it is, or why it is none. "
        "Enter sends the gauge's request, or takes a value of a stream; Ctrl-C ends it.",
    )
    parser.add_argument(
        "source",
        metavar="SOURCE",
        nargs="+",
        help=f"{SOURCE_HELP}; several at once as NUMBER=SOURCE, by the gauges' inventory numbers",
    )
    parser.add_argument(
        "--format",
        metavar="NAME",
        default="auto",
        help="how a frame is read: the name of a format, or a .toml or .json file of one",
    )
    parser.add_argument(
        "--unit", choices=("mm", "in", "um", "mil"), help="unit of the gauge, where no frame says"
    )
    add_line_options(parser)
    parser.add_argument(
        "--take",
        choices=[take.value for take in Take],
        help="which values of a stream count: each; the confirmed; at Enter the last one; or the "
        "maximum, minimum or stable one of a window that Enter opens (as the format says)",
    )
    parser.add_argument("--window", metavar="SECONDS", type=_seconds, help="length of the window")
    parser.add_argument("--stable-within", metavar="VALUE", type=_step, help="of the stable one")
    parser.add_argument(
        "--request", metavar="BYTES", help=r"what the gauge wants to be sent, as in 1\r or \x02"
    )
    parser.add_argument(
        "--ask-every", metavar="SECONDS", type=_seconds, help="send the request by itself"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON document a line")
    parser.add_argument("--count", metavar="N", type=_count, help="end after N frames")
    parser.add_argument(
        "--save-log", metavar="FILE", type=Path, help="at the end, write every byte with its time"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print frames until the count, the end of the file or Ctrl-C; return the exit status.

    Raises
    ------
    DeviceError
        The source or the format cannot be used. A loss later on is told and waited out.
    CommandError
        An option cannot be used.
    """
    news: queue.SimpleQueue[FromGauge] = queue.SimpleQueue()
    form = gauge_format(args.format, args.unit, args.request)
    settings = line_settings(args, form.line if isinstance(form, GaugeFormat) else None)
    sources = _sources(args.source)
    is_typed = TYPED_SOURCE in sources.values()
    typed = TypedLine()
    pressing = _pressing(args, form)

    def open_line(source: str, wanted: LineSettings) -> Transport:
        opened = typed.open if source == TYPED_SOURCE else open_transport
        return opened(source, wanted)

    def make_reader(
        source: str, on_arrival: Callable[[Arrival], None], on_line: Callable[[LineState], None]
    ) -> GaugeReader:
        return GaugeReader(
            source,
            TYPED_SETTINGS if source == TYPED_SOURCE else settings,
            on_arrival=on_arrival,
            on_line=on_line,
            frame_format=form,
            picker=pressing.picker(),
            asking=_asking(args, form),
            open_line=open_line,
        )

    group = GaugeGroup(sources, make_reader, on_news=news.put)
    group.start()
    if is_typed:
        _in_background(lambda: _type(typed))
    elif any(reader.wants_key for reader in group.readers.values()):
        _in_background(lambda: _press_at_enter(group))
    try:
        with ended_by_signal():
            _print_all(args, news, sources)
    except KeyboardInterrupt:
        return 0  # that is how a person ends it
    finally:
        group.stop()
        _save_logs(group, args.save_log)
    return 0


def _print_all(
    args: argparse.Namespace, news: "queue.SimpleQueue[FromGauge]", sources: Mapping[str, str]
) -> None:
    for number, (gauge, arrival) in enumerate(_arrivals(news, sources), start=1):
        print(_as_json(gauge, arrival) if args.json else _as_text(gauge, arrival), flush=True)
        if number == args.count:
            return


def _sources(words: Sequence[str]) -> dict[str, str]:
    """Return the sources by inventory number; a single one needs no number."""
    if len(words) == 1 and _NUMBERED.match(words[0]) is None:
        return {"": words[0]}
    sources: dict[str, str] = {}
    for word in words:
        numbered = _NUMBERED.match(word)
        if numbered is None:
            raise CommandError(f"{word!r}: with several gauges, write NUMBER=SOURCE for each.")
        if numbered["number"] in sources:
            raise CommandError(f"The inventory number {numbered['number']} stands there twice.")
        sources[numbered["number"]] = word[numbered.end() :]
    return sources


def _pressing(args: argparse.Namespace, form: FrameFormat) -> Pressing:
    """Return how values are taken: as the format says, unless an option says otherwise."""
    pressing = form.pressing if isinstance(form, GaugeFormat) else Pressing()
    stated = {
        "take": None if args.take is None else Take(args.take),
        "window_s": args.window,
        "stable_within": args.stable_within,
    }
    return pressing.model_copy(update={k: v for k, v in stated.items() if v is not None})


def _save_logs(group: GaugeGroup, path: Path | None) -> None:
    if path is None:
        return
    for number, reader in group.readers.items():
        named = path.with_name(f"{path.stem}-{number}{path.suffix}") if number else path
        reader.save_wire_log(named)


def _asking(args: argparse.Namespace, form: FrameFormat) -> Asking | None:
    request = form.request if isinstance(form, GaugeFormat) else None
    if args.request is not None:
        request = request_of(args.request)
    if request is None:
        if args.ask_every is not None:
            raise CommandError("--ask-every: say with --request what to send.")
        return None
    return Asking(request, every_s=args.ask_every)


def _in_background(task: Any) -> None:
    # A daemon: nothing ends a wait for the keyboard, and the program must end without it.
    threading.Thread(target=task, name="keyboard", daemon=True).start()


def _type(line: TypedLine) -> None:
    for typed in sys.stdin:
        line.feed(typed)
    line.end()


def _press_at_enter(group: GaugeGroup) -> None:
    for _ in sys.stdin:
        for reader in group.readers.values():
            reader.take()


def _arrivals(
    news: "queue.SimpleQueue[FromGauge]", sources: Mapping[str, str]
) -> Iterator[tuple[str, Arrival]]:
    """Yield what arrives until all sources have ended; tell the rest on standard error."""
    connected: set[str] = set()
    open_gauges = set(sources)
    waiting: dict[str, tuple[float, DeviceError]] = {}  # until when, and for what
    while open_gauges:
        try:
            found = news.get(timeout=_LOOK_UP_S)
        except queue.Empty:
            for until_s, error in waiting.values():
                if time.monotonic() >= until_s:
                    raise error from None
            continue
        gauge, item = found.inventory_number, found.content
        if isinstance(item, Arrival):
            yield gauge, item
            continue
        if item.error is not None and (item.kind is LineKind.FAILED or gauge not in connected):
            if not isinstance(item.error, PortBusyError):
                raise item.error
            until_s = time.monotonic() + _BUSY_S
            waiting[gauge] = (waiting.get(gauge, (until_s, item.error))[0], item.error)
        else:
            waiting.pop(gauge, None)
        if item.kind in (LineKind.ENDED, LineKind.CLOSED):
            open_gauges.discard(gauge)
            continue
        if item.kind is LineKind.CONNECTED:
            connected.add(gauge)
        if item.kind is not LineKind.CONNECTING or item.error is not None:
            mark = f"{gauge}: " if gauge else ""
            print(f"{mark}{item.sentence}", file=sys.stderr, flush=True)


def _as_json(gauge: str, arrival: Arrival) -> str:
    content = arrival.content
    document: dict[str, Any] = {"kind": "refused"}
    if isinstance(content, Reading):
        document = {
            "kind": "reading",
            "value": content.value_text,
            "unit": None if content.unit is None else content.unit.value,
            "channel": content.channel,
        }
        if content.confirmed is not None:
            document["confirmed"] = content.confirmed
        if arrival.doubts:
            document["doubts"] = [doubt.name.lower() for doubt in arrival.doubts]
    else:
        document["reason"] = content.reason
    document |= {
        "text": content.text,
        "hex": content.raw.hex(" "),
        "t": arrival.utc.isoformat(timespec="milliseconds"),
    }
    if gauge:
        document["gauge"] = gauge
    return json.dumps(document)


def _as_text(gauge: str, arrival: Arrival) -> str:
    content = arrival.content
    at = f"{arrival.utc.astimezone():%H:%M:%S}"
    at = f"{at}  {gauge}" if gauge else at
    if isinstance(content, Reading):
        unit = "" if content.unit is None else content.unit.sign
        doubts = f"  (doubtful: {'; '.join(arrival.doubts)})" if arrival.doubts else ""
        line = f"{at}  {content.value_text:>12} {unit:<4} {content.channel or '':<4} {content.text}"
        return line + doubts
    return f"{at}  {'refused':>12}      {content.text}  ({content.reason})"


def _count(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of frames; write 1 or more")
    return int(text)


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 0.05 <= seconds <= 3600:
        raise argparse.ArgumentTypeError(f"{text!r}: write seconds from 0.05 to 3600")
    return seconds


def _step(text: str) -> Decimal:
    try:
        step = Decimal(text)
    except InvalidOperation:
        step = Decimal(-1)
    if not step.is_finite() or step < 0:
        raise argparse.ArgumentTypeError(f"{text!r}: write a length such as 0.001")
    return step
