"""Events and their chain: none can be changed unseen.

Each event carries the hash of the one before. The hash of an event is the SHA-256 of the canonical
JSON (RFC 8785) of all its other fields. The first event of an inspection names `GENESIS` as the one
before.
"""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Final

import rfc8785

from seatproof.core.record.errors import ChainBrokenError

GENESIS: Final = "0" * 64


@dataclass(frozen=True, slots=True)
class Event:
    """What happened, who did it and when; `payload` holds JSON values only.

    `utc` is ISO 8601 with microseconds and ``Z``; `offset_min` is what the local clock was ahead
    of UTC, in minutes.
    """

    inspection: str
    seq: int
    utc: str
    offset_min: int
    actor: str
    kind: str
    payload: Mapping[str, Any]
    previous: str
    hash: str

    @property
    def moment(self) -> datetime:
        """The time of the event, in UTC."""
        return datetime.fromisoformat(self.utc)


def canonical(value: Any) -> bytes:
    """Return the canonical JSON (RFC 8785) of a JSON value.

    >>> canonical({"b": 1.0, "a": "ø"}).decode()
    '{"a":"ø","b":1}'
    """
    return rfc8785.dumps(value)


def event_hash(
    *,
    inspection: str,
    seq: int,
    utc: str,
    offset_min: int,
    actor: str,
    kind: str,
    payload: Mapping[str, Any],
    previous: str,
) -> str:
    """Return the SHA-256, in hexadecimal, of an event's canonical form."""
    content = {
        "actor": actor,
        "inspection": inspection,
        "kind": kind,
        "offset_min": offset_min,
        "payload": payload,
        "previous": previous,
        "seq": seq,
        "utc": utc,
    }
    return hashlib.sha256(canonical(content)).hexdigest()


def next_event(
    *,
    inspection: str,
    last: Event | None,
    moment: datetime,
    actor: str,
    kind: str,
    payload: Mapping[str, Any],
) -> Event:
    """Make the event that follows `last`; `moment` must know its offset from UTC."""
    offset = moment.utcoffset()
    if offset is None:
        raise ValueError("the moment of an event must know its offset from UTC")
    utc = moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    offset_min = round(offset.total_seconds() / 60)
    seq = 1 if last is None else last.seq + 1
    previous = GENESIS if last is None else last.hash
    digest = event_hash(
        inspection=inspection,
        seq=seq,
        utc=utc,
        offset_min=offset_min,
        actor=actor,
        kind=kind,
        payload=payload,
        previous=previous,
    )
    return Event(inspection, seq, utc, offset_min, actor, kind, payload, previous, digest)


def _is_utc(text: str) -> bool:
    """Tell whether a time is one: a hash can be made anew over anything."""
    try:
        return datetime.fromisoformat(text).utcoffset() == timedelta(0)
    except ValueError:
        return False


def check_chain(events: Iterable[Event]) -> int:
    """Check that events form one whole chain from its beginning; return how many there are.

    A chain that was cut at its end is a whole chain still: who needs to know that none is missing
    compares the last hash, or the number of events, with what was noted elsewhere (a sheet does).

    Raises
    ------
    ChainBrokenError
        Names the first event that does not hold and what is wrong with it.
    """
    last: Event | None = None
    for event in events:
        expected_seq = 1 if last is None else last.seq + 1
        expected_previous = GENESIS if last is None else last.hash
        if last is not None and event.inspection != last.inspection:
            raise ChainBrokenError(event.inspection, event.seq, "it is of another inspection")
        if event.seq != expected_seq:
            raise ChainBrokenError(
                event.inspection, event.seq, f"event {expected_seq} should stand in its place"
            )
        if event.previous != expected_previous:
            raise ChainBrokenError(
                event.inspection, event.seq, "it does not follow on the event before it"
            )
        recomputed = event_hash(
            inspection=event.inspection,
            seq=event.seq,
            utc=event.utc,
            offset_min=event.offset_min,
            actor=event.actor,
            kind=event.kind,
            payload=event.payload,
            previous=event.previous,
        )
        if recomputed != event.hash:
            raise ChainBrokenError(event.inspection, event.seq, "its content was altered")
        if not _is_utc(event.utc):
            raise ChainBrokenError(event.inspection, event.seq, "its time is not a time in UTC")
        last = event
    return 0 if last is None else last.seq
