"""Find the text layouts that explain frames whose displays are known.

The search is strict where strictness costs a press and laxness could cost a wrong value: what was
always the same must stay the same, and the number has exactly the decimals that the display had.
"""

import re
from collections.abc import Iterator, Sequence
from typing import Any, Final

from pydantic import ValidationError

from seatproof.core.units import Unit
from seatproof.devices.declared.check import CheckForm, CheckRule, is_check, n_check_bytes
from seatproof.devices.declared.text import MAX_DIGITS, TextLayout
from seatproof.devices.declared.text_check import TextCheck
from seatproof.devices.derive.candidate import Candidate, Question, Sight
from seatproof.devices.derive.front import Front, Split, fronts, n_common

_UNITS: Final = {
    b"mm": Unit.MM, b"MM": Unit.MM, b"in": Unit.INCH, b"IN": Unit.INCH, b"inch": Unit.INCH,
    b"INCH": Unit.INCH, b'"': Unit.INCH, b"um": Unit.UM, b"UM": Unit.UM, b"\xb5m": Unit.UM,
    b"\xc2\xb5m": Unit.UM, b"mil": Unit.MIL, b"MIL": Unit.MIL,
}  # fmt: skip
_UNIT: Final = re.compile(
    rb"(?P<blanks>\x20*)(?P<unit>%s)(?![A-Za-z])(?P<rest>.*)"
    % b"|".join(map(re.escape, sorted(_UNITS, key=len, reverse=True))),
    re.DOTALL,
)
_CHECK_FORMS: Final[tuple[CheckForm, ...]] = ("hex", "half bytes", "byte")
_MOST_LEFT_OUT: Final = 4
_MOST_LEFT_OUT_LAST: Final = 2


def text_candidates(sights: Sequence[Sight]) -> Iterator[Candidate]:
    """Yield layouts that read every frame as its display, the likeliest first."""
    yield from _without_check(sights, None)
    for check in _checks(sights):
        n_check = n_check_bytes(check.form)
        cut = [Sight(sight.body[:-n_check], sight.shown) for sight in sights]
        yield from _without_check(cut, check)


def _checks(sights: Sequence[Sight]) -> Iterator[TextCheck]:
    for form in _CHECK_FORMS:
        n_check = n_check_bytes(form)
        bodies = [sight.body for sight in sights]
        ends = {body[-n_check:].lower() for body in bodies}
        n_shortest = min(map(len, bodies)) - n_check
        if len(ends) < 2 or n_shortest < 1:
            continue
        for rule in CheckRule:
            for left_out in range(min(_MOST_LEFT_OUT + 1, n_shortest)):
                for last in range(min(_MOST_LEFT_OUT_LAST + 1, n_shortest - left_out)):
                    if all(
                        is_check(rule, form, body[left_out : -n_check - last], body[-n_check:])
                        for body in bodies
                    ):
                        yield TextCheck(
                            rule=rule, form=form, leaves_out=left_out, leaves_out_last=last
                        )


def _without_check(sights: Sequence[Sight], check: TextCheck | None) -> Iterator[Candidate]:
    bodies = [sight.body for sight in sights]
    n_same_end = n_common([body[::-1] for body in bodies])
    for mark in (b".", b",", b""):
        if not mark and len({sight.shown.decimals for sight in sights}) > 1:
            continue
        for n_tail in range(n_same_end + 1):
            splits = [_split(sight, mark, n_tail) for sight in sights]
            found = [split for split in splits if split is not None]
            if len(found) < len(sights):
                continue
            tail = bodies[0][len(bodies[0]) - n_tail :]
            yield from _layouts(found, mark, tail, check)


def _split(sight: Sight, mark: bytes, n_tail: int) -> Split | None:
    """Divide a frame so that the number that stands before the tail is the one displayed."""
    shown, body = sight.shown, sight.body
    stop = len(body) - n_tail
    start = stop
    while start > 0 and (
        body[start - 1 : start].isdigit() or body[start - 1 : start] == mark != b""
    ):
        start -= 1
    number = body[start:stop]
    if mark:
        whole, found, decimals = number.rpartition(mark)
        if not found or not whole.isdigit() or len(decimals) != shown.decimals or not decimals:
            return None
        digits = whole + decimals
    else:
        digits = number
    if not digits or len(digits) > MAX_DIGITS or int(digits) != shown.steps:
        return None
    return Split(body[:start], number, sight)


def _is_of_number(byte: bytes, mark: bytes) -> bool:
    return byte.isdigit() or byte == mark != b""


def _layouts(
    splits: Sequence[Split], mark: bytes, tail: bytes, check: TextCheck | None
) -> Iterator[Candidate]:
    fixed = _tail_fields(tail)
    decimals = {split.sight.shown.decimals for split in splits}
    for front in fronts(splits):
        for sizes, open_size in _sizes(splits, front, mark, max(decimals)):
            lead, sizes = _unused_zeros(splits, front, sizes, max(decimals))
            fields: dict[str, Any] = {
                "lead": lead,
                "sign": front.sign,
                "plus": front.plus,
                "minus": front.minus,
                "gap": front.gap,
                "fill": front.fill,
                "fill_first": front.fill_first,
                "mark": mark,
                "decimals": decimals.copy().pop() if len(decimals) == 1 else None,
                "check": check,
            }
            try:
                layout = TextLayout.model_validate(fields | fixed | sizes)
            except ValidationError:
                continue  # it could be misread, as a sign of a digit's place
            yield Candidate(layout, front.questions + open_size)


def _unused_zeros(
    splits: Sequence[Split], front: Front, sizes: dict[str, Any], decimals: int
) -> tuple[bytes, dict[str, Any]]:
    """Keep digits that were always zero as they are, while the place of the minus is not known.

    One of them may be how the gauge writes a minus, as interfaces do that send half bytes.
    """
    if front.sign != "never" or sizes["min_digits"] != sizes["max_digits"]:
        return front.lead, sizes
    n_digits = sizes["min_digits"]
    n_used = max(decimals + 1, *(len(str(split.sight.shown.steps)) for split in splits))
    kept = front.lead + b"0" * (n_digits - n_used)
    return kept, {"min_digits": n_used, "max_digits": n_used}


def _tail_fields(tail: bytes) -> dict[str, Any]:
    match = _UNIT.fullmatch(tail)
    if match is None:
        return {"tails": (tail,)} if tail else {}
    rest = match["rest"]
    return {
        "units": {match["unit"]: _UNITS[match["unit"]]},
        "unit_blanks": len(match["blanks"]),
        "tails": (rest,) if rest else (),
    }


def _sizes(
    splits: Sequence[Split], front: Front, mark: bytes, decimals: int
) -> Iterator[tuple[dict[str, Any], tuple[Question, ...]]]:
    """Yield how many digits and places the number has, and what is not known about it."""
    n_digits = [len(split.number) - len(mark) for split in splits]
    widths = {
        n_sign + len(front.gap) + n_fill + len(split.number)
        for split, n_sign, n_fill in zip(splits, front.n_signs, front.fills, strict=True)
    }
    fewest, most = min(n_digits), max(n_digits)
    usual = decimals + 1  # without zeros that only fill up
    fewest_usual = usual if fewest >= usual else 1
    if any(len(split.number) - len(mark) > usual and split.number[:1] == b"0" for split in splits):
        if front.fill:
            return
        if fewest == most:
            yield {"min_digits": most, "max_digits": most}, ()
        elif len(widths) == 1 and most - fewest == 1:  # the minus takes the place of a digit
            yield {"min_digits": fewest, "max_digits": most, "width": widths.pop()}, ()
    elif front.fill:
        if len(widths) == 1:
            width = widths.pop()
            room = min(MAX_DIGITS, width - len(mark) - len(front.gap))
            yield {"min_digits": fewest_usual, "max_digits": room, "width": width}, ()
    elif fewest != most:
        yield {"min_digits": fewest_usual, "max_digits": _most_digits(fewest_usual, most, mark)}, ()
    else:
        yield {"min_digits": most, "max_digits": most}, (Question.SIZE,)


def _most_digits(fewest: int, most: int, mark: bytes) -> int:
    """Return how many digits a number of changing width may have.

    A button that bounces can glue two frames together. Two points in one frame are seen, but where
    the decimals are implied, nothing but the count of digits tells a double frame.
    """
    return MAX_DIGITS if mark else max(most, 2 * fewest - 1)
