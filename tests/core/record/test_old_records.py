"""A record written by the first version of the schema is read, and its seal is what it was."""

import json
from pathlib import Path

import pytest

from seatproof.core.record.errors import EventUnknownError
from seatproof.core.record.events import next_event
from seatproof.core.record.file import read_record, record_bytes
from seatproof.core.record.gaps import gaps
from seatproof.core.record.state import fold

OLD = Path(__file__).with_name("data") / "schema_1.json"


@pytest.fixture(scope="module")
def events():
    return read_record(OLD)


def test_old_record_is_read_and_written_alike(events):
    assert events[0].payload["schema_version"] == 1
    assert "revision" not in events[0].payload
    assert record_bytes(events) == OLD.read_bytes()


def test_old_record_gives_its_state(events):
    state = fold(events)
    assert state.identification.sheet_number == "KF-2025-004"
    assert state.sealed.part == "measuring"
    assert state.sealed.content["sheet_number"] == "KF-2025-004"
    assert gaps(state) == ()
    assert [press.decision.split(":")[0] for press in state.parked.values()] == [
        "thrown away",
        "used at B 1/1",
    ]
    assert state.created.revision == 1
    assert state.walk_points == state.plan.points()
    counting = sum(len(seqs) for seqs in state.counting.values())
    payloads = json.loads(OLD.read_bytes())["events"]
    readings = [one for one in payloads if one["kind"] == "reading"]
    gone = [one for one in payloads if one["kind"] == "withdrawn"]
    replaced = [seq for one in readings for seq in one["payload"]["supersedes"]]
    assert counting == len(readings) - len(gone) - len(replaced)


def test_old_record_goes_on(events):
    last = events[-1]
    for kind, payload, is_known in (
        ("review", {"finding": "accepted"}, True),
        ("review", {"finding": "accepted", "mood": "good"}, False),
        ("review", {"finding": "maybe"}, False),
        ("lent out", {}, False),
    ):
        more = next_event(
            inspection=last.inspection,
            last=last,
            moment=last.moment,
            actor="Quirin Lead",
            kind=kind,
            payload=payload,
        )
        if is_known:
            assert fold((*events, more)).review.payload.finding == "accepted"
        else:
            with pytest.raises(EventUnknownError, match="the version of Seatproof that wrote it"):
                fold((*events, more))
