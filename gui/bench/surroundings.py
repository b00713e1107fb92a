"""What of the archive the bench asks for beside the inspection; without Qt."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from seatproof.core.equipment.item import Item
from seatproof.core.record.errors import CommandRefusedError
from seatproof.gui.shared.saying import say

if TYPE_CHECKING:  # keys are loaded when somebody signs
    from seatproof.core.people.register import PeopleRegister


def _no_people() -> "PeopleRegister":
    raise CommandRefusedError(say("There is no register of people here; sign in the review."))


def _no_photo(sha256: str) -> bytes:
    raise KeyError(sha256)


def _no_room_for_photos(content: bytes) -> str:
    del content
    raise CommandRefusedError(say("There is no archive here that could keep a photo."))


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What surrounds an inspection at the bench.

    Attributes
    ----------
    equipment : callable
        Returns what the register of equipment has in use.
    people : callable
        Opens the register of people.
    photo_source : callable
        Returns the bytes of a photo by their hash.
    keep_photo : callable
        Keeps the bytes of a photo; returns their hash.
    trouble_ahead : callable
        Says why the next press might not be stored; empty where nothing speaks against it.
    """

    equipment: Callable[[], tuple[Item, ...]] = tuple
    people: "Callable[[], PeopleRegister]" = _no_people
    photo_source: Callable[[str], bytes] = _no_photo
    keep_photo: Callable[[bytes], str] = _no_room_for_photos
    trouble_ahead: Callable[[], str] = str
