"""How often seats exactly on a limit are accepted: guard band, simple acceptance, probability.

The seats are measured by a simulated gauge with all its errors; the rule is applied to ten thousand
of them at once, and shown to be the one of the real evaluation on some of them.
"""

from decimal import Decimal

import numpy as np
import pytest

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.record.kinds import ReferenceCheck, StandardInService
from seatproof.core.verdict.rule import Rule, Verdict

SIZE = Characteristic.SIZE
UPPER_UM, LOWER_UM = 0.0, -22.0  # h6 at 100 mm
SEATS = 10_000
POINTS = 2
SCATTER_UM = 0.7572  # √(0.7² + 1/12), as anyone finds it from readings: the step included

BUDGET = """
method = "budget"
repeatability = {scatter}
repeatability_readings = 31
alignment = 0.00075
faces = 0.001
force = 0.0006
drift = 0.001
basis = "of the simulated gauge"
"""


def bench_with(plan_of, bench_of, rule, judged):
    text = plan_of(rule=rule, judged=judged, repeats=2, stations=1, orientations=POINTS)
    head, rest = text.split("[uncertainty]")
    _, tail = rest.split("[decision]")
    budget = BUDGET.format(scatter=SCATTER_UM / 1000)
    curve = [
        {"size_mm": size, "error_mm": "-0.002", "expanded_mm": "0.0012"} for size in ("90", "110")
    ]
    bench = bench_of(
        toml=f"{head}[uncertainty]{budget}\n[decision]{tail}",
        gauge={"evidence": "certificate", "error_curve": curve, "permissible_error_mm": "0.005"},
    )
    bench.inspection.put_in_service(
        StandardInService(inventory_number="S", size_mm="99.5", expanded_mm="0.001")
    )
    shown = {
        "value": "99.5",
        "unit": "mm",
        "value_mm": "99.5",
        "text": "99.5",
        "raw_hex": "",
        "format": "number",
        "gauge": "M-1",
        "arrival": 0,
    }
    bench.inspection.check_reference(
        ReferenceCheck(
            phase="opening",
            occasion="start",
            gauge="M-1",
            standard="S",
            expected_mm="99.5",
            received=(shown,),
        )
    )
    bench.inspection.note_temperatures(Decimal(26), Decimal(24))
    return bench


@pytest.fixture(scope="module")
def readings(world_of):
    """Readings at every point of seats whose sizes all lie on the upper limit, departures in µm."""
    rng = np.random.default_rng(8)
    return world_of(evidence="certificate", repeats=2).read(rng, np.full((SEATS, POINTS), UPPER_UM))


def judged_um(readings, judged):
    sizes = readings.mean(axis=2)
    return sizes if judged == "local sizes" else sizes.mean(axis=1, keepdims=True)


def accepted(values_um, rule, standard_um, dof):
    """Say of every seat whether the rule accepts it, as arithmetic on whole arrays."""
    guard = rule.guard_band(standard_um, dof)
    return (values_um.max(axis=1) <= UPPER_UM - guard) & (values_um.min(axis=1) >= LOWER_UM + guard)


@pytest.mark.parametrize(
    ("rule", "judged", "least", "most"),
    [
        # One value on its limit: five in a hundred and half of them, as the rules promise.
        ("guard band", "overall mean", 0.03, 0.05),
        ("probability", "overall mean", 0.03, 0.05),
        ("simple", "overall mean", 0.45, 0.55),
        # Two on their limits, of which both must pass: fewer.
        ("guard band", "local sizes", 0.01, 0.05),
        ("probability", "local sizes", 0.01, 0.05),
        ("simple", "local sizes", 0.30, 0.45),
    ],
)
def test_seats_on_a_limit(plan_of, bench_of, readings, rule, judged, least, most):
    bench = bench_with(plan_of, bench_of, rule, judged)
    requirement = fill(bench, readings[0])
    named = Rule.named(rule, 0.95)
    dof = requirement.degrees_of_freedom
    found = accepted(judged_um(readings, judged), named, requirement.standard_um, dof)
    assert least <= np.mean(found) <= most
    # Some of them through the whole way: those accepted, and those next to them.
    for seat in [*np.flatnonzero(found)[:6], *range(6)]:
        again = fill(bench_with(plan_of, bench_of, rule, judged), readings[seat])
        if (rule, judged) == ("probability", "local sizes"):
            # All together are asked for, which accepts no more than each alone.
            assert again.verdict is not Verdict.CONFORMS or found[seat]
        else:
            assert (again.verdict is Verdict.CONFORMS) == found[seat]
        assert again.standard_um == pytest.approx(requirement.standard_um, abs=1e-6)
        assert again.largest_um == pytest.approx(judged_um(readings, judged)[seat].max(), abs=2e-3)


def fill(bench, readings_um):
    """Press what the gauge showed: the readings less what the evaluation adds to them."""
    steel = Decimal("11.5e-6")
    factor = 1 + steel * (24 - 20) - steel * (26 - 20)
    for point in readings_um:
        for value in point:
            raw = (Decimal(100) + Decimal(repr(float(value - 2.0))) / 1000) / factor
            bench.press(round(raw, 3))
    return evaluate(bench.state).seat("A").requirement(SIZE)
