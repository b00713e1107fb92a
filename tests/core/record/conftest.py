"""A plan with every rule that the record keeps an eye on, and reference checks on it."""

from collections.abc import Callable, Sequence
from decimal import Decimal

import pytest

from seatproof.core.record.commands.pressing import Press, received_from
from seatproof.core.record.entries import LoggedCheck
from seatproof.core.record.kinds import ReferenceCheck, StandardInService

STRICT_PLAN = """
format = 1
conditions = ["clean", "free of burrs"]

[plan]
title = "Strict trial"
version = "1"
unit = "mm"

[shaft]
name = "Shaft"
datum_face = "left end face"
angular_datum = "punch mark"
expansion_per_kelvin = 11.5e-6

[[shaft.section]]
length = 60
diameter = 100

[[shaft.section]]
length = 60
diameter = 90

[[seat]]
id = "A"
name = "First seat"
from = 0
length = 60
nominal = 100
tolerance_class = "h6"
stations = [10, 30, 50]
orientations = [0, 90]
repeats = {repeats}
repeat_spread = 0.003
plausible = {plausible}

[[seat]]
id = "B"
name = "Second seat"
from = 60
length = 60
nominal = 90
tolerance_class = "h6"
stations = [70]
orientations = [0, 90]

[uncertainty]
expanded = 0.002
repeatability = 0.0005
basis = "made up for a test"

[decision]
rule = "guard band"
probability = 0.95

[checks]
{checks}

[signing]
signatures = {signatures}
same_person_may_review = {same_person}
"""

ALL_CHECKS = """
opening = true
closing = true
standard = true
temperatures = true
drift = 0.002
every_minutes = 30
temperature_change_kelvin = 2
"""


@pytest.fixture(scope="session")
def strict_of() -> Callable[..., str]:
    """Return what writes the strict plan: `strict_of(checks="", repeats=2, ...)`."""

    def written(
        checks: str = ALL_CHECKS,
        repeats: int = 1,
        plausible: float = 0.5,
        *,
        signatures: bool = False,
        same_person: bool = False,
    ) -> str:
        return STRICT_PLAN.format(
            checks=checks,
            repeats=repeats,
            plausible=plausible,
            signatures=str(signatures).lower(),
            same_person=str(same_person).lower(),
        )

    return written


def standard(number: str = "S-1", **more: object) -> StandardInService:
    return StandardInService.model_validate(
        {"inventory_number": number, "size_mm": "100.0002", "expanded_mm": "0.0005", **more}
    )


def check(
    bench,
    shown: Sequence[str],
    phase: str = "opening",
    *,
    on: str = "S-1",
    gauge: str = "M-1",
    expected: str = "100.0002",
    **more: object,
) -> LoggedCheck:
    """Log a reference check whose presses showed these values."""
    in_service = bench.state.gauge_named(gauge)
    received = [
        received_from(
            Press(Decimal(value), None, value, value.encode(), "number", number), in_service
        )
        for number, value in enumerate(shown, start=1)
    ]
    return bench.inspection.check_reference(
        ReferenceCheck.model_validate(
            {
                "phase": phase,
                "occasion": "start",
                "gauge": gauge,
                "standard": on,
                "expected_mm": expected,
                "received": received,
                **more,
            }
        )
    )


@pytest.fixture(scope="session")
def checked() -> Callable[..., LoggedCheck]:
    """Return what makes a reference check: `checked(bench, ["100.000"], "closing")`."""
    return check


@pytest.fixture(scope="session")
def standard_of() -> Callable[..., StandardInService]:
    """Return what describes a setting standard of 100.0002 mm."""
    return standard
