import json
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from seatproof.devices.simulated.uart import resample
from seatproof.devices.transport import LineSettings

SAMPLES = json.loads((Path(__file__).parents[1] / "data" / "samples.json").read_text("utf-8"))
BY_ID = {s["id"]: bytes.fromhex(s["hex"]) for s in SAMPLES if s["encoding"] == "bytes"}
SEVEN_EVEN = LineSettings(speed=4800, data_bits=7, parity="E", stop_bits=2)


def test_captured_garbage_of_a_wrong_speed_is_reproduced() -> None:
    made = resample(b"+066.22\r", SEVEN_EVEN, LineSettings())
    captured = BY_ID["w063"]
    assert len(made) == len(captured)
    # Receivers differ in where they begin anew after a missing stop bit; the rest is the same.
    assert sum(a == b for a, b in zip(made, captured, strict=True)) >= 12


def test_parity_bit_is_seen_as_the_highest_data_bit() -> None:
    eight = LineSettings(speed=4800)
    assert resample(b"+066.22\r", SEVEN_EVEN, eight) == BY_ID["w065"]
    assert resample(b"01A-00012.34\r", SEVEN_EVEN, eight) == BY_ID["w066"]


@given(
    st.binary(max_size=12),
    st.sampled_from([1200, 9600, 115200]),
    st.sampled_from("NEO"),
    st.sampled_from([1, 2]),
)
def test_equal_settings_change_nothing(data: bytes, speed: int, parity: str, stop: int) -> None:
    settings = LineSettings(speed=speed, parity=parity, stop_bits=stop)  # type: ignore[arg-type]  # drawn from just these
    assert resample(data, settings, settings) == data
