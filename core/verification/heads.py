"""The list of heads: how long every inspection of an archive was, and its last hash, on one day.

Kept elsewhere, it shows later what a chain alone cannot: an inspection that was removed whole, or
cut short. It is JSON: ``format`` "seatproof heads", ``version`` 1, ``made_utc``, ``inspections``
and ``registers``: each with ``id``, ``seq`` and ``hash`` of its last event.
"""

import json
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Final, Literal, Self

from pydantic import Field, ValidationError

from seatproof.core.contents import contents
from seatproof.core.placing import NotPlacedError, place
from seatproof.core.record.events import Event, canonical
from seatproof.core.record.kinds.parts import Digest, Part
from seatproof.core.verification.findings import Finding, Weight

MAX_LIST_BYTES: Final = 500_000_000


class HeadListError(Exception):
    """A list of heads that cannot be used; the message is a sentence."""

    def __init__(self, path: Path | None, finding: str) -> None:
        self.path = path
        self.finding = finding
        what = "The list of heads" if path is None else f"The list of heads {path}"
        super().__init__(f"{what} cannot be used: {finding}.")


class ListedHead(Part):
    """How long a chain was, and the hash of its last event."""

    id: Annotated[str, Field(min_length=1)]
    seq: Annotated[int, Field(ge=1)]
    hash: Digest


class HeadList(Part):
    """All chains of an archive on one day."""

    format: Literal["seatproof heads"] = "seatproof heads"
    version: Literal[1] = 1
    made_utc: str
    inspections: tuple[ListedHead, ...]
    registers: tuple[ListedHead, ...] = ()

    @classmethod
    def of(
        cls,
        inspections: Iterable[tuple[str, int, str]],
        registers: Iterable[tuple[str, int, str]],
        moment: datetime,
    ) -> Self:
        """Return the list of these chains, each given as id, number and hash of its last event."""
        return cls(
            made_utc=moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
            inspections=tuple(
                ListedHead(id=one, seq=seq, hash=hash_) for one, seq, hash_ in inspections
            ),
            registers=tuple(
                ListedHead(id=one, seq=seq, hash=hash_) for one, seq, hash_ in registers
            ),
        )

    def as_bytes(self) -> bytes:
        """Return the file's content: canonical JSON (RFC 8785)."""
        return canonical(self.model_dump(mode="json"))


def write_head_list(heads: HeadList, path: Path) -> Path:
    """Write a list and return where it is; another file of that name is never written over."""
    try:
        return place(heads.as_bytes(), path)
    except NotPlacedError as error:
        raise HeadListError(path, f"it cannot be written: {error.finding}") from error


def read_head_list(path: Path) -> HeadList:
    """Read a list of heads; `HeadListError` where it is none."""
    try:
        document = json.loads(contents(path, MAX_LIST_BYTES))
    except OSError as error:
        raise HeadListError(path, f"it cannot be read ({error.strerror})") from error
    except (ValueError, RecursionError) as error:
        raise HeadListError(path, "it is not JSON; name a list of heads") from error
    if not isinstance(document, dict) or document.get("format") != "seatproof heads":
        raise HeadListError(path, "it is not a list of heads; export one from the archive")
    if document.get("version") != 1:
        raise HeadListError(
            path, f"it has version {document.get('version')}; use a newer Seatproof"
        )
    try:
        return HeadList.model_validate(document)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise HeadListError(path, f"{where}: {first['msg']}") from error


def missing_from(
    listed: Sequence[ListedHead],
    events_of: Callable[[str], Sequence[Event]],
    *,
    what: str,
    made_utc: str,
) -> tuple[Finding, ...]:
    """Find the chains that were removed, cut short or written anew since a list was made.

    Parameters
    ----------
    listed : sequence of ListedHead
    events_of : callable
        Gives the events of a chain as they are now; none where there is no such chain.
    what : str
        What such a chain is called, for the sentences: "inspection" or "register".
    made_utc : str
        When the list was made.
    """
    findings = []
    for head in listed:
        events = events_of(head.id)
        sentence = _lost(head, events, f"{what} {head.id}", made_utc)
        if sentence:
            inspection = head.id if what == "inspection" else ""
            findings.append(Finding(Weight.DOES_NOT_HOLD, sentence, inspection, head.seq))
    return tuple(findings)


def _lost(head: ListedHead, events: Sequence[Event], name: str, made_utc: str) -> str:
    name = name[0].upper() + name[1:]
    if not events:
        return f"{name} was removed: it had {head.seq} events on {made_utc}."
    if len(events) < head.seq:
        missing = (
            f"event {head.seq}"
            if len(events) + 1 == head.seq
            else (f"events {len(events) + 1} to {head.seq}")
        )
        return f"{name} was cut short: {missing} are missing that it had on {made_utc}."
    if events[head.seq - 1].hash != head.hash:
        return (
            f"{name} was written anew: event {head.seq} is not the one that it had on {made_utc}."
        )
    return ""
