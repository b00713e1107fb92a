"""The program's name and version, as they stand in a record."""

from importlib.metadata import PackageNotFoundError, version
from typing import Final


def _installed_version() -> str:
    try:
        return version("seatproof")
    except PackageNotFoundError:
        return "0+unknown"  # run from a folder that was never installed


VERSION: Final = _installed_version()
PROGRAM: Final = f"Seatproof {VERSION}"
