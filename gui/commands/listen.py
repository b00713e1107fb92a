"""``seatproof listen``: print what a gauge sends, frame by frame, with what is made of it."""

import argparse
import json
import queue
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from seatproof.devices.formats import FORMAT_NAMES, Reading
from seatproof.devices.gauge import Arrival, GaugeReader, LineKind, LineState
from seatproof.devices.transport import LineSettings

if TYPE_CHECKING:
    from argparse import _SubParsersAction

# On some systems a wait without a limit cannot be interrupted from the keyboard.
_LOOK_UP_S: Final = 0.5


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "listen",
        help="print what a gauge sends",
        description="Print every frame that a gauge sends: the reading it is, or why it is none. "
        "Ctrl-C ends it.",
    )
    parser.add_argument(
        "source",
        metavar="SOURCE",
        help="a port such as COM10 or /dev/ttyUSB0, socket://HOST:PORT, rfc2217://HOST:PORT, or "
        "file:PATH for a file of bytes as they came",
    )
    parser.add_argument(
        "--format", choices=FORMAT_NAMES, default="auto", help="how a frame is read"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON document a line")
    parser.add_argument("--count", metavar="N", type=_count, help="end after N frames")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print frames until the count, the end of the file or Ctrl-C; return the exit status.

    Raises
    ------
    DeviceError
        The source cannot be opened, or can never be read. A loss later on is told and waited out.
    """
    news: queue.SimpleQueue[Arrival | LineState] = queue.SimpleQueue()
    reader = GaugeReader(
        args.source,
        LineSettings(),
        on_arrival=news.put,
        on_line=news.put,
        format_name=args.format,
    )
    reader.start()
    try:
        for number, arrival in enumerate(_arrivals(news), start=1):
            print(_as_json(arrival) if args.json else _as_text(arrival), flush=True)
            if number == args.count:
                break
    except KeyboardInterrupt:
        return 0  # that is how a person ends it
    finally:
        reader.stop()
    return 0


def _arrivals(news: "queue.SimpleQueue[Arrival | LineState]") -> Iterator[Arrival]:
    """Yield what arrives until the source ends; tell the rest on standard error."""
    was_connected = False
    while True:
        try:
            item = news.get(timeout=_LOOK_UP_S)
        except queue.Empty:
            continue
        if isinstance(item, Arrival):
            yield item
            continue
        if item.error is not None and (item.kind is LineKind.FAILED or not was_connected):
            raise item.error
        if item.kind in (LineKind.ENDED, LineKind.CLOSED):
            return
        if item.kind is LineKind.CONNECTED:
            was_connected = True
        if item.kind is not LineKind.CONNECTING:
            print(item.sentence, file=sys.stderr, flush=True)


def _as_json(arrival: Arrival) -> str:
    content = arrival.content
    document: dict[str, str | None] = {"kind": "refused"}
    if isinstance(content, Reading):
        document = {
            "kind": "reading",
            "value": str(content.value),
            "unit": None if content.unit is None else content.unit.value,
            "channel": content.channel,
        }
    else:
        document["reason"] = content.reason
    document |= {
        "text": content.text,
        "hex": content.raw.hex(" "),
        "t": arrival.utc.isoformat(timespec="milliseconds"),
    }
    return json.dumps(document)


def _as_text(arrival: Arrival) -> str:
    content = arrival.content
    at = f"{arrival.utc.astimezone():%H:%M:%S}"
    if isinstance(content, Reading):
        unit = "" if content.unit is None else content.unit.sign
        return f"{at}  {content.value!s:>12} {unit:<4} {content.channel or '':<4} {content.text}"
    return f"{at}  {'refused':>12}      {content.text}  ({content.reason})"


def _count(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of frames; write 1 or more")
    return int(text)
