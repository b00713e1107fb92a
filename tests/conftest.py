"""What every test starts from, and leaves behind."""

import gc
import sys
from collections.abc import Iterator
from typing import Final

import pytest

_MUCH_GARBAGE: Final = 50_000  # objects made and not gone since it was looked through


@pytest.fixture(autouse=True)
def english_again_afterwards() -> Iterator[None]:
    """Let the window speak English again after a test that had it speak another language."""
    yield
    saying = sys.modules.get("seatproof.gui.shared.saying")
    if saying is not None and saying.language() != "en":
        saying.use_language("en")


@pytest.fixture(autouse=True)
def garbage_between_tests() -> Iterator[None]:
    """Look for garbage between tests, as the program does at turns of its own: never in a thread.

    A window of an earlier test that is found in the middle of a later one may end the process.
    """
    gc.disable()
    yield
    gc.enable()
    if gc.get_count()[0] > _MUCH_GARBAGE:
        gc.collect()
