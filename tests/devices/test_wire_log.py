import json
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from seatproof.devices.errors import EndOfSource, SourceError
from seatproof.devices.transport import LineSettings, Transport, open_transport
from seatproof.devices.wire_log import WireLog


def saved(path: Path) -> Path:
    log = WireLog()
    log.add(50.0, "in", b"1.5")
    log.add(50.25, "in", b"\r")
    log.add(53.0, "out", b"1\r")
    log.add(3650.0, "in", b"2.5\r")
    saved_utc = datetime(2031, 5, 6, 7, 8, 9, tzinfo=UTC)
    log.save(path, source="COM10", settings="9600 8N1", format_name="auto", saved_utc=saved_utc)
    return path


def drained(transport: Transport) -> list[bytes]:
    pieces = []
    while True:
        try:
            pieces.append(transport.read(0.1))
        except EndOfSource:
            return pieces


def test_log_of_single_bytes_is_bounded_as_well() -> None:
    log = WireLog(max_entries=10)
    for n in range(25):
        log.add(float(n), "in", b"1")
    assert [entry.at_s for entry in log.entries] == [float(n) for n in range(15, 25)]
    assert log.lost_bytes == 15


def test_saved_log_is_one_document_a_line_with_times_from_zero(tmp_path: Path) -> None:
    lines = [json.loads(line) for line in saved(tmp_path / "w").read_text().splitlines()]
    assert lines == [
        {
            "seatproof wire log": 1,
            "source": "COM10",
            "settings": "9600 8N1",
            "format": "auto",
            "saved": "2031-05-06T07:08:09+00:00",
            "lost bytes": 0,
        },
        {"t": 0.0, "in": "31 2e 35"},
        {"t": 0.25, "in": "0d"},
        {"t": 3.0, "out": "31 0d"},
        {"t": 3600.0, "in": "32 2e 35 0d"},
    ]


def test_replay_at_once_passes_over_the_silences_and_tells_them(tmp_path: Path) -> None:
    transport = open_transport(f"file:{saved(tmp_path / 'w')}", LineSettings())
    began_s = time.monotonic()
    pieces = drained(transport)
    assert b"".join(pieces) == b"1.5\r2.5\r"
    assert pieces[:4] == [b"1.5", b"", b"", b"\r"]
    assert transport.skipped_s == pytest.approx(3600.0, abs=1e-6)  # s
    assert time.monotonic() - began_s < 5.0


def test_replay_in_its_time_waits_as_the_gauge_did(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    slept: list[float] = []
    monkeypatch.setattr(time, "sleep", slept.append)
    transport = open_transport(f"replay:{saved(tmp_path / 'w')}", LineSettings())
    assert b"".join(drained(transport)) == b"1.5\r2.5\r"
    assert sum(slept) == pytest.approx(3600.0, abs=1e-6)  # s
    assert transport.skipped_s == 0.0


def test_log_is_bounded_and_keeps_the_newest() -> None:
    log = WireLog(max_bytes=10)
    for n in range(100):
        log.add(float(n), "in", b"abc")
    assert [entry.at_s for entry in log.entries] == [97.0, 98.0, 99.0]
    assert log.lost_bytes == 291
    log.add(100.0, "in", b"")
    assert len(log.entries) == 3
    log.add(101.0, "in", b"x" * 50)
    assert len(log.entries) == 1


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("{", "line 2"),
        ('{"t": 0.0}', "line 2"),
        ('{"t": 0.0, "in": "zz"}', "line 2"),
        ('{"t": "x", "in": "31"}', "line 2"),
        ('{"t": NaN, "in": "31"}', "before the one above"),
        ('{"t": -1, "in": "31"}', "before the one above"),
        ("[]", "line 2"),
    ],
)
def test_damaged_log_is_told_with_its_line(line: str, word: str, tmp_path: Path) -> None:
    path = tmp_path / "w"
    WireLog().save(path)
    path.write_text(path.read_text() + line + "\n")
    with pytest.raises(SourceError, match=word):
        open_transport(f"file:{path}", LineSettings())


def test_log_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="cannot be written"):
        WireLog().save(tmp_path / "none" / "w")
