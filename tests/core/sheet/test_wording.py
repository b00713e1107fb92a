"""What the sheet says of rules, form and fit: against figures worked out by hand."""

from collections.abc import Callable
from decimal import Decimal
from math import cos, radians
from typing import Any

import pytest

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.plan.file import parse_plan
from seatproof.core.wording.decision import decision_facts
from seatproof.core.wording.requirement_line import probability_text, requirement_line
from seatproof.core.wording.ring_fit import fit_grids
from seatproof.core.wording.undulations import (
    indicator_facts,
    radial_polar,
    spectra,
    spectra_note,
)
from seatproof.core.wording.words import words_of

ENGLISH = words_of("en")

INDICATOR = """
[[seat]]
id = "R"
name = "with an indicator"
from = 0
length = 60
nominal = 100
same_seat_as = "A"
method = "radial"
stations = [10, 50]
orientations = 16
"""


@pytest.mark.parametrize(
    ("decision", "words"),
    [
        ('rule = "guard band"\nprobability = 0.9', ("guard band of ISO 14253-1 at 90\u00a0%",)),
        ('rule = "simple"', ("simple acceptance", "up to one half")),
        (
            'rule = "simple"\nlargest_uncertainty = 0.004',
            ("U may be 0.004 mm at most", "nothing is proven"),
        ),
        ('rule = "probability"\nprobability = 0.975', ("JCGM 106", "97.5\u00a0% at least")),
    ],
)
def test_rule_is_told_in_words(kiln_fan_toml: str, decision: str, words: tuple[str, ...]) -> None:
    toml = kiln_fan_toml[: kiln_fan_toml.index("[decision]")] + f"[decision]\n{decision}\n"
    rule, stated, form = decision_facts(parse_plan(toml, source="test"), ENGLISH)
    for word in words:
        assert word in rule.value
    assert stated.value.startswith("U = 0.003 mm (k = 2) of one local size")
    assert "noise" in form.value


@pytest.mark.parametrize(
    ("factor", "words"),
    [("", "for a coverage probability of 95.45\u00a0%"), ("coverage_factor = 2", "k = 2;")],
)
def test_budget_is_told_as_the_source_of_u(kiln_fan_toml: str, factor: str, words: str) -> None:
    start, end = kiln_fan_toml.index("[uncertainty]"), kiln_fan_toml.index("[decision]")
    budget = f'[uncertainty]\nmethod = "budget"\n{factor}\nbasis = "a study."\n\n'
    plan = parse_plan(kiln_fan_toml[:start] + budget + kiln_fan_toml[end:], source="test")
    _, uncertainty, _ = decision_facts(plan, ENGLISH)
    assert words in uncertainty.value
    assert uncertainty.value.endswith("basis: a study.")  # one full stop, not two


@pytest.mark.parametrize(
    ("probability", "text"), [(0.99949, "> 99.9"), (0.999, "99.9"), (0.5, "50.0"), (1e-9, "< 0.1")]
)
def test_probability_is_never_rounded_to_certainty(probability: float, text: str) -> None:
    assert probability_text(probability) == f"{text}\u00a0%"


def test_line_has_its_figures_as_numbers_too(bench_of: Callable[..., Any]) -> None:
    bench = bench_of()
    bench.fill(lambda point: "99.99")
    (seat,) = evaluate(bench.state).seats
    line = requirement_line(bench.state.plan, seat.requirements[0])
    # 100 h6: 0 and -22 µm (ISO 286-2).
    assert line.limits == "99.978 … 100 mm"
    assert (line.numbers.lower, line.numbers.upper) == ("99.978", "100")
    assert (line.numbers.smallest, line.numbers.largest) == ("99.9900", "99.9900")
    assert line.numbers.unit == "mm"


@pytest.fixture(scope="module")
def three_lobed(bench_of: Callable[..., Any]) -> Any:
    """Return the results of a seat with an ovality, and of three lobes that only R shows."""
    bench = bench_of(orientations=[0, 45, 90, 135], more=INDICATOR)
    lobes = {10.0: 2.0, 50.0: 4.0}  # amplitude in µm, by position

    def value(point: Any) -> Decimal:
        angle = radians(point.angle_deg)
        if point.seat_id == "A":
            return Decimal(round(99.99 + 0.003 * cos(2 * angle), 6))
        return Decimal(round(lobes[point.z_mm] / 1000 * cos(3 * angle) + 0.02 * cos(angle), 6))

    bench.fill(value)
    return evaluate(bench.state)


def test_bars_show_the_lobes_of_the_worst_station(three_lobed: Any) -> None:
    (found,) = spectra(three_lobed.seat("R"), ENGLISH)
    amplitudes = {bar.undulations: bar.amplitude_um for bar in found.bars}
    assert amplitudes[3] == pytest.approx(4.0, abs=0.01)  # µm
    assert max(value or 0.0 for number, value in amplitudes.items() if number != 3) < 0.02
    assert found.label == "station 2"
    assert "×" not in spectra_note((found,), ENGLISH)


def test_bars_of_diameters_show_even_lobes_only(
    bench_of: Callable[..., Any],
) -> None:
    bench = bench_of(orientations=[0, 30, 60, 90, 120, 150])
    bench.fill(lambda point: Decimal(round(99.99 + 0.003 * cos(2 * radians(point.angle_deg)), 6)))
    (found,) = spectra(evaluate(bench.state).seat("A"), ENGLISH)
    amplitudes = {bar.undulations: bar.amplitude_um for bar in found.bars}
    # Diameters of 99.99 ± 0.003 mm: the radius swings by half of that, 1.5 µm either way.
    assert amplitudes[2] == pytest.approx(1.5, abs=0.01)
    assert amplitudes[3] is None
    assert "×: not to be seen" in spectra_note((found,), ENGLISH)


def test_polar_plot_of_an_indicator_leaves_eccentricity_out(three_lobed: Any) -> None:
    plot = radial_polar(three_lobed.seat("R"))
    assert plot is not None
    first, second = plot.traces
    # ± 2 µm and ± 4 µm about the circle, though the set-up was 20 µm off centre; sixteen
    # orientations miss the tops of three lobes by some of that.
    assert max(map(abs, first.deviations_um)) == pytest.approx(2.0, abs=0.15)
    assert max(map(abs, second.deviations_um)) == pytest.approx(4.0, abs=0.3)
    roundness, circle, run_out = indicator_facts(three_lobed.seat("R"), ENGLISH)
    assert float(roundness.value.partition(" ")[0]) == pytest.approx(8.0, abs=0.5)
    assert circle.value == "minimum zone"
    assert run_out.value.endswith("at station 2")


RING = """
[seat.fit]
bore_class = "normal"
ring_outer = 115
"""


def test_fit_is_told_as_an_estimate(bench_of: Callable[..., Any]) -> None:
    bench = bench_of(limits='tolerance_class = "k6"', more=RING)
    bench.fill(lambda point: "100.012")
    (grid,) = fit_grids(evaluate(bench.state).seat("A"), ENGLISH)
    rows = {row[0].split(" (")[0]: row[1:] for row in grid.rows}
    # ISO 492, normal class, 80 to 120 mm: the bore lies 0 to 20 µm below 100.
    assert rows["bore"] == ("99.98", "", "100 mm")
    least, probable, most = rows["interference at 20 °C"]
    # 12 µm over nominal, U = 2 µm: from 12 - 0 - 2 to 12 + 20 + 2; the middle is 12 + 10.
    assert least == "+10.0 µm"
    assert most == "+34.0 µm"
    assert probable.startswith("+22.0 µm ± ")
    assert "An estimate, never an acceptance" in grid.note


def test_seat_without_a_ring_has_no_fit(bench_of: Callable[..., Any]) -> None:
    bench = bench_of()
    bench.fill(lambda point: "99.99")
    assert fit_grids(evaluate(bench.state).seat("A"), ENGLISH) == ()
