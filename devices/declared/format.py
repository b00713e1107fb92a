"""A gauge's format: how its frames are told apart, what stands in them, and what is no value."""

from collections.abc import Iterator, Mapping
from typing import Annotated, Final

from pydantic import Field

from seatproof.core.units import Unit
from seatproof.devices.declared.base import Declared, Octets, Part
from seatproof.devices.declared.bits import BitsLayout
from seatproof.devices.declared.framing import AnyLine, Framing, Marks
from seatproof.devices.declared.packet import PacketLayout
from seatproof.devices.declared.pressing import Pressing
from seatproof.devices.declared.request import Request
from seatproof.devices.declared.text import Found, TextLayout
from seatproof.devices.formats import (
    Reading,
    Refusal,
    as_text,
    why_not_whole,
)
from seatproof.devices.framing import Frame, FrameFault, Framer
from seatproof.devices.reasons import ROW_OF_EIGHTS, is_row_of_eights
from seatproof.devices.symptoms import explain_bytes
from seatproof.devices.transport import LineSettings

Layout = Annotated[TextLayout | PacketLayout | BitsLayout, Field(discriminator="kind")]


class GaugeFormat(Declared):
    """How one gauge sends its values; saved with the gauge.

    Attributes
    ----------
    name : str
        By which it is chosen and recorded.
    description : str
        What it looks like, for a person.
    framing, layout
        How frames are told apart and what stands in them.
    unit : Unit or None
        The unit of every value, from the gauge's record. Never guessed from the digits.
    status : dict of bytes to str
        Frames by which the gauge says that it has no value, with the sentence to show.
    request : Request or None
        What the gauge wants to be sent before it answers.
    line : LineSettings or None
        How its line is to be opened.
    pressing : Pressing
        Which of its values count as presses, and how close together they may come.
    """

    name: Annotated[str, Field(pattern=r"^[^\s/\\.][^/\\\x00-\x1f]{0,79}$")]
    description: str = ""
    framing: Framing = AnyLine()
    layout: Layout
    unit: Unit | None = None
    status: Mapping[Octets, str] = Field(default_factory=dict)
    request: Request | None = None
    line: LineSettings | None = None
    pressing: Pressing = Pressing()

    def with_unit(self, unit: Unit) -> "GaugeFormat":
        """Return the same format for a gauge whose record fixes the unit."""
        return self.model_copy(update={"unit": unit})

    def framer(self, *, trust_first: bool) -> Framer:
        return self.framing.framer(trust_first=trust_first)

    def read(self, frame: Frame) -> Reading | Refusal:
        """Read one frame: a value, or the reason why it is none."""
        text = as_text(frame.data)
        status = self.status.get(frame.data) if frame.whole else None
        if status is not None:
            return Refusal(status, text, frame.raw, status=text)
        found = self._find(frame)
        if isinstance(found, str):
            return Refusal(found, text, frame.raw)
        return Reading(
            value=found.value,
            unit=found.unit or self.unit,
            channel=found.channel,
            text=text,
            raw=frame.raw,
            format=self.name,
            confirmed=found.confirmed,
        )

    def parts(self, frame: Frame) -> tuple[Part, ...]:
        """Return the pieces of a frame's raw bytes with their meanings; what is left ends it."""
        at = max(0, frame.raw.find(frame.data))
        parts = [Part(start=0, stop=at, meaning="start")] if at else []
        for part in self.layout.parts(frame.data):
            moved = {"start": part.start + at, "stop": part.stop + at}
            parts.append(part.model_copy(update=moved))
        stop = at + len(frame.data)
        return (*parts, *self._ending(frame, stop))

    def _ending(self, frame: Frame, stop: int) -> Iterator[Part]:
        framing, last = self.framing, len(frame.raw)
        behind = stop + 1 if isinstance(framing, Marks) and framing.n_behind else last
        check = behind + framing.n_check if isinstance(framing, Marks) else last
        for start, end, meaning in (
            (stop, behind, "end"),
            (behind, check, "check characters"),
            (check, last, "behind the end"),
        ):
            if start < min(end, last):
                yield Part(start=start, stop=min(end, last), meaning=meaning)

    def in_words(self) -> str:
        """Return the whole format as sentences for a person."""
        framing = self.framing.in_words()
        unit = f"The unit is {self.unit.sign} by the gauge's record." if self.unit else ""
        layout = "; ".join(self.layout.in_words())
        return " ".join(
            sentence
            for sentence in (f"{_capital(framing)}.", f"{_capital(layout)}.", unit)
            if sentence
        )

    def _find(self, frame: Frame) -> Found | str:
        not_whole = why_not_whole(frame)
        if not_whole is not None and not self._proves_whole(frame):
            return not_whole
        damage = self.framing.damage(frame)
        if damage is not None:
            return damage
        found = self.layout.find(frame.data)
        if isinstance(found, str):
            is_text = isinstance(self.layout, TextLayout)
            return (explain_bytes(frame.data) if is_text else None) or found
        if is_row_of_eights(found.digits):
            return ROW_OF_EIGHTS
        if found.unit is not None and self.unit not in (None, found.unit):
            return _OTHER_UNIT.format(
                sent=found.unit.sign, known=self.unit.sign if self.unit else ""
            )
        return found

    def _proves_whole(self, frame: Frame) -> bool:
        """Tell whether a frame with an unproved beginning is whole by its length."""
        return (
            frame.fault in (FrameFault.TORN_START, FrameFault.AFTER_BREAK)
            and self.framing.finds_ends
            and self.layout.exact_length == len(frame.data)
        )


_OTHER_UNIT: Final = (
    "The gauge sent {sent}, and its record says {known}: set the gauge back to {known}, or change "
    "its record."
)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
