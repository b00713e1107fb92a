"""Commands that close a part of the work, and those that follow."""

from collections.abc import Mapping, Sequence
from typing import Any, Final, Literal

from seatproof.core.record.commands.logbook import Logbook, given, made
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.events import Event, check_chain
from seatproof.core.record.fitting_gaps import fitting_gaps
from seatproof.core.record.gaps import Gap, gaps
from seatproof.core.record.kinds import (
    ClosedGap,
    Disposition,
    Place,
    QuestionAnswered,
    QuestionAsked,
    Reference,
    Reviewed,
    Sealed,
    SealPart,
    Signed,
)
from seatproof.core.record.signing import (
    ACCEPTED,
    DECIDED,
    FITTED,
    MEASURED,
    NOT_ACCEPTED,
    signature_holds,
)
from seatproof.core.verdict.rule import Verdict

# Who did these things is the one to sign for them; other meanings are anybody's to give.
_OWN_DEED: Final = {
    MEASURED: Sealed.kind,
    FITTED: Sealed.kind,
    ACCEPTED: Reviewed.kind,
    NOT_ACCEPTED: Reviewed.kind,
    DECIDED: Disposition.kind,
}

Decision = Literal["accept", "rework", "concession", "reject"]


class Closing(Logbook):
    """The seal, and what is said of it afterwards."""

    __slots__ = ()

    def gaps(self) -> tuple[Gap, ...]:
        """Return what stands between the inspection and a clean seal."""
        return gaps(self.state)

    def unfinished(self) -> tuple[str, ...]:
        """Say what stands in the way of a seal, one sentence each."""
        return tuple(gap.what for gap in self.gaps())

    def seal(
        self,
        content: Mapping[str, Any],
        statement: str,
        reasons: Mapping[str, str] | None = None,
        part: SealPart = "measuring",
    ) -> Event:
        """Close a part over everything logged so far.

        `reasons` says, by the sentence of a gap, why it is sealed all the same.

        Raises
        ------
        CommandRefusedError
            It is sealed already, was carried on elsewhere, or a gap has no reason or can have none.
        """
        if any(entry.payload.part == part for entry in self.state.seals):
            raise CommandRefusedError("The inspection is sealed already.")
        stored = self.store.events(self.state.inspection)
        check_chain(stored)
        if not stored or stored[-1].hash != self.state.last.hash:
            raise CommandRefusedError(
                "The inspection was carried on elsewhere in the meantime; open it again, then seal."
            )
        standing = self.gaps() if part == "measuring" else fitting_gaps(self.state)
        closed = _closed(standing, reasons or {})
        return self._log(Sealed(part=part, statement=statement, content=dict(content), gaps=closed))

    def reference(self) -> Reference:
        """Name this inspection, as it stands now, to another one."""
        return Reference(
            inspection=self.state.inspection,
            sheet_number=self.state.identification.sheet_number,
            head_hash=self.state.last.hash,
        )

    # --- signatures, review, disposition ---------------------------------------------------------

    def sign(self, signed: Signed) -> None:
        """Add a signature over an event of this record.

        Raises
        ------
        CommandRefusedError
            It is not over this record, does not hold, is not by the one whose deed it is over, or
            is a review by one who signed as having measured.
        """
        event = next((one for one in self.state.events if one.seq == signed.of_seq), None)
        if event is None or event.hash != signed.of_hash:
            raise CommandRefusedError(
                "The signature is over another record than this one; sign again."
            )
        if not signature_holds(self.state.inspection, signed):
            raise CommandRefusedError(
                "The signature does not fit the key and the words beside it; sign again."
            )
        own_deed = _OWN_DEED.get(signed.meaning)
        if event.kind == own_deed and not _is_same_name(event.actor, signed.name):
            raise CommandRefusedError(
                f"Event {event.seq} ({event.kind}) is by {event.actor}, who alone can sign it so."
            )
        is_review = signed.meaning in (ACCEPTED, NOT_ACCEPTED)
        may_be_same = self.state.plan.signing.same_person_may_review
        if is_review and not may_be_same and self.state.signed_as_measurer(signed):
            raise CommandRefusedError(
                f"{signed.name} signed this inspection as having measured; the plan asks for "
                "another person's review."
            )
        self._log(signed)

    def review(self, finding: Literal["accepted", "not accepted"], note: str = "") -> Event:
        """Say what a review of the sealed part found.

        Raises
        ------
        CommandRefusedError
            The reviewer measured and the plan wants another person, the seal is not signed though
            the plan asks for it, or a refusal is not explained.
        """
        self._refuse_before_seal()
        signing = self.state.plan.signing
        if self.state.took_part(self.actor) and not signing.same_person_may_review:
            raise CommandRefusedError(
                f"{self.actor} measured or sealed this inspection; the plan asks for another "
                "person's review."
            )
        seal = self.state.seal
        if signing.signatures and seal is not None and not self.state.signatures_of(seal.seq):
            raise CommandRefusedError(
                "The seal is not signed yet, and the plan asks for signatures; have it signed "
                "first."
            )
        return self._log(made(Reviewed, finding=finding, note=note.strip()))

    def ask(self, text: str) -> Event:
        """Ask the inspector something."""
        self._refuse_before_seal()
        return self._log(made(QuestionAsked, text=text.strip()))

    def answer(self, of: int, text: str) -> None:
        """Answer the question of event `of`."""
        if all(entry.seq != of for entry in self.state.open_questions()):
            raise CommandRefusedError("That question waits for no answer any longer.")
        self._log(made(QuestionAnswered, of=of, text=text.strip()))

    def dispose(
        self, decision: Decision, reason: str, *, authority: str = "", number: str = ""
    ) -> Event:
        """Say what becomes of the shaft; what does not conform is never simply accepted."""
        self._refuse_before_seal()
        sealed = self.state.sealed
        verdict = None if sealed is None else sealed.content.get("verdict")
        if decision == "accept" and verdict == Verdict.DOES_NOT_CONFORM.value:
            raise CommandRefusedError(
                "A shaft that does not conform is not accepted; decide on rework, rejection, or a "
                "concession with its authority."
            )
        return self._log(
            made(
                Disposition,
                decision=decision,
                authority=authority.strip(),
                number=number.strip(),
                reason=given(reason),
            )
        )

    def _refuse_before_seal(self) -> None:
        if self.state.sealed is None:
            raise CommandRefusedError("The inspection is not sealed yet; seal it first.")


def _is_same_name(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()


def _closed(standing: Sequence[Gap], reasons: Mapping[str, str]) -> tuple[ClosedGap, ...]:
    open_yet = [
        gap.what
        for gap in standing
        if not (gap.reason_may_close and reasons.get(gap.what, "").strip())
    ]
    if open_yet:
        raise CommandRefusedError("The inspection cannot be sealed yet: " + " ".join(open_yet))
    return tuple(
        ClosedGap(
            what=gap.what,
            reason=given(reasons[gap.what]),
            points=tuple(Place.of(key) for key in gap.points),
        )
        for gap in standing
    )
