"""Sealed inspections, made through the same calls as a bench makes them."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from decimal import Decimal
from math import cos, radians
from typing import Any

import pytest

from seatproof.core.cautions import CAUTIONS
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.files import example
from seatproof.core.plan.points import Point
from seatproof.core.record.events import Event
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.compose import compose
from seatproof.core.units import Unit, from_mm
from seatproof.core.version import PROGRAM

STATEMENT = "I measured this shaft as the plan says and as the record shows."
START = datetime(2024, 5, 17, 8, 30, tzinfo=timezone(timedelta(hours=2)))


class MemoryStore:
    """A store that keeps events for as long as a test lasts."""

    def __init__(self) -> None:
        self.kept: list[Event] = []

    def append(self, event: Event) -> None:
        self.kept.append(event)

    def events(self, inspection: str) -> tuple[Event, ...]:
        return tuple(event for event in self.kept if event.inspection == inspection)


@dataclass
class Bench:
    """An inspection on a memory store, with a clock that moves four seconds an event."""

    plan_toml: str
    actor: str = "Łukasz Øst"
    identification: Identification = field(
        default_factory=lambda: Identification(
            sheet_number="KF-2024-017",
            asset="Drying-kiln fan 3",
            shaft_serial="LB-1187",
            work_order="WO 40512",
        )
    )
    simulated: bool = False
    temperatures: tuple[Decimal, Decimal] | None = (Decimal("22.0"), Decimal("21.0"))

    def __post_init__(self) -> None:
        self.store = MemoryStore()
        self._now = START
        self._arrival = 0
        self.inspection = Inspection.create(
            self.store,
            plan_toml=self.plan_toml,
            identification=self.identification,
            actor=self.actor,
            clock=self._clock,
        )
        self.inspection.acknowledge_cautions(CAUTIONS)
        self.unit = self.state.plan.unit
        self.inspection.put_in_service(
            GaugeInService(
                inventory_number="M-014",
                description="digital micrometer 100–125 mm",
                serial_number="88-4021",
                unit="mm" if self.unit is Unit.MM else "in",
                resolution="0.001" if self.unit is Unit.MM else "0.00005",
                source="/dev/ttyUSB0",
                format="number with unit",
                calibration_due="2024-11-30",
                certificate="K-2023-881",
                simulated=self.simulated,
            )
        )
        if self.temperatures is not None:
            self.inspection.note_temperatures(*self.temperatures)

    def _clock(self) -> datetime:
        self._now += timedelta(seconds=4)
        return self._now

    @property
    def state(self) -> InspectionState:
        return self.inspection.state

    def press(self, size_mm: Decimal) -> None:
        """Send a size as a gauge with a step of 0.001 mm or 0.00005 in would show it."""
        step = Decimal("0.001") if self.unit is Unit.MM else Decimal("0.00005")
        value = (from_mm(size_mm, self.unit) / step).quantize(Decimal(1)) * step
        self._arrival += 1
        self.inspection.take(
            Press(
                value=value,
                unit=None,
                text=str(value),
                raw=f"{value}\r\n".encode(),
                format="number with unit",
                arrival=self._arrival,
            )
        )

    def measure(self, size_of: Callable[[Point], Decimal]) -> None:
        """Press at every open point, in the order of the walk, until none is open."""
        points = {point.key: point for point in self.state.plan.points()}
        while (key := self.state.cursor) is not None:
            self.press(size_of(points[key]))

    def seal(self, statement: str = STATEMENT) -> InspectionState:
        content = compose(self.state, evaluate(self.state), PROGRAM)
        self.inspection.seal(content.model_dump(mode="json"), statement)
        return self.state


def good_shaft(bench: Bench) -> Callable[[Point], Decimal]:
    """Return a slightly oval, slightly tapered form in the middle of the limits of size."""

    def size(point: Point) -> Decimal:
        seat = bench.state.plan.seat(point.seat_id)
        lower, upper = seat.limits_mm
        turn = 0.0012 * cos(2 * radians(point.angle_deg - 25.0))
        along = 0.002 * (point.z_mm - float(seat.from_mm)) / float(seat.length_mm)
        return (lower + upper) / 2 + Decimal(round(turn + along, 5))

    return size


@pytest.fixture(scope="session")
def kiln_fan_toml() -> str:
    return example("kiln_fan.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def screw_pump_toml() -> str:
    return example("screw_pump.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def open_bench() -> Callable[..., Bench]:
    """Return what opens an inspection: `open_bench(plan_toml, ...)`."""
    return Bench


@pytest.fixture(scope="session")
def seal_good() -> Callable[..., InspectionState]:
    """Return what measures and seals a good shaft: `seal_good(plan_toml, ...)`."""

    def sealed(plan_toml: str, **options: Any) -> InspectionState:
        bench = Bench(plan_toml, **options)
        bench.measure(good_shaft(bench))
        return bench.seal()

    return sealed


@pytest.fixture(scope="session")
def kiln_fan(seal_good: Callable[..., InspectionState], kiln_fan_toml: str) -> InspectionState:
    return seal_good(kiln_fan_toml)


@pytest.fixture(scope="session")
def screw_pump(seal_good: Callable[..., InspectionState], screw_pump_toml: str) -> InspectionState:
    return seal_good(screw_pump_toml)
