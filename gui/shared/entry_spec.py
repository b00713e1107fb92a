"""What a form asks for, field by field; without Qt.

Its words are English; the widgets that show them say them in the language of the window.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto


class EntryKind(Enum):
    """How a field is filled in."""

    LINE = auto()
    LINES = auto()
    CHOICE = auto()
    YES = auto()


@dataclass(frozen=True, slots=True)
class Entry:
    """One field of a form.

    Attributes
    ----------
    key : str
        Its name; dots lead into tables, as in ``roundness.sense``.
    caption : str
        What stands beside it; ``{unit}`` is replaced by the unit of lengths.
    example : str
        Shown in the empty field.
    hint : str
        Shown below it.
    choices : tuple of (str, str)
        Value and words of each choice.
    is_open : bool
        Whether another text than the choices may be typed.
    """

    key: str
    caption: str
    example: str = ""
    hint: str = ""
    kind: EntryKind = EntryKind.LINE
    choices: tuple[tuple[str, str], ...] = ()
    is_open: bool = False


class Tone(Enum):
    """How a remark is meant; the value is its mark."""

    WRONG = "✗"
    MISSING = "○"
    NOTE = "→"


@dataclass(frozen=True, slots=True)
class Remark:
    """What is said beside a field: something wrong, still to come, or good to know."""

    sentence: str
    tone: Tone = Tone.WRONG


def choice(
    key: str,
    caption: str,
    choices: Sequence[str | tuple[str, str]],
    hint: str = "",
    *,
    is_open: bool = False,
) -> Entry:
    """Return a field of choices, whose words are their values unless given."""
    pairs = tuple((item, item) if isinstance(item, str) else item for item in choices)
    return Entry(key, caption, "", hint, EntryKind.CHOICE, pairs, is_open)


def yes(key: str, caption: str, hint: str = "") -> Entry:
    """Return a field that is ticked or not."""
    return Entry(key, caption, "", hint, EntryKind.YES)
