"""Where the product's own files are: the same in a checkout and when installed.

Both layouts keep ``resources`` and ``examples`` beside ``core``.
"""

from pathlib import Path
from typing import Final

_HOME: Final = Path(__file__).resolve().parent.parent


def resource(*parts: str) -> Path:
    """Return the path of a file or folder of the product's data."""
    return _HOME.joinpath("resources", *parts)


def example(*parts: str) -> Path:
    """Return the path of an example that a newcomer can open."""
    return _HOME.joinpath("examples", *parts)
