"""Sealed inspections, made through the same calls as a bench makes them."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from decimal import Decimal
from hashlib import sha256
from io import BytesIO
from math import cos, radians
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from PIL import Image

from seatproof.core.cautions import CAUTIONS
from seatproof.core.evaluation.evaluate import evaluate, evaluate_fully
from seatproof.core.files import example
from seatproof.core.people.kinds import Role
from seatproof.core.people.signer import Signer
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.record.commands.pressing import received_from
from seatproof.core.record.events import Event
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import (
    GaugeInService,
    Identification,
    PhotoAdded,
    ReferenceCheck,
    StandardInService,
)
from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.compose import compose
from seatproof.core.units import Unit, from_mm
from seatproof.core.version import PROGRAM
from seatproof.core.words import Language

STATEMENT = "I measured this shaft as the plan says and as the record shows."
START = datetime(2024, 5, 17, 8, 30, tzinfo=timezone(timedelta(hours=2)))


class MemoryStore:
    """A store that keeps events for as long as a test lasts."""

    def __init__(self) -> None:
        self.kept: list[Event] = []

    def append(self, event: Event) -> None:
        self.kept.append(event)

    def append_all(self, events: Iterable[Event]) -> None:
        self.kept.extend(events)

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
        self.inspection.put_in_service(self.in_service())
        if self.temperatures is not None:
            self.inspection.note_temperatures(*self.temperatures)

    def _clock(self) -> datetime:
        self._now += timedelta(seconds=4)
        return self._now

    @property
    def state(self) -> InspectionState:
        return self.inspection.state

    def in_service(self) -> GaugeInService:
        return GaugeInService(
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

    def press(self, size_mm: Decimal) -> None:
        """Send a size as a gauge with a step of 0.001 mm or 0.00005 in would show it."""
        step = Decimal("0.001") if self.unit is Unit.MM else Decimal("0.00005")
        self.inspection.take(
            self.arrival((from_mm(size_mm, self.unit) / step).quantize(Decimal(1)) * step)
        )

    def arrival(self, value: Decimal) -> Press:
        self._arrival += 1
        return Press(
            value=value,
            unit=None,
            text=str(value),
            raw=f"{value}\r\n".encode(),
            format="number with unit",
            arrival=self._arrival,
        )

    def measure(self, size_of: Callable[[Point], Decimal]) -> None:
        """Press at every open point, in the order of the walk, until none is open."""
        points = {point.key: point for point in self.state.plan.points()}
        while (key := self.state.cursor) is not None:
            self.press(size_of(points[key]))

    def seal(self, statement: str = STATEMENT, language: Language | None = None) -> InspectionState:
        content = compose(self.state, evaluate(self.state), PROGRAM, language=language)
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


BUDGET = """
[uncertainty]
method = "budget"
repeatability = 0.0005
repeatability_readings = 30
alignment = 0.0003
faces = 0.0003
temperature_kelvin = 0.3
trials = 2000
basis = "repeatability study of this gauge"

[checks]
opening = true
closing = true
standard = true
temperatures = true
drift = 0.001

[signing]
signatures = true
"""
CONDITIONS = 'conditions = ["clean and dry", "free of burrs and rust"]\n'


RING = """
[seat.fit]
bore_class = "normal"
ring_outer = 125
clearance_lower = 0.036
clearance_upper = 0.071
source = "maker's drawing of the ring, issue 3"
"""


def demanding(toml: str) -> str:
    """Return the kiln fan's plan with budget, checks, conditions, signatures and a ring."""
    toml = toml.replace('\n[[seat]]\nid = "B"', f'{RING}\n[[seat]]\nid = "B"', 1)
    first, last = toml.index("[uncertainty]"), toml.index("[decision]")
    head = toml.replace("format = 1\n", f"format = 1\n{CONDITIONS}", 1)
    shift = len(head) - len(toml)
    return head[: first + shift] + BUDGET + head[last + shift :]


class FullBench(Bench):
    """An inspection in which everything happened that a sheet has to tell."""

    def __init__(self, toml: str, language: Language = "en") -> None:
        self.photos: dict[str, bytes] = {}
        self.language: Language = language
        super().__init__(demanding(toml), temperatures=(Decimal("23.4"), Decimal("22.9")))
        bench = self.inspection
        bench.put_in_service(
            StandardInService(
                inventory_number="S-100",
                description="setting ring pair, ceramic",
                serial_number="R-771",
                size_mm="100.0004",
                expanded_mm="0.0008",
                calibration_due="2025-03-01",
                certificate="K-2024-112",
            )
        )
        for seat in ("A", "B"):
            bench.answer_condition(seat, "clean and dry", "met")
        bench.answer_condition("A", "free of burrs and rust", "met")
        bench.answer_condition(
            "B", "free of burrs and rust", "not applicable", "ground again this morning"
        )
        self.check("opening", "start", "100.0006")
        bench.add_note("Old track of the ring seen from 165 to 190 mm.", seat="A")
        self.photograph("The seat before cleaning")
        bench.note_deviation("orientation 0° taken at 5°", "the keyway is in the way")

    def in_service(self) -> GaugeInService:
        return (
            super()
            .in_service()
            .model_copy(
                update={
                    "permissible_error_mm": "0.004",
                    "range_from_mm": "100",
                    "range_to_mm": "125",
                    "evidence": "setting standard",
                }
            )
        )

    def check(self, phase: Any, occasion: Any, value: str) -> None:
        press = self.arrival(Decimal(value))
        gauge = self.state.gauge
        assert gauge is not None
        self.inspection.check_reference(
            ReferenceCheck(
                phase=phase,
                occasion=occasion,
                gauge=gauge.inventory_number,
                standard="S-100",
                expected_mm="100.0004",
                received=(received_from(press, gauge),),
            )
        )

    def photograph(self, caption: str) -> None:
        data = photo_png()
        digest = sha256(data).hexdigest()
        self.photos[digest] = data
        self.inspection.add_photo(
            PhotoAdded(
                sha256=digest, media_type="image/png", n_bytes=len(data), caption=caption, seat="A"
            )
        )

    def carry_out(self) -> InspectionState:
        """Measure, with this and that going wrong, then seal, sign, review and dispose."""
        bench = self.inspection
        size = good_shaft(self)
        points = {point.key: point for point in self.state.plan.points()}
        self.press(size(points[self.state.cursor]))  # type: ignore[index]  # a point is open
        bench.take_back("micrometer was not held square")
        self.press(Decimal("55"))
        bench.discard_parked(self.state.last.seq, "gauge not closed on the shaft")
        bench.skip("a burr at the keyway; <not> dressed & left", PointKey("A", 5, 6))
        self.measure(size)
        self.inspection.call_attention("knock", "M-014", "slipped off the bench")
        self.check("between", "knock", "100.0009")
        self.check("closing", "end", "100.0008")
        evaluation = evaluate_fully(self.state)
        content = compose(
            self.state,
            evaluation,
            PROGRAM,
            language=self.language,
            photo_source=self.photos.__getitem__,
        )
        reasons = {gap.what: "the coupling cannot be drawn today" for gap in bench.gaps()}
        seal = bench.seal(content.model_dump(mode="json"), STATEMENT, reasons)
        self.sign(seal, "measured by", ("inspector",))
        bench.actor = "Ines Prüferin"
        asked = bench.ask("Was the burr dressed in the end?")
        bench.actor = self.actor
        bench.answer(asked.seq, "No, it lies outside the ring.")
        bench.actor = "Ines Prüferin"
        review = bench.review("accepted", "Burr seen, outside the seat.")
        self.sign(review, "reviewed and accepted by", ("quality lead",))
        bench.dispose(
            "concession",
            "one point behind the keyway may stay unmeasured",
            authority="Dr. O. Bauer, machine owner",
            number="C-24-31",
        )
        return self.state

    def sign(self, event: Event, meaning: str, roles: tuple[Role, ...]) -> None:
        person = sum(self.inspection.actor.encode()) % 200  # each has a number and a key
        key = Ed25519PrivateKey.from_private_bytes(bytes(range(person, person + 32)))
        signer = Signer(f"p-{person}", self.inspection.actor, roles, key)
        self.inspection.sign(
            signer.sign(
                inspection=event.inspection,
                of_seq=event.seq,
                of_hash=event.hash,
                meaning=meaning,
                moment=self._clock(),
            )
        )


def photo_png() -> bytes:
    """Return a picture with a transparent corner, larger than it is printed."""
    picture = Image.new("RGBA", (1600, 900), (90, 110, 130, 255))
    picture.paste((200, 180, 60, 255), (200, 200, 700, 700))
    picture.paste((0, 0, 0, 0), (1200, 0, 1600, 400))
    out = BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


@pytest.fixture(scope="session")
def good_form() -> Callable[[Bench], Callable[[Point], Decimal]]:
    """Return `good_shaft`, which gives sizes for every point of a bench's plan."""
    return good_shaft


@pytest.fixture(scope="session")
def full(kiln_fan_toml: str) -> InspectionState:
    """Return an inspection in which everything happened that a sheet has to tell."""
    return FullBench(kiln_fan_toml).carry_out()


@pytest.fixture(scope="session")
def full_german(kiln_fan_toml: str) -> InspectionState:
    """Return the same, sealed in German."""
    return FullBench(kiln_fan_toml, "de").carry_out()


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
