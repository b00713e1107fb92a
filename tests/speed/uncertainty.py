"""The uncertainty budget of a seat of 12 × 24 points: live figures, and Monte Carlo."""

import statistics
from collections.abc import Iterable
from decimal import Decimal

from seatproof.core.evaluation.evaluate import evaluate, evaluate_fully
from seatproof.core.files import example
from seatproof.core.record.events import Event
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification, ReferenceCheck
from seatproof.core.record.state import InspectionState
from seatproof.gui.workplace import local_now
from tests.speed.table import Row, percentile, timed_row, times_s

STATIONS, ORIENTATIONS = 12, 24
TRIALS, GOAL_MS = 10_000, 300


class _Memory:
    def __init__(self) -> None:
        self._events: list[Event] = []

    def append(self, event: Event) -> None:
        self._events.append(event)

    def append_all(self, events: Iterable[Event]) -> None:
        self._events.extend(events)

    def events(self, inspection: str) -> tuple[Event, ...]:
        return tuple(self._events)


def rows() -> Iterable[Row]:
    """Time live figures with a budget, and the simulation before a seal."""
    kiln_fan = _measured(example("kiln_fan_whole_job.toml").read_text(encoding="utf-8"))
    yield timed_row("all results of the kiln fan with its budget", 50, lambda: evaluate(kiln_fan))
    state = _measured(_large_plan())
    yield timed_row(
        f"all results of a seat of {STATIONS} × {ORIENTATIONS} with its budget",
        50,
        lambda: evaluate(state),
        20,
    )
    yield _simulation_row(state)


def _simulation_row(state: InspectionState) -> Row:
    """Time the simulation alone, for as many trials as the goal names."""
    live_s = statistics.median(times_s(lambda: evaluate(state), 5))
    simulation = evaluate_fully(state).seats[0].simulation
    assert simulation is not None  # the plan works with a budget
    taken_ms = [
        max(full_s - live_s, 0.0) * 1000 * TRIALS / simulation.trials
        for full_s in times_s(lambda: evaluate_fully(state), 5)
    ]
    return Row(
        what=f"{TRIALS} trials of a seat of {STATIONS} × {ORIENTATIONS} "
        f"(stable after {simulation.trials})",
        goal=f"below {GOAL_MS} ms",
        unit="ms",
        median=statistics.median(taken_ms),
        slowest_1_in_100=percentile(taken_ms, 99),
        met=statistics.median(taken_ms) < GOAL_MS,
    )


def _large_plan() -> str:
    """Return the kiln fan's plan with one seat alone, and many points on it."""
    text = example("kiln_fan_whole_job.toml").read_text(encoding="utf-8")
    seat_b = text.index('[[seat]]\nid = "B"')
    text = text[:seat_b] + text[text.index("[uncertainty]") : text.index("# What follows")]
    return text.replace("stations = 5", f"stations = {STATIONS}").replace(
        "orientations = 6", f"orientations = {ORIENTATIONS}"
    )


def _measured(plan_toml: str) -> InspectionState:
    inspection = Inspection.create(
        _Memory(),
        plan_toml=plan_toml,
        identification=Identification(sheet_number="timed"),
        actor="timed",
        clock=local_now,
    )
    inspection.put_in_service(
        GaugeInService(
            inventory_number="M",
            unit="mm",
            resolution="0.001",
            permissible_error_mm="0.004",
            source="none",
            format="auto",
        )
    )
    _check(inspection, "opening", "start")
    for number, point in enumerate(inspection.state.plan.points(), start=1):
        nominal = inspection.state.plan.seat(point.seat_id).nominal_mm
        value = nominal + Decimal(10 + number % 5) / 1000
        inspection.take(Press(value, None, f"{value}", b"%d" % number, "auto", number))
    _check(inspection, "closing", "end")
    return inspection.state


def _check(inspection: Inspection, phase: str, occasion: str) -> None:
    inspection.check_reference(
        ReferenceCheck.model_validate(
            {
                "phase": phase,
                "occasion": occasion,
                "gauge": "M",
                "expected_mm": "0",
                "received": [
                    {
                        "value": "0.000",
                        "unit": "mm",
                        "value_mm": "0.000",
                        "text": "0.000",
                        "raw_hex": "",
                        "format": "auto",
                        "gauge": "M",
                        "arrival": 0,
                    }
                ],
                "shaft_c": "21",
                "gauge_c": "21",
            }
        )
    )
