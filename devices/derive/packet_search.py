"""Find the packet layouts that explain frames of one length whose displays are known."""

from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final, Literal

from pydantic import ValidationError

from seatproof.devices.declared.check import CheckRule, check_byte
from seatproof.devices.declared.packet import (
    Coding,
    Constant,
    Flags,
    Number,
    PacketCheck,
    PacketField,
    PacketLayout,
)
from seatproof.devices.derive.candidate import Candidate, Question, Sight

_MAX_PACKET_BYTES: Final = 40
_MAX_NUMBER_BYTES: Final = 4
_PACKINGS: Final[tuple[Literal["digits", "integer", "signed integer"], ...]] = (
    "digits", "integer", "signed integer",
)  # fmt: skip
_CODINGS: Final[tuple[Coding, ...]] = ("byte", "hex")

_HEX_DIGITS: Final = frozenset(b"0123456789abcdefABCDEF")


def packet_candidates(sights: Sequence[Sight]) -> Iterator[Candidate]:
    """Yield layouts that read every frame as its display; the number in as few bytes as it needs.

    A byte that was zero beside the number may be its highest byte or something else altogether. It
    is kept as a constant, so that it cannot turn into digits, and a larger value is asked for.
    """
    lengths = {len(sight.body) for sight in sights}
    decimals = {sight.shown.decimals for sight in sights}
    if len(lengths) > 1 or len(decimals) > 1 or lengths.copy().pop() > _MAX_PACKET_BYTES:
        return
    length, n_decimals = lengths.pop(), decimals.pop()
    for n_bytes in range(1, _MAX_NUMBER_BYTES + 1):
        for coding in _CODINGS:
            n_places = n_bytes * (2 if coding == "hex" else 1)
            for start in range(length - n_places + 1):
                for packing in _PACKINGS:
                    for low_first in (False, True) if n_bytes > 1 else (False,):
                        number = Number(
                            packing=packing,
                            octets=n_bytes,
                            low_first=low_first,
                            decimals=n_decimals,
                            coding=coding,
                        )
                        yield from _around(sights, number, start)


def _around(sights: Sequence[Sight], number: Number, start: int) -> Iterator[Candidate]:
    stop = start + number.n_places
    signed = number.packing == "signed integer"
    has_negative = any(sight.shown.is_negative for sight in sights)
    if signed and not has_negative:
        return  # an unsigned integer explains it as well
    for sight in sights:
        octets = number.decode(sight.body[start:stop])
        found = None if octets is None else number.integer(octets)
        wanted = sight.shown.steps
        if found != (-wanted if signed and sight.shown.is_negative else wanted):
            return
    before = _explain(sights, 0, start, signed)
    if before is None:
        return
    largest = max(sight.shown.steps for sight in sights)
    if not signed and number.octets > 1 and largest <= _most_in(number, number.octets - 1):
        return  # its highest byte was never used, so nobody knows that it belongs to it
    if not has_negative:
        # The highest bit, or digit, may be how the gauge writes a minus, as long as it was never
        # used: what has it set is refused.
        most = _most_in(number, number.octets, spare=1)
        if largest <= most:
            number = number.model_copy(update={"most": most})
    yield from _with_rest(sights, before, number, stop, signed)


def _most_in(number: Number, n_bytes: int, *, spare: int = 0) -> int:
    """Return the largest number in so many bytes with `spare` highest bits, or digits, unused."""
    if number.packing == "digits":
        return int(10 ** (2 * n_bytes - spare)) - 1
    return (1 << (8 * n_bytes - spare)) - 1


def _with_rest(
    sights: Sequence[Sight], before: list[PacketField], number: Number, stop: int, signed: bool
) -> Iterator[Candidate]:
    length = len(sights[0].body)
    after = _explain(sights, stop, length, signed)
    if after is not None:
        yield from _made(sights, before, number, after, None)
        return
    for coding in _CODINGS:
        n_places = 2 if coding == "hex" else 1
        body = (
            _explain(sights, stop, length - n_places, signed) if length - n_places >= stop else None
        )
        if body is None:
            continue
        for front, back in product(_spellings(before, coding), _spellings(body, coding)):
            check = _check(sights, [*front, number, *back], coding)
            if check is not None:
                yield from _made(sights, front, number, back, check)
                return


def _made(
    sights: Sequence[Sight],
    before: Sequence[PacketField],
    number: Number,
    after: Sequence[PacketField],
    check: PacketCheck | None,
) -> Iterator[Candidate]:
    ending = () if check is None else (check,)
    try:
        layout = PacketLayout(fields=(*before, number, *after, *ending))
    except ValidationError:
        return  # two bytes of flags, for one
    yield Candidate(layout, tuple(_questions(sights, layout, number, before, after)))


def _questions(
    sights: Sequence[Sight],
    layout: PacketLayout,
    number: Number,
    before: Sequence[PacketField],
    after: Sequence[PacketField],
) -> Iterator[Question]:
    knows_minus = number.packing == "signed integer" or any(
        isinstance(field, Flags) for field in layout.fields
    )
    if not knows_minus:
        yield Question.NEGATIVE
    if all(sight.shown.is_negative or sight.shown.value.is_zero() for sight in sights):
        yield Question.POSITIVE
    beside = after[:1] if number.low_first else before[-1:]
    for field in beside:
        if isinstance(field, Constant):
            edge = field.octets[:1] if number.low_first else field.octets[-1:]
            if edge in (b"\0", b"0"):
                yield Question.LARGER


def _explain(
    sights: Sequence[Sight], start: int, stop: int, signed: bool
) -> list[PacketField] | None:
    """Explain places beside the number: constant bytes, and at most one byte with a sign bit."""
    fields: list[PacketField] = []
    at = start
    while at < stop:
        column = [sight.body[at] for sight in sights]
        if len(set(column)) == 1:
            last = fields[-1] if fields else None
            octet = bytes([column[0]])
            if isinstance(last, Constant):
                fields[-1] = Constant(octets=last.octets + octet)
            else:
                fields.append(Constant(octets=octet))
            at += 1
            continue
        flags = None if signed else _sign_flags(sights, column)
        if flags is None or any(isinstance(field, Flags) for field in fields):
            return None
        fields.append(flags)
        at += 1
    return fields


def _sign_flags(sights: Sequence[Sight], column: Sequence[int]) -> Flags | None:
    pairs = list(zip(sights, column, strict=True))
    negative = {byte for sight, byte in pairs if sight.shown.is_negative}
    positive = {
        byte for sight, byte in pairs if not sight.shown.is_negative and sight.shown.value != 0
    }
    zero = {byte for sight, byte in pairs if sight.shown.value.is_zero()}
    if len(negative) != 1 or len(positive) != 1:
        return None
    minus, plus = negative.pop(), positive.pop()
    changed = minus ^ plus
    if changed.bit_count() != 1 or not minus & changed or not zero <= {minus, plus}:
        return None
    return Flags(negative=changed.bit_length() - 1, others=plus)


def _spellings(fields: Sequence[PacketField], coding: Coding) -> list[list[PacketField]]:
    """Return the ways to read constants, for a check that counts what they stand for.

    A check may begin at any byte, so constants are divided into single ones. A run of hexadecimal
    digits may be characters, or bytes written so.
    """
    ways: list[list[PacketField]] = [[]]
    for field in fields:
        spelled = _spell(field.octets, coding) if isinstance(field, Constant) else [[field]]
        ways = [[*way, *pieces] for way in ways for pieces in spelled]
    return ways


def _spell(octets: bytes, coding: Coding) -> list[list[PacketField]]:
    plain = _single(octets)
    spelled: list[list[PacketField]] = [plain]
    if coding == "byte":
        return spelled
    for start in range(len(octets)):
        for stop in range(start + 2, len(octets) + 1, 2):
            digits = octets[start:stop]
            if _HEX_DIGITS.issuperset(digits):
                written = Constant(octets=bytes.fromhex(digits.decode("ascii")), coding="hex")
                front, back = _single(octets[:start]), _single(octets[stop:])
                spelled.append([*front, written, *back])
    return spelled


def _single(octets: bytes) -> list[PacketField]:
    return [Constant(octets=bytes([octet])) for octet in octets]


def _check(
    sights: Sequence[Sight], fields: list[PacketField], coding: Coding
) -> PacketCheck | None:
    n_places = 2 if coding == "hex" else 1
    for rule in CheckRule:
        for first in range(len(fields)):
            if all(
                _covered_check(sight.body, fields, first, rule, coding)
                == _one_case(sight.body[-n_places:], coding)
                for sight in sights
            ):
                return PacketCheck(rule=rule, from_field=first, coding=coding)
    return None


def _one_case(sent: bytes, coding: Coding) -> bytes:
    return sent.lower() if coding == "hex" else sent


def _covered_check(
    body: bytes, fields: Sequence[PacketField], first: int, rule: CheckRule, coding: Coding
) -> bytes:
    covered, at = b"", 0
    for number, field in enumerate(fields):
        octets = field.decode(body[at : at + field.n_places]) or b""
        at += field.n_places
        if number >= first:
            covered += octets
    made = check_byte(rule, covered)
    return bytes([made]) if coding == "byte" else f"{made:02x}".encode("ascii")
