"""The polar plot of sets that are read with an indicator: about which circle, and why not."""

from datetime import UTC, datetime
from decimal import Decimal
from math import cos, radians

import numpy as np
import pytest

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.plan.points import PointKey
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.units import Unit
from seatproof.core.wording.undulations import radial_polar
from seatproof.gui.bench.model import BenchModel, Sealing
from seatproof.gui.bench.polar_view import PolarView
from seatproof.gui.bench.polar_words import header, notes
from seatproof.gui.bench.set_form import polar_of, set_form_of
from seatproof.gui.shared.theme import LIGHT

FURTHER = """
[[seat]]
id = "{name}"
name = "Further set"
same_seat_as = "A"
from = 150
length = 60
nominal = 110
method = "{method}"
stations = [180]
orientations = {orientations}
repeats = 1
{more}
"""


class Store:
    def __init__(self) -> None:
        self.kept = []

    def append(self, event) -> None:
        self.kept.append(event)

    def events(self, inspection):
        return tuple(self.kept)


def further(method: str, more: str = "", orientations: int = 12, name: str = "A2") -> str:
    return FURTHER.format(name=name, method=method, more=more, orientations=orientations)


def inspect(plan_toml: str, shown_mm, points: int = 10_000) -> Inspection:
    """Measure points in the order of the walk; `shown_mm` gives what a gauge shows at one."""
    inspection = Inspection.create(
        Store(),
        plan_toml=plan_toml,
        identification=Identification(sheet_number="S 1"),
        actor="Ann",
        clock=lambda: datetime(2026, 3, 2, 8, 0, tzinfo=UTC),
    )
    inspection.put_in_service(
        GaugeInService(
            inventory_number="M 4", unit="mm", resolution="0.0001", source="-", format="auto"
        )
    )
    by_key = {point.key: point for point in inspection.state.plan.points()}
    for number in range(points):
        key = inspection.state.cursor
        if key is None:
            break
        text = f"{shown_mm(inspection.state.plan.seat(key.seat_id), by_key[key]):.4f}"
        raw = f"{number} {text}".encode()
        inspection.take(Press(Decimal(text), None, text, raw, "auto", number))
    return inspection


def lobed(seat, point) -> float:
    """Show three lobes of 4 µm each way, set up 20 µm off the axis; diameters see none of them."""
    if seat.method == "two-point":
        return 110.012 if seat.id == "A" else float(seat.nominal_mm) + 0.012
    angle = radians(point.angle_deg)
    return 0.004 * cos(3 * angle) + 0.020 * cos(angle)


def fitted_by_hand(seat, profile):
    """Return departures from the least-squares circle by solving its normal equations."""
    angles = np.radians(profile.angle_deg)
    radii = float(seat.nominal_mm) / 2 + np.array(profile.reading_um) / 1000
    xs, ys = radii * np.cos(angles), radii * np.sin(angles)
    x, y, r = 0.0, 0.0, float(radii.mean())
    for _ in range(5):
        away = np.hypot(xs - x, ys - y)
        jacobian = np.column_stack([(x - xs) / away, (y - ys) / away, -np.ones_like(xs)])
        step, *_ = np.linalg.lstsq(jacobian, -(away - r), rcond=None)
        x, y, r = x + step[0], y + step[1], r + step[2]
    return (np.hypot(xs - x, ys - y) - r) * 1000


def test_radial_readings_are_shown_about_the_least_squares_circle(kiln_fan) -> None:
    plan = kiln_fan + further("radial", 'reference_circle = "least squares"')
    evaluation = evaluate(inspect(plan, lobed).state)
    plot, form = polar_of(evaluation, "A2"), set_form_of(evaluation, "A2")
    result = evaluation.seat("A2")
    expected = fitted_by_hand(result.seat, result.profiles[0])
    assert plot.traces[0].deviations_um == pytest.approx(list(expected), abs=0.002)
    assert form.circle is ReferenceCircle.LSC
    wording = header(plot, form, Unit.MM)[0]
    assert "least-squares circle (LSC)" in wording
    assert f"magnified {plot.magnification}×" in wording
    assert "radial deviations" in wording
    assert "two-point" not in " ".join((*header(plot, form, Unit.MM), *notes(plot, form, Unit.MM)))


def test_the_plot_is_that_of_the_sheet_and_names_the_circle_of_the_plan(kiln_fan) -> None:
    evaluation = evaluate(inspect(kiln_fan + further("radial"), lobed).state)
    plot, form = polar_of(evaluation, "A2"), set_form_of(evaluation, "A2")
    assert plot == radial_polar(evaluation.seat("A2"))
    assert form.circle is ReferenceCircle.MZC
    assert "minimum zone" in header(plot, form, Unit.MM)[0]


def test_diameters_stay_what_they_are(kiln_fan) -> None:
    evaluation = evaluate(inspect(kiln_fan, lobed).state)
    plot, form = polar_of(evaluation, "A"), set_form_of(evaluation, "A")
    assert len(plot.traces) == 5
    assert header(plot, form, Unit.MM)[0].startswith("two-point form (radial; odd lobes unseen)")
    assert notes(plot, form, Unit.MM) == ()


def test_too_few_radial_readings_say_why_there_is_no_circle(kiln_fan) -> None:
    plan = kiln_fan + further("radial", orientations=3)
    evaluation = evaluate(inspect(plan, lobed).state)
    plot, form = polar_of(evaluation, "A2"), set_form_of(evaluation, "A2")
    assert plot.traces == ()
    assert "at four orientations" in header(plot, form, Unit.MM)[0]


def test_nothing_measured_says_so_without_speaking_of_diameters(kiln_fan) -> None:
    evaluation = evaluate(inspect(kiln_fan + further("radial"), lobed, points=0).state)
    plot, form = polar_of(evaluation, "A2"), set_form_of(evaluation, "A2")
    assert header(plot, form, Unit.MM) == ("no profile yet",)


def vee_reading(seat, point) -> float:
    """Show two lobes of 6 µm of the radius, as diameters and over a vee.

    An indicator opposite a vee of 90° shows two lobes as large as they are: 1 + cos(2 · 45°) = 1.
    """
    angle = radians(point.angle_deg)
    if seat.method == "two-point":
        return float(seat.nominal_mm) + 0.012 + 2 * 0.006 * cos(2 * angle)
    return 0.006 * cos(2 * angle)


def test_a_vee_alone_shows_no_circle_and_with_diameters_a_profile(kiln_fan) -> None:
    plan = kiln_fan + further("vee", "vee_angle_deg = 90", name="A3")
    begun = evaluate(inspect(plan, vee_reading, points=0).state)
    plot, form = polar_of(begun, "A3"), set_form_of(begun, "A3")
    assert plot.traces == ()
    evaluation = evaluate(inspect(plan, vee_reading).state)
    plot, form = polar_of(evaluation, "A3"), set_form_of(evaluation, "A3")
    (trace,) = plot.traces
    assert trace.station == 1
    assert set(form.sets) == {"A", "A3"}
    assert form.circle is ReferenceCircle.LSC
    # Two lobes of 6 µm amplitude of the radius, seen by the diameters at the same station.
    assert max(trace.curve_um) == pytest.approx(6.0, abs=0.3)
    assert trace.angles_deg == ()  # no point of it was measured by itself
    assert ", ".join(form.sets) in notes(plot, form, Unit.MM)[1]


def test_a_press_on_one_set_renews_the_plot_of_the_other(kiln_fan) -> None:
    plan = kiln_fan + further("vee", "vee_angle_deg = 90", name="A3")
    inspection = inspect(plan, vee_reading)
    model = BenchModel(inspection, finish=lambda state: lambda: Sealing(None, None, ""))
    model.show_next_seat()
    while model.seat.id != "A3":
        model.show_next_seat()
    before = model.polar
    model.go_to(PointKey("A", 3, 1), "doubtful")
    size = Decimal("110.014")
    press = Press(size, None, "110.014", b"again 110.014", "auto", 9_000)
    model.act(lambda inspection: inspection.take(press))
    while model.seat.id != "A3":
        model.show_next_seat()
    assert model.polar != before


def test_the_view_states_circle_and_magnification(qtbot, kiln_fan) -> None:
    evaluation = evaluate(inspect(kiln_fan + further("radial"), lobed).state)
    plot, form = polar_of(evaluation, "A2"), set_form_of(evaluation, "A2")
    view = PolarView(LIGHT)
    qtbot.addWidget(view)
    view.resize(600, 600)
    view.show_plot(plot, Unit.MM, 1, form)
    assert "MZC" in view._header.wordings[0]
    assert len(view._items.current.data) == 12
    assert "from the reference circle" in view._items.current.data["data"][0]
    view.show_plot(polar_of(evaluation, "A"), Unit.MM, 1, set_form_of(evaluation, "A"))
    assert "two-point" in view._header.wordings[0]
