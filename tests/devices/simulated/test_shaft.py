import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.files import example
from seatproof.devices.errors import SimulationError
from seatproof.devices.simulated.shaft import SeatForm, SyntheticShaft, Undulation, load_shaft

SHAFT = SyntheticShaft(
    temperature_c=35.0,  # the true form is that at 20 °C, whatever the temperature
    seats={
        "A": SeatForm(
            z_from_mm=150,
            z_to_mm=210,
            mean_diameter_mm=110.012,
            taper_um_over_seat=3.0,
            barrel_um=1.5,
            undulations=(
                Undulation(n=2, amplitude_um=2.0, phase_deg=30),
                Undulation(n=3, amplitude_um=1.0, phase_deg=10),
            ),
        )
    },
)


def seat(**changes: object) -> SyntheticShaft:
    form = {"z_from_mm": 0.0, "z_to_mm": 50.0, "mean_diameter_mm": 100.0, **changes}
    return SyntheticShaft.model_validate({"seats": {"S": form}})


def test_hand_case() -> None:
    # Middle of the seat: no taper, no barrel. Crest of n = 2 at 30°: +2 µm; n = 3 at 30°:
    # cos(3·20°) = 0.5, so +0.5 µm. Opposite, n = 2 is +2 µm again and n = 3 is −0.5 µm.
    assert SHAFT.true_radius_mm("A", 180, 30) == pytest.approx(55.006 + 0.0025, abs=1e-12)  # mm
    assert SHAFT.true_radius_mm("A", 180, 210) == pytest.approx(55.006 + 0.0015, abs=1e-12)  # mm
    assert SHAFT.true_diameter_mm("A", 180, 30) == pytest.approx(110.012 + 0.004, abs=1e-12)  # mm
    # High end of the seat, 90° further: +1.5 µm taper, −1.5 µm barrel, n = 2 is −2 µm twice.
    assert SHAFT.true_diameter_mm("A", 210, 120) == pytest.approx(110.012 - 0.004, abs=1e-12)  # mm
    assert SHAFT.true_diameter_mm("A", 150, 120) == pytest.approx(110.012 - 0.007, abs=1e-12)  # mm


@given(st.floats(150, 210), st.floats(-720, 720))
def test_form_agrees_with_a_sum_of_complex_exponentials(z_mm: float, angle_deg: float) -> None:
    # An independent way: Fourier coefficients cₙ = aₙ·exp(−i·n·φₙ), and the axial polynomial
    # fitted exactly through its values at both ends and the middle.
    axial = np.polynomial.Polynomial.fit(
        [150, 180, 210], [110.012 - 3e-3, 110.012, 110.012 + 0e-3], 2
    )
    turn = np.exp(1j * np.deg2rad(angle_deg))
    coefficients = {2: 2e-3 * np.exp(-2j * np.deg2rad(30)), 3: 1e-3 * np.exp(-3j * np.deg2rad(10))}

    def radius(unit: complex) -> float:
        return float(axial(z_mm) / 2 + sum((c * unit**n).real for n, c in coefficients.items()))

    assert SHAFT.true_radius_mm("A", z_mm, angle_deg) == pytest.approx(radius(turn), abs=1e-9)  # mm
    assert SHAFT.true_diameter_mm("A", z_mm, angle_deg) == pytest.approx(
        radius(turn) + radius(-turn), abs=1e-9
    )  # mm


@given(st.integers(2, 40), st.floats(0, 360), st.floats(0, 360))
def test_odd_undulations_cannot_be_seen_in_a_diameter(n: int, phase: float, angle: float) -> None:
    shaft = seat(undulations=[{"n": n, "amplitude_um": 5.0, "phase_deg": phase}])
    deviation_um = 1000 * (shaft.true_diameter_mm("S", 10, angle) - 100.0)
    seen = 0.0 if n % 2 else 10.0 * math.cos(n * math.radians(angle - phase))
    assert deviation_um == pytest.approx(seen, abs=1e-6)  # µm


def test_unknown_seat_and_position_beside_it_are_told_apart() -> None:
    with pytest.raises(SimulationError, match="it has A"):
        SHAFT.true_diameter_mm("B", 180, 0)
    for z_mm in (149.9, 210.1, math.nan):
        with pytest.raises(SimulationError, match="150 mm to 210 mm"):
            SHAFT.true_radius_mm("A", z_mm, 0)
    assert SHAFT.true_radius_mm("A", 150, 0) > 0
    assert SHAFT.true_radius_mm("A", 210, 0) > 0


@pytest.mark.parametrize(
    ("name", "seats"),
    [
        ("kiln_fan_shaft.toml", {"A": (150, 210), "B": (820, 874)}),
        ("screw_pump_shaft.toml", {"L": (38.1, 107.95)}),
    ],
)
def test_examples_have_the_seats_of_their_plans(
    name: str, seats: dict[str, tuple[float, float]]
) -> None:
    shaft = load_shaft(example(name))
    assert {k: (s.z_from_mm, s.z_to_mm) for k, s in shaft.seats.items()} == seats


# Upper and lower limit deviations by ISO 286-2 for the sizes' range, in µm.
@pytest.mark.parametrize(
    ("name", "seat", "nominal_mm", "lower_um", "upper_um"),
    [
        ("kiln_fan_shaft.toml", "A", 110.0, 3, 25),  # k6
        ("kiln_fan_shaft.toml", "B", 100.0, 3, 25),  # k6
        ("screw_pump_shaft.toml", "L", 100.0125, -35, 0),  # h7
    ],
)
def test_every_local_size_of_the_examples_lies_well_inside_its_limits(
    name: str, seat: str, nominal_mm: float, lower_um: float, upper_um: float
) -> None:
    shaft = load_shaft(example(name))
    form = shaft.seats[seat]
    deviations_um = [
        1000 * (shaft.true_diameter_mm(seat, z, angle) - nominal_mm)
        for z in np.linspace(form.z_from_mm, form.z_to_mm, 9)
        for angle in range(0, 180, 5)
    ]
    assert min(deviations_um) > lower_um + 4
    assert max(deviations_um) < upper_um - 4
    assert max(deviations_um) - min(deviations_um) > 3, "a perfect cylinder shows nothing"


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("seats = ", "TOML"),
        ("", "seats"),
        ("[seats]", "seats"),
        ("[seats.A]\nz_from_mm = 1\nz_to_mm = 2", "mean_diameter_mm"),
        ("[seats.A]\nz_from_mm = 2\nz_to_mm = 1\nmean_diameter_mm = 9", "greater than z_from_mm"),
        ("[seats.A]\nz_from_mm = 0\nz_to_mm = nan\nmean_diameter_mm = 9", "z_to_mm"),
        ("colour = 'red'\n[seats.A]\nz_from_mm = 1\nz_to_mm = 2\nmean_diameter_mm = 9", "colour"),
        ("[seats.A]\nz_from_mm = 1\nz_to_mm = 2\nmean_diameter_mm = 9\n[gauge]\nstep = 0", "step"),
    ],
)
def test_shaft_file_with_a_fault_is_refused_with_its_place(
    text: str, word: str, tmp_path: Path
) -> None:
    path = tmp_path / "shaft.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SimulationError, match=word) as caught:
        load_shaft(path)
    assert caught.value.source == str(path)


def test_shaft_file_that_is_no_text_or_not_there_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "shaft.toml"
    with pytest.raises(SimulationError, match="No such file"):
        load_shaft(path)
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(SimulationError, match="not valid TOML"):
        load_shaft(path)
