"""Telling a machine's typing from a person's, without Qt: by its pace alone.

A keyboard interface sends a whole value within some tens of milliseconds and ends it with Enter or
Tab. Nobody types four characters so fast. So every character is held back for a moment: if others
follow at a machine's pace, they go together to the gauge; otherwise they go where they were typed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

# The longest gap between two characters of a machine. Slow interfaces take 10 to 20 ms; the
# fastest typists' fingers follow each other within 50 ms now and then, but not three times.
PACE_S: Final = 0.035

# Fewer characters than this are no value, and may be two fingers at once.
LEAST_CHARACTERS: Final = 4

ENDS: Final = frozenset("\r\n\t")

Key = TypeVar("Key")


@dataclass(frozen=True, slots=True)
class Typed(Generic[Key]):
    """What became of held characters: a machine's line, or keys that a person pressed."""

    line: str = ""
    by_hand: tuple[Key, ...] = ()


class PaceKeeper(Generic[Key]):
    """Holds characters back until their pace has told what they are.

    `Key` is whatever the caller wants back for a character that was typed by hand.
    """

    def __init__(self) -> None:
        self._held: list[tuple[str, Key]] = []
        self._last_s = 0.0

    @property
    def is_holding(self) -> bool:
        return bool(self._held)

    def feed(self, character: str, key: Key, at_s: float, *, is_repeat: bool) -> Typed[Key]:
        """Take one character; return what is settled by it.

        `is_repeat` is set for a key that is held down: a hand does that, at a machine's pace.
        """
        settled: tuple[Key, ...] = ()
        if self._held and (is_repeat or at_s - self._last_s > PACE_S):
            settled = self._let_go()
        if is_repeat or (not self._held and character in ENDS):
            return Typed(by_hand=(*settled, key))
        self._last_s = at_s
        self._held.append((character, key))
        if character not in ENDS:
            return Typed(by_hand=settled)
        if len(self._held) > LEAST_CHARACTERS:
            line = self._text()
            self._held.clear()
            return Typed(line=line, by_hand=settled)
        return Typed(by_hand=(*settled, *self._let_go()))

    def pause(self) -> Typed[Key]:
        """Settle what is held because nothing followed within `PACE_S`.

        A machine's line that has no end is a line all the same: the gauge's format refuses it, and
        it must not land where the cursor is.
        """
        if len(self._held) >= LEAST_CHARACTERS:
            line = self._text()
            self._held.clear()
            return Typed(line=line)
        return Typed(by_hand=self._let_go())

    def _text(self) -> str:
        return "".join(character for character, _ in self._held)

    def _let_go(self) -> tuple[Key, ...]:
        keys: Sequence[Key] = [key for _, key in self._held]
        self._held.clear()
        return tuple(keys)
