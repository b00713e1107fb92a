"""Working out a gauge's format, question by question; without Qt.

A thread of its own takes presses from the line, from silence to silence. A person says what the
display showed; what follows is proved on all presses before it is offered.
"""

import re
import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, auto
from typing import Final

from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.derive.collect import NeverQuietError, collect_press
from seatproof.devices.derive.line_search import LineSearch
from seatproof.devices.derive.press import KnownPress, parse_shown
from seatproof.devices.derive.show import show_frame
from seatproof.devices.derive.work_out import WorkedOut, work_out
from seatproof.devices.errors import DeviceError
from seatproof.devices.formats import as_text
from seatproof.devices.transport import LineSettings, Transport, open_transport
from seatproof.gui.shared.saying import again, say

_LOOK_S: Final = 0.3
MOST_PRESSES: Final = 8
# A line of a shown frame that underlines bytes and says what they mean.
_CAPTION: Final = re.compile(r"( *\^+ +)(\S.*)")
Open = Callable[[str, LineSettings], Transport]


class Step(Enum):
    """What the person is asked for now."""

    PRESS = auto()
    SHOWN = auto()
    DONE = auto()
    STOPPED = auto()


@dataclass(frozen=True, slots=True)
class Heard:
    """The bytes of one press, or why the line gave none."""

    raw: bytes = b""
    trouble: str = ""


class PressCollector:
    """Takes presses from a line in a thread; they are fetched with `poll`."""

    def __init__(
        self, source: str, settings: LineSettings, open_line: Open = open_transport
    ) -> None:
        self._source = source
        self._settings = settings
        self._open = open_line
        self._stopping = threading.Event()
        self._heard: deque[Heard] = deque(maxlen=100)
        self._thread = threading.Thread(target=self._run, name=f"presses {source}", daemon=True)
        self._thread.start()

    def poll(self) -> Heard | None:
        """Return the oldest press that was not fetched yet."""
        return self._heard.popleft() if self._heard else None

    def stop(self, timeout_s: float = 2.0) -> None:
        """End listening."""
        self._stopping.set()
        self._thread.join(timeout_s)

    def _run(self) -> None:
        try:
            line = self._open(self._source, self._settings)
        except DeviceError as error:
            self._heard.append(Heard(trouble=str(error)))
            return
        try:
            while not self._stopping.is_set():
                raw = collect_press(line, timeout_s=_LOOK_S)
                if raw:
                    self._heard.append(Heard(raw))
        except (DeviceError, NeverQuietError) as error:
            self._heard.append(Heard(trouble=str(error)))
        finally:
            line.close()


class WorkingOut:
    """The conversation; whoever shows it calls `poll` now and then.

    Parameters
    ----------
    source : str
        Of the gauge's line.
    settings : LineSettings or None
        Of the line; None to find them first, press by press.
    name : str
        Of the format.
    open_line : callable
        As `open_transport`.
    """

    def __init__(
        self,
        source: str,
        settings: LineSettings | None,
        name: str,
        open_line: Open = open_transport,
    ) -> None:
        self._source = source
        self._name = name
        self._open = open_line
        self._search = LineSearch() if settings is None else None
        self._presses: list[KnownPress] = []
        self.settings = settings or LineSettings()
        self.step = Step.PRESS
        self.raw = b""
        self.found: WorkedOut | None = None
        self.trouble = ""
        self._collector = self._listen()

    @property
    def presses(self) -> tuple[KnownPress, ...]:
        return tuple(self._presses)

    @property
    def form(self) -> GaugeFormat | None:
        """The format as far as it is known, with the line's settings."""
        if self.found is None or self.found.format is None:
            return None
        return self.found.format.model_copy(update={"line": self.settings})

    @property
    def wish(self) -> str:
        """What the person is to do now."""
        if self.step is Step.DONE:
            return say(
                "All {count} presses are read as their displays showed.",
                count=str(len(self._presses)),
            )
        if self.step is Step.STOPPED:
            return again(self.trouble)
        if self.step is Step.SHOWN:
            sent = say(
                "It sent {count} bytes: {sent}", count=str(len(self.raw)), sent=as_text(self.raw)
            )
            return f"{sent}\n{say('What did its display show?')}"
        if self._search is not None and self._search.trying is not None:
            return say(
                "Looking for the line's speed: press the gauge's button. Trying {speed} now.",
                speed=str(self._search.trying.speed),
            )
        if not self._presses:
            return say("Show a large value on the gauge, and press its button.")
        if len(self._presses) == 1:
            return say(
                "Now show a negative value, if the gauge has any, or another one, and press."
            )
        if self.found is not None and self.found.questions:
            return say("Not settled yet: {what}.", what=again(self.found.questions[0]))
        return say("Another press: show another value, such as one near zero.")

    def poll(self) -> bool:
        """Take what came; return whether something changed."""
        heard = self._collector.poll()
        if heard is None or self.step is not Step.PRESS:
            return False
        if heard.trouble:
            self._end(heard.trouble)
        elif self._search is not None and self._search.trying is not None:
            self._hear(heard.raw)
        else:
            self.raw, self.step, self.trouble = heard.raw, Step.SHOWN, ""
        return True

    def shown(self, text: str) -> None:
        """Take what the display showed; `trouble` says where that cannot be used."""
        if self.step is not Step.SHOWN:
            return
        try:
            self._presses.append(KnownPress(self.raw, parse_shown(text)))
        except ValueError as error:
            self.trouble = str(error)
            return
        self.step, self.trouble = Step.PRESS, ""
        if len(self._presses) < 2:
            return
        self.found = work_out(self._presses, name=self._name)
        if self.found.is_settled:
            self.step = Step.DONE
            self._collector.stop()
        elif self.found.format is None:
            self.trouble = self.found.trouble
            if len(self._presses) >= MOST_PRESSES:
                self._end(self.found.trouble)

    def not_this_one(self) -> None:
        """Forget the press whose display nobody read."""
        if self.step is Step.SHOWN:
            self.step = Step.PRESS

    def explained(self) -> str:
        """Show byte by byte how the format reads the presses; empty while there is none."""
        form = self.form
        if form is None:
            return ""
        blocks = [_form_words(form)]
        for press in self._presses:
            framer = form.framer(trust_first=True)
            frames = framer.feed(press.raw) + framer.silence()
            shown = "\n".join(_captioned(show_frame(form, frame)) for frame in frames)
            head = say("The press that showed {value}:", value=str(press.shown.value))
            blocks.append(f"{head}\n{shown}")
        return "\n\n".join(blocks)

    def stop(self) -> None:
        """End listening, whatever is open."""
        self._collector.stop()

    def _listen(self) -> PressCollector:
        trying = self._search.trying if self._search is not None else None
        return PressCollector(self._source, trying or self.settings, self._open)

    def _hear(self, raw: bytes) -> None:
        assert self._search is not None
        before = self._search.trying
        self._search.hear(raw)
        if self._search.found is not None:
            self.settings = self._search.found
        elif self._search.trying is None:
            self._end(say("No speed gave text; take the settings from the gauge's manual."))
            return
        if self._search.trying != before:
            self._collector.stop()
            self._collector = self._listen()

    def _end(self, trouble: str) -> None:
        self.trouble, self.step = trouble, Step.STOPPED
        self._collector.stop()


def _form_words(form: GaugeFormat) -> str:
    """Say how a format reads: where frames end, and what stands in them, clause by clause."""
    layout = "; ".join(again(clause) for clause in form.layout.in_words())
    sentences = [_sentence(again(form.framing.in_words())), _sentence(layout)]
    if form.unit is not None:
        sentences.append(say("The unit is {sign} by the gauge's record.", sign=form.unit.sign))
    return " ".join(sentences)


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _captioned(frame: str) -> str:
    """Say the meanings beside a shown frame's bytes in the window's language."""
    lines = []
    for line in frame.split("\n"):
        caption = _CAPTION.fullmatch(line)
        lines.append(line if caption is None else f"{caption[1]}{again(caption[2])}")
    return "\n".join(lines)
