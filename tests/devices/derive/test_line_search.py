import random

import pytest

from seatproof.devices.derive.collect import NeverQuietError, collect_press
from seatproof.devices.derive.line_search import SPEEDS, LineSearch, settings_seen_in
from seatproof.devices.simulated.uart import resample
from seatproof.devices.transport import LineSettings

KINDS = {"8N1": {}, "7E1": {"data_bits": 7, "parity": "E"}, "7O1": {"data_bits": 7, "parity": "O"},
         "7N2": {"data_bits": 7, "stop_bits": 2}}  # fmt: skip


def frame(rng: random.Random) -> bytes:
    number = f"{rng.uniform(-120, 120):+010.3f}"
    return rng.choice([b"", b"01A"]) + number.encode() + rng.choice([b"\r", b"\r\n", b" mm\r"])


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("speed", SPEEDS)
def test_search_finds_speed_and_parity_by_pressing_once_at_each_speed(
    speed: int, kind: str
) -> None:
    rng = random.Random(f"{speed} {kind}")
    sent = LineSettings(speed=speed, **KINDS[kind])  # type: ignore[arg-type]  # as spelled above
    for _ in range(2):
        search = LineSearch()
        while search.trying is not None:
            search.hear(b"")
            search.hear(resample(frame(rng), sent, search.trying))
        assert search.found is not None
        assert str(search.found)[:-1] == str(sent)[:-1]


def test_search_over_what_is_no_text_ends_without_a_guess() -> None:
    search = LineSearch()
    tried = []
    while search.trying is not None:
        tried.append(search.trying.speed)
        search.hear(bytes.fromhex("aa 56 34 12 00"))
    assert tuple(tried) == SPEEDS
    assert search.found is None


@pytest.mark.parametrize("data", [b"", b"1.5", b"abcdef\r", b"\x9e\x86\x00\x87x\x0f"])
def test_too_little_or_no_number_shows_nothing(data: bytes) -> None:
    assert settings_seen_in(data, 9600) is None


class Pieces:
    """Gives pieces of bytes, one a call, then silence."""

    description = "pieces"
    is_live = keeps_time = True
    port_name = None
    skipped_s = 0.0

    def __init__(self, *pieces: bytes) -> None:
        self.pieces = list(pieces)

    def read(self, timeout_s: float) -> bytes:
        return self.pieces.pop(0) if self.pieces else b""

    def write(self, data: bytes) -> None: ...
    def close(self) -> None: ...


def test_press_is_everything_from_silence_to_silence() -> None:
    line = Pieces(b"", b"01A+", b"", b"00024.35\r", b"")
    assert collect_press(line, timeout_s=1.0, quiet_s=0.01) == b"01A+00024.35\r"
    assert collect_press(line, timeout_s=0.01, quiet_s=0.01) == b""


def test_gauge_that_never_pauses_is_told() -> None:
    with pytest.raises(NeverQuietError, match="without a pause"):
        collect_press(Pieces(*[b"x" * 500] * 10), timeout_s=1.0)
