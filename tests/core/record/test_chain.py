"""Events in their chain: what canonical JSON is, and which alterations are found."""

import hashlib
import json
from dataclasses import fields, replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from seatproof.core.record.errors import ChainBrokenError, EventUnknownError
from seatproof.core.record.events import (
    GENESIS,
    Event,
    canonical,
    check_chain,
    event_hash,
    next_event,
)
from seatproof.core.record.state import advance, fold


@pytest.fixture(scope="module")
def events(bench_of):
    bench = bench_of()
    bench.inspection.note_temperatures(Decimal("20.5"), Decimal(20))
    for value in ("99.990", "99.991", "120", "99.992"):
        bench.press(value)
    return tuple(bench.store.kept)


def test_canonical_json_sorts_by_utf_16_and_writes_numbers_shortest():
    # RFC 8785, 3.2.2 and 3.2.3: its own example of numbers and of the order of keys.
    assert canonical({"numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 1e-27]}) == (
        b'{"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27]}'
    )
    keys = ["€", "\r", "\ufb33", "1", "\U0001f600", "\x80", "ö"]
    assert list(json.loads(canonical(dict.fromkeys(keys, 0)))) == [
        "\r", "1", "\x80", "ö", "€", "\U0001f600", "\ufb33",
    ]  # fmt: skip


def test_hash_is_that_of_all_other_fields(events):
    event = events[3]
    content = {field.name: getattr(event, field.name) for field in fields(Event)}
    del content["hash"]
    # Our values hold neither floats nor keys beyond ASCII, so the standard library's JSON agrees.
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert event.hash == hashlib.sha256(text.encode()).hexdigest()


def test_whole_chain_holds(events):
    assert check_chain(events) == len(events) == 8
    assert events[0].previous == GENESIS
    assert check_chain(()) == 0


@pytest.mark.parametrize("field", [field.name for field in fields(Event)])
@pytest.mark.parametrize("index", [0, 4, 7])
def test_altered_field_is_found(events, field, index):
    old = getattr(events[index], field)
    new = {
        "seq": lambda: old + 1,
        "offset_min": lambda: old + 1,
        "payload": lambda: {**old, "reason": "because"},
        "previous": lambda: "1" + old[1:] if old[0] != "1" else "2" + old[1:],
        "hash": lambda: "1" + old[1:] if old[0] != "1" else "2" + old[1:],
    }.get(field, lambda: old + "x")()
    altered = [*events]
    altered[index] = replace(altered[index], **{field: new})
    with pytest.raises(ChainBrokenError) as caught:
        check_chain(altered)
    # A changed hash of the last event is found there; of another at the one that follows at latest.
    assert caught.value.seq in (index + 1, index + 2)


def test_altered_depth_of_a_payload_is_found(events):
    reading = events[4]
    received = {**reading.payload["received"], "value": "99.995"}
    altered = [*events]
    altered[4] = replace(reading, payload={**reading.payload, "received": received})
    with pytest.raises(ChainBrokenError, match=r"Event 5 .* its content was altered"):
        check_chain(altered)


@pytest.mark.parametrize("index", range(7))
def test_removed_event_is_found(events, index):
    with pytest.raises(ChainBrokenError):
        check_chain(events[:index] + events[index + 1 :])


@pytest.mark.parametrize("index", range(7))
def test_events_in_another_order_are_found(events, index):
    swapped = [*events]
    swapped[index], swapped[index + 1] = swapped[index + 1], swapped[index]
    with pytest.raises(ChainBrokenError):
        check_chain(swapped)


@pytest.mark.parametrize("count", range(1, 8))
def test_cut_head_is_found(events, count):
    with pytest.raises(ChainBrokenError, match="event 1 should stand in its place"):
        check_chain(events[count:])


def test_event_put_in_twice_is_found(events):
    with pytest.raises(ChainBrokenError):
        check_chain((*events[:4], events[3], *events[4:]))


def test_cut_tail_is_a_whole_chain_still(events):
    """The chain alone cannot tell: a sheet names the last event that it covers."""
    assert check_chain(events[:5]) == 5


def test_event_of_another_inspection_is_found(events, bench_of):
    other = tuple(bench_of().store.kept)
    with pytest.raises(ChainBrokenError, match="it is of another inspection"):
        check_chain((*events[:2], other[2]))


def test_moment_of_an_event_is_kept_with_its_offset(events):
    assert events[0].utc == "2024-05-17T06:30:01.000001Z"  # 08:30 at two hours before UTC
    assert events[0].offset_min == 120
    assert events[0].moment == datetime(2024, 5, 17, 6, 30, 1, 1, tzinfo=UTC)


def test_moment_without_offset_is_refused():
    with pytest.raises(ValueError, match="offset from UTC"):
        next_event(
            inspection="i",
            last=None,
            moment=datetime(2024, 5, 17),  # noqa: DTZ001  # that is what is refused
            actor="a",
            kind="k",
            payload={},
        )


def test_fold_is_the_same_as_one_event_after_the_other(events):
    state = fold(events[:1])
    for count, event in enumerate(events[1:], start=2):
        state = advance(state, event)
        assert state == fold(events[:count])


def following(events, kind, payload):
    """Return the events with one more, whose hash holds."""
    more = next_event(
        inspection=events[-1].inspection,
        last=events[-1],
        moment=events[-1].moment,
        actor="someone",
        kind=kind,
        payload=payload,
    )
    return (*events, more)


def test_event_of_an_unknown_kind_is_refused(events):
    with pytest.raises(EventUnknownError) as caught:
        fold(following(events, "fitted", {}))
    assert str(caught.value) == (
        f'Event 9 of inspection {events[0].inspection}, of kind "fitted", cannot be read: this '
        "program does not know that kind. Open the record with the version of Seatproof that wrote "
        "it, or a later one."
    )


def test_event_of_a_newer_schema_is_refused(events):
    created = events[0]
    for change in ({"schema_version": 3}, {"approved_by": "x"}):
        payload = {**created.payload, **change}
        digest = event_hash(
            **{
                field.name: getattr(created, field.name)
                for field in fields(Event)
                if field.name not in ("hash", "payload")
            },
            payload=payload,
        )
        with pytest.raises(EventUnknownError, match=next(iter(change))):
            fold([replace(created, payload=payload, hash=digest)])


PLACE = {"seat": "A", "station": 1, "orientation": 1}
NOWHERE = {"seat": "A", "station": 1, "orientation": 3}
RECEIVED = {
    "value": "100", "unit": "mm", "value_mm": "100", "text": "100", "raw_hex": "", "format": "f",
    "gauge": "M-1", "arrival": 1,
}  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "payload"),
    [
        ("reading", {"place": NOWHERE, "received": RECEIVED}),
        ("reading", {"place": PLACE | {"seat": "Z"}, "received": RECEIVED}),
        ("reading", {"place": PLACE | {"station": 0}, "received": RECEIVED}),
        ("reading", {"place": PLACE, "received": RECEIVED, "supersedes": [99]}),
        ("reading", {"place": PLACE, "received": RECEIVED, "supersedes": [6]}),  # elsewhere
        ("reading", {"place": PLACE, "received": RECEIVED, "parked": 5}),  # no parked press
        ("parked", {"place": NOWHERE, "received": RECEIVED, "finding": "f"}),
        ("parked discarded", {"parked": 5, "reason": "r"}),
        ("withdrawn", {"reading": 7, "reason": "r"}),  # a parked press, no reading
        ("aimed", {"place": NOWHERE}),
        ("skipped", {"place": NOWHERE, "reason": "r"}),
    ],
)
def test_event_about_something_that_is_not_there_is_refused(events, kind, payload):
    with pytest.raises(ChainBrokenError, match="it speaks of something that is not there"):
        fold(following(events, kind, payload))


def test_what_was_decided_is_not_decided_again(events):
    withdrawn = following(events, "withdrawn", {"reading": 5, "reason": "r"})
    discarded = following(events, "parked discarded", {"parked": 7, "reason": "r"})
    for once, kind, payload in (
        (withdrawn, "withdrawn", {"reading": 5, "reason": "s"}),
        (discarded, "parked discarded", {"parked": 7, "reason": "s"}),
    ):
        fold(once)
        with pytest.raises(ChainBrokenError):
            fold(following(once, kind, payload))


def test_nothing_of_the_measuring_part_follows_its_seal(events):
    sealed = following(events, "sealed", {"statement": "s", "content": {}})
    with pytest.raises(ChainBrokenError, match="it stands after the seal"):
        fold(following(sealed, "reading", {"place": PLACE, "received": RECEIVED}))


def test_record_begins_with_the_opening_and_holds_one(events):
    with pytest.raises(ChainBrokenError, match="must be opened first"):
        fold(events[1:])
    with pytest.raises(ChainBrokenError, match="holds no events"):
        fold([])
    with pytest.raises(ChainBrokenError, match="it cannot stand at this place"):
        fold(following(events, "created", events[0].payload))


@pytest.mark.parametrize("text", ["nan", "inf", "", "1,5", "eins"])
def test_number_that_is_none_is_refused(events, text):
    payload = {"shaft_c": text, "gauge_c": "20"}
    with pytest.raises(EventUnknownError, match="is not a decimal number"):
        fold(following(events, "temperatures", payload))
