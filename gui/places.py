"""The five places of the program: where each is, and by which key it is gone to; without Qt.

A place is a package ``gui/NAME`` with a module ``place`` and a class made of a workplace, a theme
and settings. It is imported when it is first gone to.
"""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from typing import Any, Final, Protocol

from seatproof.gui.settings import Settings
from seatproof.gui.shared.theme import Theme


class Place(Protocol):
    """What the window asks of a place; it is a QWidget as well."""

    def activate(self) -> None:
        """Come to the front: read again what may have changed."""

    def restyle(self, theme: Theme, scale: float) -> None:
        """Take on other colours or another size of text."""

    def shut(self) -> None:
        """End timers and threads: the window closes."""

    def holds_keys(self) -> bool:
        """Tell whether a text field wants digits and arrows now."""


def holds_unsaved(place: object) -> bool:
    """Tell whether something is typed in a place that would be lost with it.

    A place in which nothing can be lost need not have the method ``has_unsaved``.
    """
    asks: Callable[[], bool] | None = getattr(place, "has_unsaved", None)
    return asks is not None and asks()


@dataclass(frozen=True, slots=True)
class PlaceName:
    """A place by its word, with the class that makes it; the bench is the window's own."""

    word: str
    class_name: str = ""

    @property
    def module_name(self) -> str:
        return f"seatproof.gui.{self.word}.place"

    @property
    def exists(self) -> bool:
        """Whether it is there; the bench always is."""
        if not self.class_name:
            return True
        try:
            return find_spec(self.module_name) is not None
        except ModuleNotFoundError:  # not even its package
            return False

    def make(self, workplace: object, theme: Theme, settings: Settings) -> Any:
        """Make the place's widget."""
        maker: Callable[..., Any] = getattr(import_module(self.module_name), self.class_name)
        return maker(workplace, theme, settings)


BENCH: Final = PlaceName("bench")
PLACES: Final = (
    BENCH,
    PlaceName("review", "ReviewPlace"),
    PlaceName("records", "RecordsPlace"),
    PlaceName("plans", "PlansPlace"),
    PlaceName("gauges", "GaugesPlace"),
)
