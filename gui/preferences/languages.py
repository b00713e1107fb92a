"""The languages of the window, each by its own name."""

from collections.abc import Mapping
from typing import Final

from seatproof.core.words import Language

LANGUAGE_NAMES: Final[Mapping[Language, str]] = {
    "en": "English",
    "de": "Deutsch",
    "es": "Español",
}
