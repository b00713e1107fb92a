"""What part of a drawing is seen, and how many times enlarged; without Qt.

Lengths are in pixels. A drawing has its own coordinates, those in which it fits its room; the lens
says where they come to lie in the room.
"""

from dataclasses import dataclass, replace
from typing import Final

LARGEST: Final = 16.0  # times; beyond that one point fills the room
_WHOLE: Final = 1.001  # below it, the whole is meant
_HIDDEN_PX: Final = 0.5


@dataclass(frozen=True, slots=True)
class Lens:
    """A view of a drawing of `content` size through a window of `room` size.

    Attributes
    ----------
    room, content : (float, float)
        Width and height; the content's at its usual size.
    factor : float
        How many times larger than usual it is seen, at least 1.
    x, y : float
        How much of the enlarged drawing is hidden at the left and at the top.
    """

    room: tuple[float, float] = (1.0, 1.0)
    content: tuple[float, float] = (1.0, 1.0)
    factor: float = 1.0
    x: float = 0.0
    y: float = 0.0

    @property
    def is_whole(self) -> bool:
        """Whether it is seen at its usual size."""
        return self.factor == 1.0

    @property
    def is_all_seen(self) -> bool:
        """Whether nothing of it is hidden."""
        return max(self.hidden) < _HIDDEN_PX

    @property
    def hidden(self) -> tuple[float, float]:
        """How much of the enlarged drawing has no room, across and down."""
        across, down = (
            max(size * self.factor - room, 0.0)
            for size, room in zip(self.content, self.room, strict=True)
        )
        return across, down

    @property
    def origin(self) -> tuple[float, float]:
        """Where in the room the drawing begins; one that is smaller lies in the middle."""
        starts = []
        for size, room, at in zip(self.content, self.room, (self.x, self.y), strict=True):
            spare = room - size * self.factor
            starts.append(spare / 2 if spare > 0 else -at)
        return starts[0], starts[1]

    def seen(self, x: float, y: float) -> tuple[float, float]:
        """Return where in the room a place of the drawing lies."""
        left, top = self.origin
        return left + self.factor * x, top + self.factor * y

    def back(self, x: float, y: float) -> tuple[float, float]:
        """Return which place of the drawing lies at a place in the room."""
        left, top = self.origin
        return (x - left) / self.factor, (y - top) / self.factor

    def zoomed(self, by: float, at: tuple[float, float] | None = None) -> "Lens":
        """Enlarge `by` so many times; what lies `at` a place in the room stays there."""
        place = at or (self.room[0] / 2, self.room[1] / 2)
        factor = min(self.factor * by, LARGEST)
        if factor < _WHOLE:
            return self.whole()
        held = self.back(*place)
        there = replace(self, factor=factor)
        return there.hiding(factor * held[0] - place[0], factor * held[1] - place[1])

    def moved(self, across: float, down: float) -> "Lens":
        """Move the drawing by so many pixels under the window."""
        return self.hiding(self.x - across, self.y - down)

    def with_seen(self, x: float, y: float, margin: float) -> "Lens":
        """Move a place of the drawing into the room, if it is not within it by a margin."""
        place = self.seen(x, y)
        shift = []
        for at, room in zip(place, self.room, strict=True):
            near = min(margin, room / 2)
            shift.append(max(near - at, 0.0) + min(room - near - at, 0.0))
        return self.moved(*shift)

    def refitted(self, room: tuple[float, float], content: tuple[float, float]) -> "Lens":
        """Return it for another room; what was in the middle stays there."""
        if (room, content) == (self.room, self.content):
            return self
        middle = self.back(self.room[0] / 2, self.room[1] / 2)
        share = [
            place / size if size else 0.5 for place, size in zip(middle, self.content, strict=True)
        ]
        there = replace(self, room=room, content=content)
        x, y = (
            self.factor * part * size - space / 2
            for part, size, space in zip(share, content, room, strict=True)
        )
        return there.hiding(x, y)

    def whole(self) -> "Lens":
        """Return it at the usual size."""
        return replace(self, factor=1.0, x=0.0, y=0.0)

    def hiding(self, x: float, y: float) -> "Lens":
        """Hide so much at the left and at the top, as far as there is so much."""
        across, down = self.hidden
        return replace(self, x=min(max(x, 0.0), across), y=min(max(y, 0.0), down))
