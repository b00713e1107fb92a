"""What the window remembers from one day to the next without being told to; no Qt.

Where it lay, what was in front, who measured and with which gauge. Never the shaft: a serial number
of yesterday must not slip into the record of today.
"""

import logging
import tomllib
from collections.abc import Sequence
from dataclasses import fields
from pathlib import Path
from typing import Annotated, Final, NamedTuple, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from seatproof.gui.setup.model import SetupForm

FILE_NAME: Final = "window.toml"
_LONGEST: Final = 500
_TITLE_BAR: Final = 40  # pixels of it that have to be within reach
_logger = logging.getLogger(__name__)

Text = Annotated[str, Field(max_length=_LONGEST)]


class Rect(NamedTuple):
    """A window or a screen, in pixels of the desktop."""

    x: int
    y: int
    width: int
    height: int


FIRST_SIZE: Final = (1280, 800)


class Remembered(BaseModel):
    """All of it; every field has its usual value.

    Attributes
    ----------
    x, y, width, height : int or None
        The window while it did not fill the screen; nothing before it was closed once.
    maximized : bool
    place : str
        The place that was in front.
    inspector, source, gauge_number, gauge_description, resolution, format_name, certificate, \
calibration_due, take, window_s, asked, every_s : str
        The fields of those names of the page before the bench.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    x: int | None = None
    y: int | None = None
    width: Annotated[int, Field(ge=1)] | None = None
    height: Annotated[int, Field(ge=1)] | None = None
    maximized: bool = False
    place: Text = ""
    inspector: Text = ""
    source: Text = ""
    gauge_number: Text = ""
    gauge_description: Text = ""
    resolution: Text = ""
    format_name: Text = ""
    certificate: Text = ""
    calibration_due: Text = ""
    take: Text = ""
    window_s: Text = ""
    asked: Text = ""
    every_s: Text = ""

    @property
    def rect(self) -> Rect | None:
        if self.x is None or self.y is None or self.width is None or self.height is None:
            return None
        return Rect(self.x, self.y, self.width, self.height)

    def with_form(self, form: SetupForm) -> Self:
        """Remember who measures, and the gauge; a simulated one is chosen anew each time."""
        if form.is_simulated:
            return self.model_copy(update={"inspector": form.inspector[:_LONGEST]})
        return self.model_copy(update={name: getattr(form, name)[:_LONGEST] for name in _of_form()})

    def fill(self, form: SetupForm) -> None:
        """Put what is remembered into the fields that nothing is said of."""
        usual = SetupForm()
        for name in _of_form():
            said = getattr(self, name)
            if said and getattr(form, name) == getattr(usual, name):
                setattr(form, name, said)


def load_remembered(path: Path) -> Remembered:
    """Return what is remembered; nothing where the file cannot be used: no harm is done."""
    try:
        return Remembered.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except FileNotFoundError:
        return Remembered()
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, ValidationError) as error:
        _logger.warning("what the window remembered in %s cannot be used: %s", path, error)
        return Remembered()


def save_remembered(remembered: Remembered, path: Path) -> None:
    """Write it; where that is not possible the window begins as usual the next time."""
    import tomlkit  # slow to load, and not wanted before the window closes

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        document = tomlkit.dumps(remembered.model_dump(exclude_none=True))
        path.write_text(document, encoding="utf-8", newline="\n")
    except OSError as error:
        _logger.warning("what the window remembers cannot be kept in %s: %s", path, error)


def within_reach(wanted: Rect, screens: Sequence[Rect]) -> Rect:
    """Return where the window goes: as wanted, or moved onto a screen that is there.

    A window is within reach where its upper edge, by which it is moved, lies on a screen with a
    good part of its width. It is never larger than its screen. The first screen is the main one.
    """
    if not screens:
        return wanted
    home = max(screens, key=lambda screen: _shared_width(wanted, screen))
    if _shared_width(wanted, home) < min(wanted.width, home.width) // 3:
        home = screens[0]
        wanted = wanted._replace(
            x=home.x + (home.width - wanted.width) // 2,
            y=home.y + (home.height - wanted.height) // 2,
        )
    width, height = min(wanted.width, home.width), min(wanted.height, home.height)
    return Rect(
        min(max(wanted.x, home.x), home.x + home.width - width),
        min(max(wanted.y, home.y), home.y + home.height - height),
        width,
        height,
    )


def _shared_width(window: Rect, screen: Rect) -> int:
    """Return how much of the window's upper edge lies on a screen."""
    if not screen.y <= window.y + _TITLE_BAR // 2 <= screen.y + screen.height:
        return 0
    right = min(window.x + window.width, screen.x + screen.width)
    return max(right - max(window.x, screen.x), 0)


def _of_form() -> tuple[str, ...]:
    """Return the fields of the form that are remembered."""
    return tuple(one.name for one in fields(SetupForm) if one.name in Remembered.model_fields)
