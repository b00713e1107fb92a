"""How the presses of a gauge are had: by its button, by asking it, or out of its stream; no Qt."""

from dataclasses import dataclass
from typing import Final, Literal

from seatproof.core.record.kinds import GaugeInService
from seatproof.devices.asking import Asking
from seatproof.devices.declared.request import Request
from seatproof.devices.picking import Picker, Take
from seatproof.gui.shared.saying import say, wording

Asked = Literal["", "key", "timer"]

WORDS: Final[dict[Take, str]] = {
    Take.EACH: wording("every value it sends (its own button)"),
    Take.CONFIRMED: wording("values it marks as sent at its button"),
    Take.LAST: wording("the value now, at a key"),
    Take.MAXIMUM: wording("the largest while rocking, from a key on"),
    Take.MINIMUM: wording("the smallest while rocking, from a key on"),
    Take.STABLE: wording("the value at rest, from a key on"),
}
ASKED_WORDS: Final[dict[Asked, str]] = {
    "": wording("not asked: it sends by itself"),
    "key": wording("asked at a key"),
    "timer": wording("asked again and again"),
}


@dataclass(frozen=True, slots=True)
class Taking:
    """Chosen with the gauge, where it is not as the gauge's format says.

    Attributes
    ----------
    take : Take
        Which of the values that come are presses.
    window_s : float
        How long the window of a maximum, minimum or stable value lasts.
    asked : str
        Whether the gauge is sent its format's request, and by what.
    every_s : float
        How often, by a timer.
    """

    take: Take = Take.EACH
    window_s: float = 5.0
    asked: Asked = ""
    every_s: float = 2.0

    def picker(self) -> Picker:
        return Picker(self.take, window_s=self.window_s)

    def asking(self, request: Request | None) -> Asking | None:
        """Return what asks the gauge; None where it is not asked, or has no request."""
        if not self.asked or request is None:
            return None
        return Asking(request, every_s=self.every_s if self.asked == "timer" else None)


def taking_of(gauge: GaugeInService) -> Taking | None:
    """Return how a gauge's presses are had by the record; None for as its format says."""
    if gauge.taking == "each" and not gauge.asked:
        return None
    return Taking(
        take=Take(gauge.taking),
        window_s=float(gauge.window_s),
        asked=gauge.asked,
        every_s=float(gauge.ask_every_s),
    )


def hint(take: Take, window_s: float | None) -> str:
    """Say what to do for a value of a gauge whose own button does not do it."""
    seconds = f"{window_s:g} s" if window_s is not None else say("a moment")
    match take:
        case Take.MAXIMUM:
            return say(
                "Take, then rock the gauge for {seconds}: its largest value counts.",
                seconds=seconds,
            )
        case Take.MINIMUM:
            return say(
                "Take, then rock the gauge for {seconds}: its smallest value counts.",
                seconds=seconds,
            )
        case Take.STABLE:
            return say(
                "Take, then hold still: the value at rest within {seconds} counts.",
                seconds=seconds,
            )
        case _:
            return say("Take the value once the gauge sits right.")
