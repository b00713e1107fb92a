"""Sealed inspections in memory whose plans have fitting steps, and a clock that is set by hand."""

import gc
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from seatproof.core.cautions import CAUTIONS
from seatproof.core.equipment.item import Certificate, Item, ItemKind
from seatproof.core.files import example
from seatproof.core.record.events import Event
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.units import Unit, from_mm
from seatproof.gui.fitting.model import FittingModel
from seatproof.gui.shared.theme import LIGHT, Theme, apply_theme

Make = Callable[..., FittingModel]
JOURNEYS = Path(__file__).parents[2] / "journeys" / "data"


class Memory:
    """A store that is not durable."""

    def __init__(self) -> None:
        self.kept: list[Event] = []

    def append(self, event: Event) -> None:
        self.kept.append(event)

    def append_all(self, events) -> None:
        self.kept.extend(events)

    def events(self, inspection: str) -> tuple[Event, ...]:
        return tuple(event for event in self.kept if event.inspection == inspection)


class Clock:
    """Time as the test sets it: of the record, and in seconds that never jump."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
        self.s = 0.0

    def __call__(self) -> datetime:
        return self.now

    def seconds(self) -> float:
        self.s += 2.0
        return self.s

    def next_day(self) -> None:
        self.now += timedelta(days=1)


def torque_tool(number="TT-7", *, due="2026-12-31", torque_class="", unit="N m") -> Item:
    return Item(
        kind=ItemKind.TORQUE_TOOL,
        inventory_number=number,
        description="clicking wrench",
        torque_class=torque_class or "setting tool, ISO 6789 class A",
        torque_unit=unit,
        certificate=Certificate(number="C-1", due=due),
    )


@pytest.fixture
def tool():
    return torque_tool


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def plans() -> dict[str, str]:
    return {
        "kiln fan": (JOURNEYS / "fitting_kiln_fan.toml").read_text(encoding="utf-8"),
        "screw pump": example("screw_pump.toml").read_text(encoding="utf-8"),
    }


@pytest.fixture
def sealed(clock: Clock, plans) -> Make:
    """Measure a plan, seal it with a verdict, and return its fitting."""

    def make(plan="kiln fan", verdict="conforms", tools=None, toml=None) -> FittingModel:
        inspection = Inspection.create(
            Memory(),
            plan_toml=toml or plans[plan],
            identification=Identification(sheet_number="SP-1", asset="Kiln fan 3"),
            actor="Ann",
            clock=clock,
        )
        inspection.acknowledge_cautions(CAUTIONS)
        unit = inspection.state.plan.unit
        inspection.put_in_service(
            GaugeInService(
                inventory_number="M1",
                unit="in" if unit is Unit.INCH else "mm",
                resolution="0.001" if unit is Unit.MM else "0.00005",
                source="-",
                format="auto",
            )
        )
        measure(inspection)
        seats = [seat.id for seat in inspection.state.plan.seats]
        content = {
            "verdict": verdict,
            "requirements": [{"seat": seat, "verdict": verdict} for seat in seats],
        }
        gaps = {gap.what: "a trial of the program" for gap in inspection.gaps()}
        inspection.seal(content, "measured", gaps)
        register = (torque_tool(),) if tools is None else tools
        return FittingModel(inspection, equipment=lambda: register, seconds=clock.seconds)

    return make


def measure(inspection: Inspection) -> None:
    """Press at every point: the middle of the limits."""
    number = 0
    while inspection.state.cursor is not None:
        number += 1
        seat = inspection.state.plan.seat(inspection.state.cursor.seat_id)
        lower, upper = seat.limits_mm
        middle = from_mm((lower + upper) / 2, inspection.state.plan.unit)
        text = f"{middle:.4f}"
        inspection.take(
            Press(Decimal(text), None, text, f"{number} {text}".encode(), "auto", number)
        )


@pytest.fixture
def ready(sealed: Make) -> Make:
    """A fitting that was begun, its machine isolated."""

    def make(*args, **named) -> FittingModel:
        model = sealed(*args, **named)
        model.begin("" if not model.obstacle else "trial fit")
        model.confirm_isolation("P-7")
        return model

    return make


@pytest.fixture
def dress(qapp: QApplication) -> Iterator[Callable[[Theme, float], Theme]]:
    """Apply a theme and a text scale, and take them off again."""
    font, sheet, palette = qapp.font(), qapp.styleSheet(), qapp.palette()

    def apply(theme: Theme = LIGHT, text_scale: float = 1.0) -> Theme:
        apply_theme(qapp, theme, text_scale)
        return theme

    yield apply
    gc.collect()  # a style sheet is applied to every widget that is left, also to forgotten ones
    qapp.setStyleSheet(sheet)
    qapp.setPalette(palette)
    qapp.setFont(font)
