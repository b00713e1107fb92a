"""All formats that can be chosen by name: built in, shipped as data, from plug-ins, from files.

A plug-in is an installed distribution with an entry point in the group ``seatproof.formats``. The
entry point's name is the format's; it loads a `FrameFormat`, or a callable that makes one.
"""

import logging
from collections.abc import Iterator
from functools import cache
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path
from typing import Final

from seatproof.devices.declared.file import SUFFIXES, load_format
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.errors import FormatError
from seatproof.devices.formats import AutoFormat, FrameFormat, Reading, Refusal, as_text
from seatproof.devices.framing import Frame, Framer

_logger = logging.getLogger(__name__)

PLUG_IN_GROUP: Final = "seatproof.formats"
_SHIPPED: Final = Path(__file__).resolve().parents[2] / "resources" / "formats"


def format_names() -> tuple[str, ...]:
    """Return the names that can be chosen, ``auto`` first."""
    return tuple(dict.fromkeys((AutoFormat.name, *sorted(_shipped()), *sorted(_plug_ins()))))


def find_format(name: str) -> FrameFormat:
    """Return the format of a name, or the one in the file of a path that ends in .toml or .json.

    Raises
    ------
    FormatError
        There is none of this name, its file is faulty, or its plug-in does not work.
    """
    if name == AutoFormat.name:
        return AutoFormat()
    shipped = _shipped().get(name)
    if shipped is not None:
        return load_format(shipped)
    plug_in = _plug_ins().get(name)
    if plug_in is not None:
        return _load_plug_in(name, plug_in)
    if Path(name).suffix.lower() in SUFFIXES:
        return load_format(Path(name))
    known = ", ".join(format_names())
    raise FormatError(name, f"no format is called so; there are: {known}; or name a .toml file.")


@cache
def _shipped() -> dict[str, Path]:
    return {path.stem.replace("_", " "): path for path in sorted(_SHIPPED.glob("*.toml"))}


def _plug_ins() -> dict[str, EntryPoint]:
    return {point.name: point for point in _points()}


def _points() -> Iterator[EntryPoint]:
    yield from entry_points(group=PLUG_IN_GROUP)


def _load_plug_in(name: str, point: EntryPoint) -> FrameFormat:
    try:
        loaded = point.load()
        made = loaded() if isinstance(loaded, type) or not hasattr(loaded, "framer") else loaded
        made.framer(trust_first=True)
    except Exception as error:
        raise FormatError(name, f"its plug-in does not work ({error!r}).") from error
    return made if isinstance(made, GaugeFormat) else _PlugIn(made)


class _PlugIn:
    """A format of somebody else's, whose mistakes must not stop the reading of the line."""

    def __init__(self, form: FrameFormat) -> None:
        self._form = form

    @property
    def name(self) -> str:
        return self._form.name

    def framer(self, *, trust_first: bool) -> Framer:
        return self._form.framer(trust_first=trust_first)

    def read(self, frame: Frame) -> Reading | Refusal:
        try:
            return self._form.read(frame)
        except Exception:
            _logger.exception("the plug-in of the format %s failed at %r", self.name, frame)
            return Refusal(
                f'The plug-in of the format "{self.name}" failed at this frame: tell its maker.',
                as_text(frame.data),
                frame.raw,
            )
