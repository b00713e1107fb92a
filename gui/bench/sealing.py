"""The seal of an inspection: what stands before it, its making, and its signature; without Qt."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.evaluation.evaluate import evaluate_fully
from seatproof.core.record.entries import OwedReason
from seatproof.core.record.errors import RecordError
from seatproof.core.record.gaps import Gap, GapKind
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.signing import MEASURED
from seatproof.core.record.state import InspectionState
from seatproof.core.verdict.rule import Verdict
from seatproof.core.version import PROGRAM
from seatproof.core.wording.content import SheetContent
from seatproof.gui.bench.judging import Work

if TYPE_CHECKING:  # keys and signatures are loaded when somebody signs
    from seatproof.core.people.signer import Signer


@dataclass(frozen=True, slots=True)
class Sealing:
    """What came of sealing: where the files lie, or why a file could not be written."""

    sheet: Path | None
    record: Path | None
    trouble: str


class SealDesk:
    """Seals one inspection, signs it, and has its files written.

    Parameters
    ----------
    inspection : Inspection
    finish : callable
        Returns of a sealed state what writes its files; that is done beside the window.
    work : Work
    photo_source : callable
        Returns the bytes of a photo by their hash.
    show : callable
        Called when the record has changed.
    tell : callable
        Called when something else that shows has changed.

    Attributes
    ----------
    is_sealing : bool
        Whether the whole evaluation for the seal is going on.
    remarks : tuple of str
        What was said when sealing was asked for; it is sealed when it is asked for again.
    reasons : dict
        Why it is sealed although something stands open, by what does.
    result : Sealing or None
        What came of it; None before.
    """

    def __init__(
        self,
        inspection: Inspection,
        *,
        finish: Callable[[InspectionState], Callable[[], Sealing]],
        work: Work,
        photo_source: Callable[[str], bytes],
        show: Callable[[], None],
        tell: Callable[[], None],
    ) -> None:
        self._inspection = inspection
        self._finish = finish
        self._work = work
        self._photo_source = photo_source
        self._show = show
        self._tell = tell
        self.is_sealing = False
        self.remarks: tuple[str, ...] = ()
        self.reasons: dict[str, str] = {}
        self.result: Sealing | None = None

    # --- what stands before it -------------------------------------------------------------------

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """What stands between the inspection and a clean seal."""
        return () if self._inspection.state.sealed is not None else self._inspection.gaps()

    @property
    def missing(self) -> tuple[Gap, ...]:
        """The gaps for which no reason is set down."""
        return tuple(gap for gap in self.gaps if not self.reason_for(gap))

    def reason_for(self, gap: Gap) -> str:
        """Return why it may be sealed with a gap: what was set down, or the deviation noted."""
        return self.reasons.get(gap.what, "") or self._accepted().get(gap.what, "")

    def owed_behind(self, gap: Gap) -> OwedReason | None:
        """Return the owed reason that a gap speaks of."""
        if gap.kind is not GapKind.OWED:
            return None
        owed = self._inspection.state.owed.values()
        return next((one for one in owed if f"event {one.seq}:" in gap.what), None)

    def is_drift(self, gap: Gap) -> bool:
        """Tell whether a gap is one that a recorded deviation answers."""
        return gap.kind is GapKind.DRIFT and gap.what not in self._accepted()

    def _accepted(self) -> dict[str, str]:
        noted = self._inspection.state.deviations
        return {entry.payload.what: entry.payload.reason for entry in noted}

    def give_reason(self, gap: Gap, reason: str) -> None:
        """Set down why it is sealed although something stands open; the seal logs it."""
        self.reasons[gap.what] = reason
        self._tell()

    # --- its making ------------------------------------------------------------------------------

    def seal(self, statement: str) -> None:
        """Seal the inspection under a statement, and write its sheet and record.

        The whole evaluation and the files are made beside the window; what is pressed meanwhile is
        logged, and makes it begin anew.
        """
        state = self._inspection.state
        photos = {
            entry.payload.sha256: self._photo_source(entry.payload.sha256) for entry in state.photos
        }
        self.is_sealing = True
        self._work(
            lambda: composed(state, photos),
            lambda content: self._seal_over(state, content, statement),
        )
        self._tell()

    def _seal_over(self, state: InspectionState, content: SheetContent, statement: str) -> None:
        self.is_sealing = False
        if self._inspection.state is not state:
            self.seal(statement)
            return
        from seatproof.core.sheet.compose import before_sealing  # as in `composed`

        remarks = before_sealing(content)
        if remarks != self.remarks:
            self.remarks = remarks  # sealed when it is asked for again, knowing of them
            if remarks:
                self._tell()
                return
        try:
            reasons = {gap.what: reason for gap in self.gaps if (reason := self.reason_for(gap))}
            self._inspection.seal(content.model_dump(mode="json"), statement, reasons)
        except (ArchiveError, RecordError) as error:
            self.remarks = (str(error),)
            self._tell()
            return
        self._write()

    def _write(self) -> None:
        self._work(self._finish(self._inspection.state), self._finished)
        self._show()

    def _finished(self, result: Sealing) -> None:
        self.result = result
        self._tell()

    # --- what follows ----------------------------------------------------------------------------

    @property
    def verdict(self) -> Verdict | None:
        """The verdict on all requirements together, as it was sealed; None before the seal."""
        sealed = self._inspection.state.sealed
        return None if sealed is None else Verdict(sealed.content["verdict"])

    @property
    def signature_is_owed(self) -> bool:
        """Whether the seal is there and still to be signed."""
        state = self._inspection.state
        return state.sealed is not None and bool(state.signature_owed)

    def sign(self, signer: "Signer") -> None:
        """Sign the seal with a person's key."""
        state = self._inspection.state
        assert state.seal is not None  # it is offered only then
        signed = signer.sign(
            inspection=state.inspection,
            of_seq=state.seal.seq,
            of_hash=state.seal.event.hash,
            meaning=MEASURED,
            moment=self._inspection.clock(),
        )
        self._inspection.sign(signed)
        self._write()  # the sheet names who signed


def composed(state: InspectionState, photos: Mapping[str, bytes]) -> SheetContent:
    """Evaluate a state wholly, and put it into the words of its sheet."""
    # What draws sheets is large, and nobody needs it before something is sealed.
    from seatproof.core.sheet.compose import compose

    return compose(state, evaluate_fully(state), PROGRAM, photo_source=photos.__getitem__)
