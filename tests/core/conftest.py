"""A small plan, and an inspection of it, made through the same calls as the program makes them."""

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import pytest

from seatproof.core.files import example
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.record.events import Event
from seatproof.core.record.inspection import EventStore, Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import InspectionState, LoggedReading, ParkedPress
from seatproof.core.units import Unit

START = datetime(2024, 5, 17, 8, 30, tzinfo=timezone(timedelta(hours=2)))

PLAN = """
format = 1
walk = "{walk}"

[plan]
title = "Trial shaft"
version = "1"
unit = "{unit}"

[shaft]
name = "Shaft"
datum_face = "left end face"
angular_datum = "punch mark"
expansion_per_kelvin = {shaft_expansion}

[[shaft.section]]
length = {shaft_length}
diameter = {nominal}

[[seat]]
id = "A"
name = "First seat"
from = {seat_from}
length = {length}
nominal = {nominal}
{limits}
judged = "{judged}"
stations = {stations}
orientations = {orientations}
repeats = {repeats}
{more}

[uncertainty]
expanded = {expanded}
repeatability = {repeatability}
basis = "made up for a test"

[decision]
rule = "{rule}"
probability = {probability}
"""

PLAN_DEFAULTS: Mapping[str, object] = {
    "walk": "station by station",
    "unit": "mm",
    "shaft_expansion": "11.5e-6",
    "shaft_length": 60,
    "nominal": 100,
    "seat_from": 0,
    "length": 60,
    "limits": 'tolerance_class = "h6"',
    "judged": "local sizes",
    "stations": [10, 30, 50],
    "orientations": [0, 90],
    "repeats": 1,
    "more": "",
    "expanded": 0.002,
    "repeatability": 0.0005,
    "rule": "guard band",
    "probability": 0.95,
}


class MemoryStore:
    """A store that keeps events for as long as a test lasts."""

    def __init__(self) -> None:
        self.kept: list[Event] = []

    def append(self, event: Event) -> None:
        self.kept.append(event)

    def events(self, inspection: str) -> tuple[Event, ...]:
        return tuple(event for event in self.kept if event.inspection == inspection)


class Bench:
    """An inspection with a gauge in service, a clock that moves, and a hand that presses."""

    def __init__(
        self,
        plan_toml: str,
        store: EventStore | None = None,
        *,
        gauge: Mapping[str, Any] | None = None,
    ) -> None:
        self.store = MemoryStore() if store is None else store
        self._now = START
        self._arrival = 0
        self.inspection = Inspection.create(
            self.store,
            plan_toml=plan_toml,
            identification=Identification(sheet_number="T-1"),
            actor="Åsa Test",
            clock=self.clock,
        )
        self.inspection.acknowledge_cautions(("Isolate and lock the machine.",))
        described = {
            "inventory_number": "M-1",
            "unit": "mm" if self.state.plan.unit is Unit.MM else "in",
            "resolution": "0.001",
            "source": "test",
            "format": "number",
        }
        self.inspection.put_in_service(GaugeInService(**(described | dict(gauge or {}))))

    def clock(self) -> datetime:
        self._now += timedelta(seconds=1, microseconds=1)
        return self._now

    @property
    def state(self) -> InspectionState:
        return self.inspection.state

    def press(
        self, value: str | Decimal, *, unit: Unit | None = None, doubts: tuple[str, ...] = ()
    ) -> LoggedReading | ParkedPress:
        self._arrival += 1
        return self.inspection.take(
            Press(
                value=Decimal(value),
                unit=unit,
                text=f"{value}",
                raw=f"{value}\r\n".encode(),
                format="number",
                arrival=self._arrival,
                doubts=doubts,
            )
        )

    def fill(self, size_of: Callable[[Point], str | Decimal]) -> None:
        """Press at every open point, in the order of the walk."""
        points = {point.key: point for point in self.state.plan.points()}
        while (key := self.state.cursor) is not None:
            self.press(size_of(points[key]))

    def resume(self) -> Inspection:
        """Return the inspection as another start of the program finds it."""
        return Inspection.resume(
            self.store, self.state.inspection, actor="Åsa Test", clock=self.clock
        )


def key(station: int, orientation: int, seat: str = "A") -> PointKey:
    return PointKey(seat, station, orientation)


@pytest.fixture(scope="session")
def kiln_fan_toml() -> str:
    return example("kiln_fan.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def screw_pump_toml() -> str:
    return example("screw_pump.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def plan_of() -> Callable[..., str]:
    """Return what writes a small plan: `plan_of(repeats=2, ...)`."""

    def written(**changes: object) -> str:
        unknown = changes.keys() - PLAN_DEFAULTS.keys()
        assert not unknown, f"the small plan has no {unknown}"
        return PLAN.format(**{**PLAN_DEFAULTS, **changes})

    return written


@pytest.fixture(scope="session")
def bench_of(plan_of: Callable[..., str]) -> Callable[..., Bench]:
    """Return what opens an inspection of the small plan: `bench_of(repeats=2, ...)`."""

    def opened(
        store: EventStore | None = None,
        gauge: Mapping[str, Any] | None = None,
        toml: str | None = None,
        **changes: object,
    ) -> Bench:
        return Bench(plan_of(**changes) if toml is None else toml, store, gauge=gauge)

    return opened


@pytest.fixture(scope="session")
def at() -> Callable[..., PointKey]:
    """Return what names a point: `at(station, orientation, seat="A")`."""
    return key
