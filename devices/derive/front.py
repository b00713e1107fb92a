"""Explain what stands before a number: what is always the same, the sign, a gap, and the fill."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from seatproof.devices.derive.candidate import Question, Sight

_FILLS: Final = (b"", b" ")
_MOST_GAP_BYTES: Final = 2


@dataclass(frozen=True, slots=True)
class Split:
    """A frame divided at its number."""

    before: bytes
    number: bytes
    sight: Sight

    @property
    def is_negative(self) -> bool:
        return self.sight.shown.is_negative

    @property
    def is_zero(self) -> bool:
        return self.sight.shown.value.is_zero()


@dataclass(frozen=True, slots=True)
class Front:
    """What stands before the number, explained."""

    lead: bytes
    sign: Literal["always", "minus only", "never"]
    plus: bytes
    minus: bytes
    gap: bytes
    fill: bytes
    fill_first: bool
    fills: tuple[int, ...]
    n_signs: tuple[int, ...]
    questions: tuple[Question, ...] = ()


def fronts(splits: Sequence[Split]) -> Iterator[Front]:
    """Yield what can stand before the number: lead, sign, gap and fill, the longest lead first."""
    befores = [split.before for split in splits]
    negative = [split for split in splits if split.is_negative]
    positive = [split for split in splits if not split.is_negative and not split.is_zero]
    for n_lead in range(n_common(befores), -1, -1):
        lead = befores[0][:n_lead]
        rests = [before[n_lead:] for before in befores]
        for fill in _FILLS:
            for fill_first in (False, True) if fill else (False,):
                for n_gap in range(_MOST_GAP_BYTES + 1):
                    front = _front(splits, rests, lead, fill, fill_first, n_gap)
                    if front is None:
                        continue
                    questions = []
                    if not negative and front.sign != "always":
                        questions.append(Question.NEGATIVE)
                    if not positive:
                        questions.append(Question.POSITIVE)
                    yield replace(front, questions=tuple(questions))


def _front(
    splits: Sequence[Split],
    rests: Sequence[bytes],
    lead: bytes,
    fill: bytes,
    fill_first: bool,
    n_gap: int,
) -> Front | None:
    """Explain what stands between a lead and the number, in one way of dividing it."""
    if fill and lead.endswith(fill):
        return None  # where the fill begins is not known: all of it may be
    fills, signs, gaps = [], [], set()
    for rest in rests:
        core = rest
        n_fill = 0
        if fill:
            core = rest.lstrip(fill) if fill_first else rest.rstrip(fill)
            n_fill = len(rest) - len(core)
        if len(core) < n_gap:
            return None
        sign, gap = core[: len(core) - n_gap], core[len(core) - n_gap :]
        if len(sign) > 1:
            return None
        fills.append(n_fill)
        signs.append(sign)
        gaps.add(gap)
    if len(gaps) > 1 or (fill and not any(fills)):
        return None
    found = _sign(splits, signs)
    if found is None or (found[0] != "always" and n_gap):
        return None
    sign_kind, plus, minus = found
    return Front(
        lead, sign_kind, plus, minus, gaps.pop(), fill, fill_first, tuple(fills),
        tuple(map(len, signs)),
    )  # fmt: skip


def _sign(
    splits: Sequence[Split], signs: Sequence[bytes]
) -> tuple[Literal["always", "minus only", "never"], bytes, bytes] | None:
    pairs = list(zip(splits, signs, strict=True))
    of_negative = {sign for split, sign in pairs if split.is_negative}
    of_positive = {sign for split, sign in pairs if not split.is_negative and not split.is_zero}
    of_zero = {sign for split, sign in pairs if split.is_zero}
    if len(of_negative) > 1 or len(of_positive) > 1:
        return None
    minus = next(iter(of_negative), None)
    plus = next(iter(of_positive), None)
    if minus is None:
        if plus == b"" and of_zero <= {b""}:
            return "never", b"+", b"-"
        if plus == b"+" and of_zero <= {b"+", b"-"}:
            return "always", b"+", b"-"  # a gauge that writes a plus writes a minus
        return None
    if minus == b"" or minus == plus:
        return None
    if plus == b"":
        return ("minus only", b"+", minus) if of_zero <= {b"", minus} else None
    plus = b"+" if plus is None else plus
    return ("always", plus, minus) if of_zero <= {plus, minus} else None


def n_common(texts: Sequence[bytes]) -> int:
    """Return how many bytes the texts have in common at their beginning."""
    n = 0
    for column in zip(*texts, strict=False):
        if len(set(column)) > 1:
            break
        n += 1
    return n
