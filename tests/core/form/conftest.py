"""The reference sets: points with values of an independent 60-digit solver, and published ones."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from seatproof.core.form.circle import points_from_radii

DATA = Path(__file__).parent / "data"


class ReferenceSet:
    """One file of the collection."""

    def __init__(self, path: Path) -> None:
        whole: dict[str, Any] = json.loads(path.read_text())
        self.name = path.stem
        self.kind = whole["kind"]
        self.reference = whole["reference"]
        self.tolerance = whole["tolerance"]
        self.published = whole["published"]
        if "points" in whole:
            self.points = np.array(whole["points"])
        else:
            self.points = points_from_radii(whole["theta_deg"], whole["radius"])


ALL = [ReferenceSet(path) for path in sorted(DATA.glob("*.json"))]


CHOICES = {
    "circle_set": lambda one: one.kind == "circle",
    "firm_circle_set": lambda one: (
        one.kind == "circle" and bool((one.reference["mzc"] or {}).get("growth"))
    ),
    "cylinder_set": lambda one: one.kind == "cylinder",
    "line_set": lambda one: one.kind == "line",
}


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test that asks for a kind of set once for each of them."""
    for fixture, is_chosen in CHOICES.items():
        if fixture in metafunc.fixturenames:
            chosen = [one for one in ALL if is_chosen(one)]
            metafunc.parametrize(fixture, chosen, ids=[one.name for one in chosen])


@pytest.fixture(scope="session")
def reference_sets() -> dict[str, ReferenceSet]:
    """All sets by name."""
    return {one.name: one for one in ALL}
