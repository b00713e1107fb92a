"""What a verification found, in plain words and as JSON."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any, Final


class Weight(StrEnum):
    """What a finding means for the whole; the worst of all decides."""

    NOTE = "note"
    DOES_NOT_HOLD = "does not hold"
    UNREADABLE = "unreadable"


class Outcome(StrEnum):
    """The answer of a verification."""

    HOLDS = "all holds"
    ALTERED = "altered"
    UNREADABLE = "unreadable"


EXIT_STATUS: Final = {Outcome.HOLDS: 0, Outcome.ALTERED: 1, Outcome.UNREADABLE: 2}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found.

    `inspection` and `seq` name the event it is about; `changed` says what of it changed, where that
    can be found out, otherwise it is empty.
    """

    weight: Weight
    sentence: str
    inspection: str = ""
    seq: int | None = None
    changed: str = ""


@dataclass(frozen=True, slots=True)
class Signature:
    """A signature in a record: what it says, whether it holds, and whether its signer is known.

    `signer` is "established" where the list of keys has the key under that person, and otherwise
    "not established"; `why` then says why.
    """

    seq: int
    of_seq: int
    meaning: str
    name: str
    role: str
    utc: str
    holds: bool
    signer: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class RecordVerification:
    """What was found of one inspection.

    `events` and `head_hash` are as found; `numbers` says whether the sealed evaluation was worked
    out again: "equal", "differ", or why it was not.
    """

    inspection: str
    sheet_number: str
    events: int
    head_hash: str
    findings: tuple[Finding, ...]
    signatures: tuple[Signature, ...] = ()
    numbers: str = ""

    @property
    def outcome(self) -> Outcome:
        return outcome_of(self.findings)


@dataclass(frozen=True, slots=True)
class Verification:
    """What was found of a file: a record, an archive or a sheet."""

    target: str
    kind: str
    records: tuple[RecordVerification, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """The findings on the file itself, then those on each of its records."""
        return (
            *self.findings,
            *(finding for record in self.records for finding in record.findings),
        )

    @property
    def outcome(self) -> Outcome:
        return outcome_of(self.all_findings)

    @property
    def exit_status(self) -> int:
        """0 all holds, 1 altered, 2 unreadable."""
        return EXIT_STATUS[self.outcome]

    def as_json(self) -> dict[str, Any]:
        """Return the verification as JSON values."""
        return {
            "target": self.target,
            "kind": self.kind,
            "outcome": self.outcome.value,
            "findings": [asdict(finding) for finding in self.findings],
            "records": [
                {**asdict(record), "outcome": record.outcome.value} for record in self.records
            ],
        }


def outcome_of(findings: Iterable[Finding]) -> Outcome:
    """Return the answer that findings add up to; what does not hold outweighs the unreadable."""
    weights = {finding.weight for finding in findings}
    if Weight.DOES_NOT_HOLD in weights:
        return Outcome.ALTERED
    return Outcome.UNREADABLE if Weight.UNREADABLE in weights else Outcome.HOLDS
