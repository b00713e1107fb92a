"""One gauge's line as it is watched here: every frame, raw and as it is read, and every change."""

import tomllib
from collections import deque
from typing import Any, Final

import tomlkit
from pydantic import ValidationError
from PySide6.QtCore import QObject, QTimer, Signal

from seatproof.core.equipment.item import LineOfGauge
from seatproof.devices.arrival import Arrival
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.known import find_format
from seatproof.devices.errors import FormatError
from seatproof.devices.formats import FrameFormat
from seatproof.devices.gauge import GaugeReader
from seatproof.devices.line_state import LineState
from seatproof.devices.transport import LineSettings, open_transport
from seatproof.devices.typed import TYPED_SETTINGS, TYPED_SOURCE, TypedLine

_EVERY_MS: Final = 40
_MOST_WAITING: Final = 2000  # a wrong speed sends more than anybody can look at


def format_of(line: LineOfGauge) -> FrameFormat:
    """Return the format of a gauge: the one kept with it, or the one of its name.

    Raises
    ------
    FormatError
        There is none of that name, or the one kept is faulty.
    """
    if not line.format_toml:
        return find_format(line.format_name or "auto")
    try:
        return GaugeFormat.model_validate(tomllib.loads(line.format_toml))
    except (tomllib.TOMLDecodeError, ValidationError) as error:
        raise FormatError(
            line.format_name, "the format kept with this gauge is faulty; work it out again."
        ) from error


def format_text(form: GaugeFormat) -> str:
    """Return a format as the register keeps it."""
    document: dict[str, Any] = form.model_dump(mode="json", exclude_none=True)
    return tomlkit.dumps(document)


def settings_of(line: LineOfGauge, form: FrameFormat | None = None) -> LineSettings:
    """Return how a gauge's line is opened; `ValueError` where its settings are no such."""
    declared = form.line if isinstance(form, GaugeFormat) else None
    settings = declared or LineSettings()
    return settings.with_bits(line.settings) if line.settings.strip() else settings


class LineWatch(QObject):
    """Reads one line in a thread of its own and hands over what came, in Qt's thread.

    Signals
    -------
    arrived : Arrival
        A press, or a frame that could not be read.
    sampled : Arrival
        A value of a stream that is no press; only the newest.
    changed : LineState
        A line came up, was lost, or ended.
    """

    arrived = Signal(object)
    sampled = Signal(object)
    changed = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._reader: GaugeReader | None = None
        self._typed: TypedLine | None = None
        self._found: deque[Arrival | LineState] = deque(maxlen=_MOST_WAITING)
        self._sample: deque[Arrival] = deque(maxlen=1)
        self._timer = QTimer(self)
        self._timer.setInterval(_EVERY_MS)
        self._timer.timeout.connect(self._hand_over)

    @property
    def is_open(self) -> bool:
        return self._reader is not None

    @property
    def wants_key(self) -> bool:
        """Whether the gauge gives a value only when it is asked here."""
        return self._reader is not None and self._reader.wants_key

    def open(self, line: LineOfGauge) -> None:
        """Begin to read.

        Raises
        ------
        FormatError
            Its format cannot be used.
        ValueError
            Its settings are not written as they should be.
        """
        self.close()
        form = format_of(line)
        self._typed = TypedLine() if line.source == TYPED_SOURCE else None
        self._reader = GaugeReader(
            line.source,
            settings_of(line, form) if self._typed is None else TYPED_SETTINGS,
            open_line=open_transport if self._typed is None else self._typed.open,
            on_arrival=self._found.append,
            on_line=self._found.append,
            on_sample=self._sample.append,
            frame_format=form,
        )
        self._reader.start()
        self._timer.start()

    @property
    def types(self) -> bool:
        """Whether the gauge types its values; hand them over with `type_in`."""
        return self._typed is not None and self.is_open

    def type_in(self, text: str) -> None:
        """Take a line that the gauge typed."""
        if self._typed is not None:
            self._typed.feed(f"{text}\r")

    def take(self) -> None:
        """Ask the gauge for a value, where it wants that."""
        if self._reader is not None:
            self._reader.take()

    def close(self, timeout_s: float = 1.0) -> None:
        """End reading; what came before is handed over."""
        reader, self._reader = self._reader, None
        if reader is None:
            return
        self._timer.stop()
        reader.stop(timeout_s)
        self._hand_over()

    def _hand_over(self) -> None:
        for _ in range(len(self._found)):
            found = self._found.popleft()
            if isinstance(found, Arrival):
                self.arrived.emit(found)
            else:
                self.changed.emit(found)
        if self._sample:
            self.sampled.emit(self._sample.pop())
