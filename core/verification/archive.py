"""Verifying an archive: every inspection, every register, every photo, and nothing missing."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final, Protocol

from seatproof.core.people.key_list import KeyList
from seatproof.core.people.person import add_up
from seatproof.core.people.register import REGISTER as PEOPLE
from seatproof.core.record.errors import ChainBrokenError, EventUnknownError
from seatproof.core.record.events import Event, check_chain
from seatproof.core.record.kinds import CarriedOver, Created, PhotoAdded, Superseded
from seatproof.core.verification.findings import (
    Finding,
    Outcome,
    RecordVerification,
    Verification,
    Weight,
)
from seatproof.core.verification.heads import HeadList, missing_from
from seatproof.core.verification.record import verify_events

REGISTERS: Final = (PEOPLE, "equipment", "plans")

Progress = Callable[[int, int], None]


class Agreement(Protocol):
    """Says, in sentences, what stands beside the events of an archive and does not agree."""

    def of_the_whole(self) -> tuple[str, ...]:
        """Look at what belongs to no single inspection."""

    def of(self, inspection: str) -> tuple[str, ...]:
        """Look at what is told of an inspection whose chain is whole."""

    def of_register(self, register: str) -> tuple[str, ...]:
        """Look at the events of a register."""


class ArchiveToVerify(Protocol):
    """What is read of an archive."""

    path: Path

    def inspections(self) -> tuple[str, ...]:
        """Return the ids of all inspections, oldest first."""

    def events(self, inspection: str) -> tuple[Event, ...]:
        """Return all events of an inspection."""

    def register_events(self, register: str) -> tuple[Event, ...]:
        """Return all events of a register."""

    def has_attachment(self, sha256: str) -> bool:
        """Tell whether the bytes of that hash are kept."""

    def attachment(self, sha256: str) -> bytes:
        """Return the bytes of that hash, which are compared with it."""

    def agreement(self) -> AbstractContextManager[Agreement]:
        """Return what compares the rest of the archive with its events."""


def verify_archive(
    archive: ArchiveToVerify,
    keys: KeyList | None = None,
    heads: HeadList | None = None,
    *,
    figures: bool = True,
    unreadable: type[Exception] | tuple[type[Exception], ...] = (),
    progress: Progress = lambda done, total: None,
) -> Verification:
    """Verify every chain of an archive.

    Parameters
    ----------
    archive : ArchiveToVerify
    keys : KeyList, optional
        Who has which key; without it no signer is established.
    heads : HeadList, optional
        Made earlier; without it nobody can tell whether an inspection was removed or cut short.
    figures : bool
        Whether the figures under the seals are worked out again, which takes most of the time.
    unreadable : exception types
        Errors of the archive that mean that one chain or photo cannot be read.
    progress : callable
        Called with how many inspections are done, and how many there are.
    """
    ids = archive.inspections()
    records: list[RecordVerification] = []
    findings: list[Finding] = []
    references: list[_Reference] = []
    for number, inspection in enumerate(ids):
        progress(number, len(ids))
        try:
            events = archive.events(inspection)
        except unreadable as error:
            findings.append(Finding(_weight(error), str(error), inspection))
            continue
        records.append(verify_events(events, keys, figures=figures))
        findings.extend(_photos(archive, inspection, events, unreadable))
        references.extend(_references(events))
    progress(len(ids), len(ids))
    findings.extend(_dangling(references, frozenset(ids), archive, unreadable))
    findings.extend(_registers(archive, unreadable))
    findings.extend(_beside(archive, records, unreadable))
    if heads is not None:
        findings.extend(_heads(archive, heads, unreadable))
    return Verification(str(archive.path), "archive", tuple(records), tuple(findings))


def _heads(
    archive: ArchiveToVerify,
    heads: HeadList,
    unreadable: type[Exception] | tuple[type[Exception], ...],
) -> Iterator[Finding]:
    def readable(read: Callable[[str], tuple[Event, ...]]) -> Callable[[str], Sequence[Event]]:
        def events_of(chain: str) -> Sequence[Event]:
            try:
                return read(chain)
            except unreadable:
                return ()  # that it cannot be read was found before; missing it is as well

        return events_of

    yield from missing_from(
        heads.inspections,
        readable(archive.events),
        what="inspection",
        made_utc=heads.made_utc,
    )
    yield from missing_from(
        heads.registers,
        readable(archive.register_events),
        what="register",
        made_utc=heads.made_utc,
    )


@dataclass(frozen=True, slots=True)
class _Reference:
    """That an event of one inspection names another, by the hash of one of its events."""

    inspection: str
    seq: int
    other: str
    named: str


def _references(events: Sequence[Event]) -> Iterator[_Reference]:
    for event in events:
        if event.kind not in (Created.kind, Superseded.kind):
            continue
        for name in ("supersedes", "reinspection_of", "by"):
            value = event.payload.get(name)
            if isinstance(value, dict):
                other, named = str(value.get("inspection")), str(value.get("head_hash"))
                yield _Reference(event.inspection, event.seq, other, named)


def _dangling(
    references: Sequence[_Reference],
    ids: frozenset[str],
    archive: ArchiveToVerify,
    unreadable: type[Exception] | tuple[type[Exception], ...],
) -> Iterator[Finding]:
    """Find inspections that name another one which is not there, or not as they name it."""
    for reference in references:
        said = f"Inspection {reference.inspection} names inspection {reference.other}"
        if reference.other not in ids:
            # It may be kept in another archive: only a list of heads tells that it was removed.
            sentence, weight = f"{said}, which is not in this archive.", Weight.NOTE
        else:
            try:
                events = archive.events(reference.other)
            except unreadable:
                continue  # that it cannot be read was found before
            if any(event.hash == reference.named for event in events):
                continue
            weight = Weight.DOES_NOT_HOLD
            sentence = (
                f"{said} by an event that it does not have: one of the two was cut short or "
                "written anew."
            )
        yield Finding(weight, sentence, reference.inspection, reference.seq)


def _photos(
    archive: ArchiveToVerify,
    inspection: str,
    events: Sequence[Event],
    unreadable: type[Exception] | tuple[type[Exception], ...],
) -> Iterator[Finding]:
    for event in events:
        kind, payload = event.kind, event.payload
        if kind == CarriedOver.kind:
            kind, payload = payload.get("kind_of", ""), payload.get("payload_of", {})
        if kind != PhotoAdded.kind or not isinstance(payload, Mapping):
            continue
        digest = str(payload.get("sha256", ""))
        try:
            is_there = archive.has_attachment(digest)
            if is_there:
                archive.attachment(digest)
        except unreadable as error:
            yield Finding(Weight.DOES_NOT_HOLD, str(error), inspection, event.seq)
            continue
        if not is_there:
            yield Finding(
                Weight.DOES_NOT_HOLD,
                f"The photo of event {event.seq} of inspection {inspection} is not in the archive.",
                inspection,
                event.seq,
            )


def _registers(
    archive: ArchiveToVerify, unreadable: type[Exception] | tuple[type[Exception], ...]
) -> Iterator[Finding]:
    for name in REGISTERS:
        try:
            events = archive.register_events(name)
            check_chain(events)
            if name == PEOPLE:
                add_up(events)
        except ChainBrokenError as error:
            yield Finding(
                Weight.DOES_NOT_HOLD,
                f"Event {error.seq} of the register of {name} does not hold: {error.finding}.",
                seq=error.seq,
            )
        except EventUnknownError as error:
            yield Finding(
                Weight.UNREADABLE,
                f"Event {error.seq} of the register of {name} cannot be read: {error.finding}.",
                seq=error.seq,
            )
        except unreadable as error:
            yield Finding(_weight(error), str(error))


def _beside(
    archive: ArchiveToVerify,
    records: Sequence[RecordVerification],
    unreadable: type[Exception] | tuple[type[Exception], ...],
) -> Iterator[Finding]:
    """Find what the archive tells, by its index or its spelling, that its events do not."""
    with archive.agreement() as agreement:
        looks: list[tuple[str, Callable[[], tuple[str, ...]]]] = [
            ("", agreement.of_the_whole),
            *(
                (one.inspection, partial(agreement.of, one.inspection))
                for one in records
                if one.outcome is Outcome.HOLDS
            ),
            *(("", partial(agreement.of_register, name)) for name in REGISTERS),
        ]
        for inspection, look in looks:
            try:
                sentences = look()
            except unreadable as error:
                yield Finding(_weight(error), str(error), inspection)
                continue
            for sentence in sentences:
                yield Finding(Weight.DOES_NOT_HOLD, sentence, inspection)


def _weight(error: Exception) -> Weight:
    """Tell what was altered from what cannot be read."""
    return Weight.DOES_NOT_HOLD if getattr(error, "is_altered", False) else Weight.UNREADABLE
