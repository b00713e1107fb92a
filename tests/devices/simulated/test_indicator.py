import numpy as np
import pytest

from seatproof.devices.errors import SimulationError
from seatproof.devices.formats import Reading, read_frame
from seatproof.devices.framing import LineFramer
from seatproof.devices.simulated.indicator import Place, SimulatedIndicator, true_movement_mm
from seatproof.devices.simulated.shaft import (
    IndicatorTraits,
    SeatForm,
    SyntheticShaft,
    Undulation,
)


def lobed(n: int, amplitude_um: float = 1.0, phase_deg: float = 0.0) -> SyntheticShaft:
    waves = (Undulation(n=n, amplitude_um=amplitude_um, phase_deg=phase_deg),)
    seat = SeatForm(z_from_mm=0, z_to_mm=60, mean_diameter_mm=100, undulations=waves)
    return SyntheticShaft(seats={"A": seat})


# Readings per unit of amplitude for a vee with its indicator on the bisector, as they are tabulated
# for three-point measurement: opposite the vee (r: inside it).
@pytest.mark.parametrize(
    ("vee_deg", "place", "factors"),
    [
        (60, "opposite the vee", {2: 0, 3: 3.00, 4: 0, 5: 0, 6: 3.00, 9: 3.00}),
        (90, "opposite the vee", {2: 1.00, 3: 2.00, 4: 0.41, 5: 2.00, 7: 0, 8: 2.41, 15: 0}),
        (108, "opposite the vee", {2: 1.38, 4: 0, 5: 2.24, 10: 2.24}),
        (120, "opposite the vee", {2: 1.58, 3: 1.00, 6: 0.15, 11: 0}),
        (60, "inside the vee", {2: 2.00, 3: 3.00, 5: 0, 6: 1.00}),
        (90, "inside the vee", {2: 1.00, 4: 2.41, 7: 0, 12: 2.41}),
    ],
)
def test_vee_shows_undulations_with_their_tabulated_factors(
    vee_deg: float, place: Place, factors: dict[int, float]
) -> None:
    angles_deg = np.arange(0, 360, 3.0)
    for n, factor in factors.items():
        shaft = lobed(n, phase_deg=17)
        readings_um = 1000 * np.array(
            [
                true_movement_mm(shaft, "A", 30, float(a), vee_angle_deg=vee_deg, place=place)
                for a in angles_deg
            ]
        )
        spectrum = np.fft.rfft(readings_um) / len(readings_um) * 2
        assert abs(spectrum[n]) == pytest.approx(factor, abs=0.006), n
        others = np.delete(np.abs(spectrum), n)
        assert others.max() < 1e-9


def test_radial_set_up_shows_every_undulation_and_its_own_eccentricity() -> None:
    traits = IndicatorTraits(eccentricity_um=12.0, eccentricity_deg=40.0, zero_mm=0.5)
    indicator = SimulatedIndicator(lobed(3, 2.0, 10.0), traits, seed=1)
    values = []
    for angle_deg in range(0, 360, 5):
        indicator.aim("A", 30, angle_deg)
        (frame,) = LineFramer(trust_first=True).feed(indicator.press())
        reading = read_frame(frame)
        assert isinstance(reading, Reading)
        assert reading.channel == "02A"
        values.append(float(reading.value))
    spectrum = np.fft.rfft(values) / len(values) * 2
    step_mm = 0.0001
    assert spectrum[0].real / 2 == pytest.approx(0.5, abs=step_mm)
    assert spectrum[1] == pytest.approx(0.012 * np.exp(-1j * np.deg2rad(40)), abs=step_mm)
    assert spectrum[3] == pytest.approx(0.002 * np.exp(-3j * np.deg2rad(10)), abs=step_mm)


def test_shaft_in_a_vee_finds_its_place_so_that_no_eccentricity_is_seen() -> None:
    traits = IndicatorTraits(eccentricity_um=500.0)
    indicator = SimulatedIndicator(lobed(3, 0.0), traits, seed=1)
    frames = set()
    for angle_deg in range(0, 360, 15):
        indicator.aim("A", 30, angle_deg, vee_angle_deg=90)
        frames.add(indicator.press())
    assert frames == {b"02A+0000.5000\r"}


def test_noise_comes_from_the_seed() -> None:
    def frames(seed: int) -> list[bytes]:
        traits = IndicatorTraits(repeatability_um=1.0)
        indicator = SimulatedIndicator(lobed(2), traits, seed=seed)
        indicator.aim("A", 30, 0)
        return [indicator.press() for _ in range(5)]

    assert frames(1) == frames(1) != frames(2)
    assert len(set(frames(1))) > 1


def test_what_cannot_be_measured_is_told() -> None:
    indicator = SimulatedIndicator(lobed(2), seed=1)
    with pytest.raises(SimulationError, match="no such seat"):
        indicator.aim("B", 30, 0)
    with pytest.raises(SimulationError, match="is not on it"):
        indicator.aim("A", 61, 0)
    for vee_deg in (0.0, 180.0):
        with pytest.raises(SimulationError, match="included angle"):
            indicator.aim("A", 30, 0, vee_angle_deg=vee_deg)
