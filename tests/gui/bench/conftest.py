"""Inspections of made-up shafts in memory, driven through the same doors as on the bench."""

import gc
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from decimal import Decimal
from math import cos, radians

import pytest
from PySide6.QtWidgets import QApplication

from seatproof.core.files import example
from seatproof.core.plan.points import Point
from seatproof.core.record.events import Event
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import InspectionState
from seatproof.gui.bench.points import PointMark, PointView
from seatproof.gui.shared.theme import LIGHT, Theme, apply_theme

Form = Callable[[Point], float]  # departure from the nominal size at a point, in mm
Measure = Callable[..., InspectionState]


class Memory:
    """A store that is not durable."""

    def __init__(self) -> None:
        self._events: list[Event] = []

    def append(self, event: Event) -> None:
        self._events.append(event)

    def events(self, inspection: str) -> tuple[Event, ...]:
        return tuple(event for event in self._events if event.inspection == inspection)


@pytest.fixture(scope="session")
def kiln_fan() -> str:
    return example("kiln_fan.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def screw_pump() -> str:
    return example("screw_pump.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def dense(kiln_fan: str) -> str:
    """The kiln fan with twelve stations of twenty-four orientations on its first seat."""
    return kiln_fan.replace("stations = 5\norientations = 6", "stations = 12\norientations = 24")


@pytest.fixture(scope="session")
def single(kiln_fan: str) -> str:
    """The kiln fan with one station of one orientation on its first seat."""
    return kiln_fan.replace("stations = 5\norientations = 6", "stations = 1\norientations = 1")


def oval(point: Point) -> float:
    return 0.0135 + 0.0012 * cos(2 * radians(point.angle_deg - 25)) + 0.0005 * point.station / 5


@pytest.fixture
def measure() -> Measure:
    """Carry out a plan: measure so many points, leave out those of `skip`, counted from 0."""

    def carry_out(
        plan_toml: str, points: int, *, skip: tuple[int, ...] = (), form: Form = oval
    ) -> InspectionState:
        inspection = Inspection.create(
            Memory(),
            plan_toml=plan_toml,
            identification=Identification(sheet_number="S-1"),
            actor="Ann",
            clock=lambda: datetime(2026, 3, 2, 8, 0, tzinfo=UTC),
        )
        gauge = GaugeInService(
            inventory_number="M1", unit="mm", resolution="0.001", source="-", format="auto"
        )
        inspection.put_in_service(gauge)
        by_key = {point.key: point for point in inspection.state.plan.points()}
        for number in range(points):
            cursor = inspection.state.cursor
            if cursor is None:
                break
            if number in skip:
                inspection.skip("a burr")
                continue
            nominal_mm = float(inspection.state.plan.seat(cursor.seat_id).nominal_mm)
            text = f"{nominal_mm + form(by_key[cursor]):.3f}"
            raw = f"{number} {text}".encode()
            inspection.take(Press(Decimal(text), None, text, raw, "auto", number))
        return inspection.state

    return carry_out


@pytest.fixture
def views() -> Callable[..., tuple[PointView, ...]]:
    """Make point views of a state, as a view-model does."""

    def make(state: InspectionState, selected: object = None) -> tuple[PointView, ...]:
        return tuple(
            PointView(
                point,
                _mark(state, point),
                is_next=point.key == state.cursor,
                is_selected=point.key == selected,
                story=f"{point.key}",
            )
            for point in state.plan.points()
        )

    return make


def _mark(state: InspectionState, point: Point) -> PointMark:
    if point.key in state.skipped:
        return PointMark.SKIPPED
    readings = state.readings_at(point.key)
    if not readings:
        return PointMark.OPEN
    lower, upper = state.plan.seat(point.seat_id).limits_mm
    if readings[-1].value_mm > upper:
        return PointMark.ABOVE
    return PointMark.BELOW if readings[-1].value_mm < lower else PointMark.INSIDE


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
