from collections.abc import Callable
from typing import Any

import pytest

from seatproof.devices.formats import Reading, read_frame
from seatproof.devices.framing import LineFramer
from seatproof.devices.gauge import GaugeReader, LineKind
from seatproof.devices.transport import LineSettings
from seatproof.devices.typed import BURST_GAP_S, TypedLine


def results_of(characters: str) -> list[str | None]:
    line = TypedLine()
    line.feed(characters)
    framer = LineFramer(trust_first=True)
    results = [read_frame(frame) for frame in framer.feed(line.read(0.0))]
    return [str(r.value) if isinstance(r, Reading) else None for r in results]


@pytest.mark.parametrize(
    ("characters", "values"),
    [
        ("24.350\n", ["24.350"]),
        ("24.350\t-1.5\r", ["24.350", "-1.5"]),
        ("\x011.23\t", ["1.23"]),  # Control-A before the value is no part of it
        ("24.35024.350\n", [None]),
        ("43542104354210\n", [None]),
        ("ß01.27\n", [None]),
        ("123'356'0940\n", [None]),
        ("012+4567890\n", [None]),
        ("12.34/2\n", [None]),
        ("٢٤.٣٥\n", [None]),
        ("\n\n", []),
    ],
)
def test_typed_characters_are_a_value_only_where_all_of_them_are(
    characters: str, values: list[str | None]
) -> None:
    assert results_of(characters) == values


def test_hand_typing_with_pauses_is_refused_and_a_burst_is_read(
    journal: Any, started: Callable[[GaugeReader], GaugeReader]
) -> None:
    line = TypedLine()
    reader = GaugeReader(
        "keyboard",
        LineSettings(settle_s=0.0, gap_s=BURST_GAP_S),
        on_arrival=journal.on_arrival,
        on_line=journal.on_line,
        open_line=lambda _source, _settings: line,
    )
    started(reader)
    line.feed("24")
    journal.wait_for_arrivals(1)
    line.feed(".350\n")
    for character in "24.351\n":
        line.feed(character)
    journal.wait_for_arrivals(3)
    line.end()
    journal.wait_for_kind(LineKind.ENDED)
    assert journal.values == [None, None, "24.351"]
    assert "broke off" in journal.reasons[0]
