"""What every test starts from."""

import sys
from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True)
def english_again_afterwards() -> Iterator[None]:
    """Let the window speak English again after a test that had it speak another language."""
    yield
    saying = sys.modules.get("seatproof.gui.shared.saying")
    if saying is not None and saying.language() != "en":
        saying.use_language("en")
