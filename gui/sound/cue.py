"""What can be heard at the bench, without Qt: one cue for each thing that hands must know."""

from enum import StrEnum

from seatproof.gui.shared.saying import say, wording


class Cue(StrEnum):
    """The value names its sound's file."""

    INSIDE = "logged_inside"
    OUTSIDE = "logged_outside"
    PARKED = "parked"
    GAUGE_LOST = "gauge_lost"
    SEAT_FINISHED = "seat_finished"

    @property
    def words(self) -> str:
        """What it means, in the language of the window."""
        return say(_WORDS[self])

    @property
    def strokes(self) -> int:
        """How often the system's bell is struck for it, where nothing else can sound."""
        return tuple(Cue).index(self) + 1


_WORDS = {
    Cue.INSIDE: wording("logged, inside the limits"),
    Cue.OUTSIDE: wording("logged, outside the limits"),
    Cue.PARKED: wording("parked, or not understood"),
    Cue.GAUGE_LOST: wording("gauge lost"),
    Cue.SEAT_FINISHED: wording("seat finished"),
}
