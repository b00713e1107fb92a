"""The figures of a sealed sheet held against what this program works out from the same record."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from seatproof.core.evaluation.evaluate import EVALUATION_VERSION, evaluate_fully
from seatproof.core.record.events import Event
from seatproof.core.record.state import fold
from seatproof.core.sheet.compose import compose
from seatproof.core.sheet.document import sealed_content

# Plots are stored rounded to a thousandth of a micrometre: one unit of the last place, and the next
# one's rounding, may differ between processors.
_SAME: Final = 0.0021
# Pictures are taken over as they were sealed; how they were made is told in no figure.
_NOT_COMPARED: Final = frozenset({"photos", "glyphs", "version", "layout_version"})


@dataclass(frozen=True, slots=True)
class Recomputation:
    """What working out a sealed evaluation again gave.

    Attributes
    ----------
    obstacle : str
        Why nothing could be compared, as a sentence; "" where it could.
    differences : tuple of str
        One sentence for each figure or text that comes out differently.
    """

    obstacle: str
    differences: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        """Whether everything was compared and came out the same."""
        return not self.obstacle and not self.differences


def recompute(events: Sequence[Event]) -> Recomputation:
    """Evaluate a record as it was before its seal, and compare with what was sealed.

    Figures are compared as they are printed, coordinates of plots within 0.002 µm.

    Raises
    ------
    SheetError
        What was sealed is not a sheet's content that this program knows.
    RecordError
        The events form no record that this program knows.
    """
    state = fold(events)
    seal = state.seal
    if seal is None:
        return Recomputation("The record is not sealed: there is nothing to compare with.", ())
    sealed = sealed_content(state.inspection, dict(seal.payload.content))
    if sealed.evaluation_version != EVALUATION_VERSION:
        return Recomputation(
            f"The record was evaluated by version {sealed.evaluation_version} of the evaluation, "
            f"and this program has version {EVALUATION_VERSION}: its figures cannot be compared. "
            f"{sealed.program} can do it.",
            (),
        )
    before = fold([event for event in state.events if event.seq < seal.seq])
    again = compose(
        before,
        evaluate_fully(before),
        sealed.program,
        language=sealed.language,
        borrow_glyphs=False,
    )
    found = _differences(sealed.model_dump(mode="json"), again.model_dump(mode="json"), "")
    return Recomputation("", tuple(found))


def _differences(sealed: Any, again: Any, where: str) -> Iterator[str]:
    if isinstance(sealed, dict) and isinstance(again, dict):
        for key in sealed.keys() | again.keys() if where else sealed.keys() - _NOT_COMPARED:
            yield from _differences(sealed.get(key), again.get(key), f"{where}.{key}".lstrip("."))
    elif isinstance(sealed, list) and isinstance(again, list) and len(sealed) == len(again):
        for number, (one, other) in enumerate(zip(sealed, again, strict=True), start=1):
            yield from _differences(one, other, f"{where} {number}")
    elif not _same(sealed, again):
        yield f"{where}: the sheet says {_shown(sealed)}, and this program {_shown(again)}."


def _same(sealed: Any, again: Any) -> bool:
    numbers = (int, float)
    if isinstance(sealed, numbers) and isinstance(again, numbers):
        return abs(sealed - again) <= _SAME
    return bool(sealed == again)


def _shown(value: Any) -> str:
    text = f"“{value}”" if isinstance(value, str) else f"{value}"
    return text if len(text) <= 200 else f"{text[:200]}…"
