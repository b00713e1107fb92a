import math
import statistics
from decimal import Decimal

import pytest

from seatproof.core.files import example
from seatproof.core.units import Unit
from seatproof.devices.errors import SimulationError
from seatproof.devices.formats import Reading, read_frame
from seatproof.devices.framing import LineFramer
from seatproof.devices.simulated.gauge import SimulatedMicrometer
from seatproof.devices.simulated.shaft import GaugeTraits, SeatForm, SyntheticShaft, load_shaft


def shaft_of(diameter_mm: float, **changes: float) -> SyntheticShaft:
    seat = SeatForm(z_from_mm=0, z_to_mm=60, mean_diameter_mm=diameter_mm)
    return SyntheticShaft(seats={"A": seat}, **changes)


def press(diameter_mm: float, traits: GaugeTraits, **changes: float) -> bytes:
    micrometer = SimulatedMicrometer(shaft_of(diameter_mm, **changes), traits, seed=1)
    micrometer.aim("A", 30, 0)
    return micrometer.press()


def reading_of(frame: bytes) -> Reading:
    (cut,) = LineFramer(trust_first=True).feed(frame)
    reading = read_frame(cut)
    assert isinstance(reading, Reading), reading
    return reading


@pytest.mark.parametrize(
    ("diameter_mm", "traits", "frame"),
    [
        (110.012, {}, b"01A+00110.012\r"),
        (110.0124, {}, b"01A+00110.012\r"),
        (110.0126, {}, b"01A+00110.013\r"),
        (110.012, {"channel": ""}, b"+00110.012\r"),
        (110.012, {"channel": "22b"}, b"22b+00110.012\r"),
        (110.012, {"step": "0.01"}, b"01A+00110.01\r"),
        (110.0124, {"step": "0.0001"}, b"01A+0110.0124\r"),
        (110.013, {"step": "0.005"}, b"01A+00110.015\r"),
        # 100.000 mm = 3.937007874 in, to the nearest half ten-thousandth
        (100.0, {"unit": "in", "step": "0.00005"}, b"01A+003.93700\r"),
        (99.9960, {"unit": "in", "step": "0.00005"}, b"01A+003.93685\r"),
        (110.012, {"zero_error_um": 3.0}, b"01A+00110.015\r"),
    ],
)
def test_frame_of_a_press(diameter_mm: float, traits: dict[str, object], frame: bytes) -> None:
    assert press(diameter_mm, GaugeTraits.model_validate(traits)) == frame


def test_warm_shaft_measures_large_and_warm_micrometer_measures_small() -> None:
    # Steel, 100 mm, 5 K: 100·11.5e-6·5 = 5.75 µm.
    fine = GaugeTraits(step=Decimal("0.0001"))
    warm = GaugeTraits(step=Decimal("0.0001"), temperature_c=25.0)
    assert press(100.0, fine, temperature_c=25.0) == b"01A+0100.0058\r"
    assert press(100.0, warm) == b"01A+0099.9942\r"
    assert press(100.0, warm, temperature_c=25.0) == b"01A+0100.0000\r"
    # Aluminium in a steel micrometer, both at 30 °C: 100·(23 − 11.5)e-6·10 = 11.5 µm.
    hot = GaugeTraits(step=Decimal("0.0001"), temperature_c=30.0)
    assert press(100.0, hot, temperature_c=30.0, expansion_per_k=23e-6) == b"01A+0100.0115\r"


def test_closed_measuring_faces_show_the_zero_error() -> None:
    assert SimulatedMicrometer(shaft_of(100), seed=1).press() == b"01A+00000.000\r"
    below = GaugeTraits(zero_error_um=-2.0)
    assert SimulatedMicrometer(shaft_of(100), below, seed=1).press() == b"01A-00000.002\r"


def test_display_of_minus_zero_is_read_as_zero() -> None:
    traits = GaugeTraits(zero_error_um=-0.4)
    frame = SimulatedMicrometer(shaft_of(100), traits, seed=1).press()
    assert frame == b"01A-00000.000\r"
    assert not reading_of(frame).value.is_signed()


def test_same_seed_gives_the_same_bytes_and_another_seed_others() -> None:
    traits = GaugeTraits(repeatability_um=3.0)

    def presses(seed: int) -> list[bytes]:
        micrometer = SimulatedMicrometer(shaft_of(100), traits, seed=seed)
        micrometer.aim("A", 30, 0)
        return [micrometer.press() for _ in range(20)]

    assert presses(4) == presses(4)
    assert presses(4) != presses(5)


def test_noise_has_the_mean_and_the_spread_stated() -> None:
    # 4000 presses: the mean lies within 4·s/√n and the standard deviation within 4·s/√(2n) of the
    # truth; rounding to 0.1 µm adds 0.1/√12 µm in quadrature, which is less than 0.1 % here.
    n, spread_um = 4000, 2.0
    traits = GaugeTraits(
        step=Decimal("0.0001"), repeatability_um=spread_um, zero_error_um=0.4, temperature_c=21.0
    )
    micrometer = SimulatedMicrometer(shaft_of(100, temperature_c=22.0), traits, seed=7)
    micrometer.aim("A", 30, 0)
    errors_um = [1000 * float(reading_of(micrometer.press()).value - 100) for _ in range(n)]
    expected_um = 100 * 11.5e-6 * 1000 * (2 - 1) + 0.4
    assert statistics.fmean(errors_um) == pytest.approx(
        expected_um, abs=4 * spread_um / math.sqrt(n)
    )  # µm
    assert statistics.stdev(errors_um) == pytest.approx(
        spread_um, abs=4 * spread_um / math.sqrt(2 * n)
    )  # µm


@pytest.mark.parametrize(
    ("name", "seat", "z_mm", "unit"),
    [("kiln_fan_shaft.toml", "A", 180, Unit.MM), ("screw_pump_shaft.toml", "L", 70, Unit.INCH)],
)
def test_example_gauge_reads_the_true_size_within_its_errors(
    name: str, seat: str, z_mm: float, unit: Unit
) -> None:
    shaft = load_shaft(example(name))
    micrometer = SimulatedMicrometer(shaft, seed=3)
    for angle_deg in range(0, 180, 30):
        micrometer.aim(seat, z_mm, angle_deg)
        value = reading_of(micrometer.press()).value
        assert value % shaft.gauge.step == 0
        shown_um = 1000 * float(value * unit.in_mm)
        true_um = 1000 * shaft.true_diameter_mm(seat, z_mm, angle_deg)
        # Expansion at most 1.3 µm, zero error 0.4 µm, noise 4·0.6 µm, half a step 0.6 µm.
        assert shown_um == pytest.approx(true_um, abs=5.0)  # µm


def test_aiming_beside_the_seat_leaves_the_micrometer_where_it_was() -> None:
    micrometer = SimulatedMicrometer(shaft_of(100), seed=1)
    micrometer.aim("A", 30, 0)
    with pytest.raises(SimulationError):
        micrometer.aim("A", 61, 0)
    assert micrometer.press() == b"01A+00100.000\r"
