"""Notices a connected line that behaves as if something were wrong; reads no clock itself."""

from typing import Final

from seatproof.devices.line_state import Symptom

# Nobody sets a gauge on its first point within less; whoever waits longer wonders.
SILENCE_S: Final = 20.0

# A streaming gauge sends some 20 frames of 16 bytes a second and they are readings; so many bytes
# in so short a time without one reading are a wrong speed, or no gauge at all.
FLOOD_BYTES: Final = 600
FLOOD_S: Final = 2.0

_SILENCE: Final = (
    "Nothing has come from {source} for {seconds:.0f} s. Press the gauge's button. If nothing "
    "comes: is the gauge on and its battery good, is its cable in, is it set to send, is the "
    "button held down? Some cables need power from the line: DTR is {dtr} and RTS is {rts}."
)
_FLOOD: Final = (
    "Bytes come from {source} without end and make no frame, as at a wrong speed: check speed, "
    "data bits and parity of the line ({settings}), and whether it is a gauge at all."
)


class LineWatch:
    """Counts bytes and readings of one connection and tells each symptom once.

    Parameters
    ----------
    source, settings : str
        For the sentences.
    dtr, rts : bool
        Levels of the control lines, for the sentences.
    now_s : float
        When the connection began.
    silence_s : float
        How long nothing must come before it is told.
    """

    def __init__(
        self,
        source: str,
        settings: str,
        *,
        dtr: bool,
        rts: bool,
        now_s: float,
        silence_s: float = SILENCE_S,
    ) -> None:
        self._facts = {
            "source": source,
            "settings": settings,
            "seconds": silence_s,
            "dtr": "on" if dtr else "off",
            "rts": "on" if rts else "off",
        }
        self._silence_s = silence_s
        self._began_s = self._flood_began_s = now_s
        self._n_flood_bytes = 0
        self._has_bytes = False
        self._told: set[Symptom] = set()

    def take(self, n_bytes: int, *, has_reading: bool, now_s: float) -> None:
        """Note what came in one piece."""
        self._has_bytes = self._has_bytes or n_bytes > 0
        if has_reading:
            self._told.discard(Symptom.FLOOD)  # it was over, so another one is new
        if has_reading or now_s - self._flood_began_s > FLOOD_S:
            self._flood_began_s, self._n_flood_bytes = now_s, 0
        self._n_flood_bytes += n_bytes

    def symptom(self, now_s: float) -> tuple[Symptom, str] | None:
        """Return a symptom that is new, with its sentence."""
        if self._n_flood_bytes >= FLOOD_BYTES and self._is_new(Symptom.FLOOD):
            return Symptom.FLOOD, _FLOOD.format_map(self._facts)
        is_silent = not self._has_bytes and now_s - self._began_s >= self._silence_s
        if is_silent and self._is_new(Symptom.SILENCE):
            return Symptom.SILENCE, _SILENCE.format_map(self._facts)
        return None

    def _is_new(self, symptom: Symptom) -> bool:
        if symptom in self._told:
            return False
        self._told.add(symptom)
        return True
