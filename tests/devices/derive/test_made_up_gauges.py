"""A thousand made-up gauges: every framing and shape that was captured, with their own encoders.

The encoders share no code with the product: they are what the product's findings are held against.
"""

import random
from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.derive.candidate import Question
from seatproof.devices.derive.press import KnownPress, Shown
from seatproof.devices.derive.work_out import proof, work_out
from seatproof.devices.formats import Reading

LINE_ENDS = (b"\r", b"\n", b"\r\n", b"\r\x12")


@dataclass(frozen=True)
class TextGauge:
    """Sends its value in decimal digits."""

    start: bytes
    end: bytes
    lead: bytes
    sign: str  # always, blank for plus, minus only
    gap: bytes
    padding: str  # zeros, zeros with minus inside, blanks, blanks before sign, none
    n_digits: int
    decimals: int
    mark: bytes
    unit: bytes
    tail: bytes
    check: str  # none, sum hex, xor byte, xor hex behind a star, xor byte behind the end

    def encode(self, value: Decimal) -> bytes:
        steps = abs(int(value.scaleb(self.decimals)))
        minus = {"always": b"+", "blank for plus": b" ", "minus only": b""}[self.sign]
        sign = b"-" if value < 0 else minus
        digits = str(steps)
        if self.padding == "zeros":
            digits = digits.zfill(self.n_digits)
        elif self.padding == "zeros with minus inside":
            digits = digits.zfill(self.n_digits - (value < 0))
        elif self.mark or self.padding != "bare":
            digits = digits.zfill(self.decimals + 1)
        text = digits.encode()
        if self.mark:
            text = text[: -self.decimals] + self.mark + text[-self.decimals :]
        width = self.n_digits + 2
        if self.padding == "blanks":
            field = sign + self.gap + text.rjust(width - len(sign) - len(self.gap))
        elif self.padding == "blanks before sign":
            field = (sign + self.gap + text).rjust(width)
        else:
            field = sign + self.gap + text
        body = self.lead + field + self.unit + self.tail
        if self.check == "sum hex":
            body += f"{sum(body) & 0xFF:02X}".encode()
        elif self.check == "xor byte":
            body += bytes([_xor(body)])
        elif self.check == "xor hex behind a star":
            body += f"*{_xor(body):02X}".encode()
        elif self.check == "xor byte behind the end":
            mark, rest = self.end[:1], self.end[1:]
            return self.start + body + mark + bytes([_xor(body + mark)]) + rest
        return self.start + body + self.end


def _xor(data: bytes) -> int:
    made = 0
    for byte in data:
        made ^= byte
    return made


@dataclass(frozen=True)
class PacketGauge:
    """Sends packets: digits or integers in bytes, or bytes written as hexadecimal digits."""

    kind: str  # flagged digits, summed hexadecimal, signed integer
    low_first: bool
    decimals: int
    sign_bit: int

    def encode(self, value: Decimal) -> bytes:
        steps = int(value.scaleb(self.decimals))
        if self.kind == "flagged digits":
            octets = bytes.fromhex(f"{abs(steps):06d}")
            octets = octets[::-1] if self.low_first else octets
            return b"\xaa" + octets + bytes([(value < 0) << self.sign_bit])
        order = "little" if self.low_first else "big"
        if self.kind == "signed integer":
            body = b"\x55" + steps.to_bytes(3, order, signed=True)
            return body + bytes([-sum(body) & 0xFF])
        octets = (steps & 0xFFFF).to_bytes(2, order)
        decoded = b"\x0b\x00D" + octets
        written = b":0b00D" + octets.hex().encode()
        return written + f"{sum(decoded) & 0xFF:02x}".encode() + b"\r\n"


Gauge = TextGauge | PacketGauge


def any_gauge(rng: random.Random) -> Gauge:
    """Make up a gauge."""
    if rng.random() < 0.15:
        return PacketGauge(
            kind=rng.choice(["flagged digits", "summed hexadecimal", "signed integer"]),
            low_first=rng.random() < 0.5,
            decimals=rng.randint(2, 4),
            sign_bit=rng.randrange(8),
        )
    start, end = rng.choice(
        [(b"", end) for end in LINE_ENDS] * 2
        + [(b"\x02", b"\x03"), (b"\x02", b"\x03\r\n"), (b"[", b"]"), (b"", b"\x04")]
        + [(b"", b""), (b"", b","), (b"", b" ")]
    )
    sign = rng.choice(["always", "always", "blank for plus", "minus only"])
    padding = rng.choice(["zeros", "zeros", "blanks", "blanks before sign", "none"])
    if sign == "minus only" and rng.random() < 0.3:
        padding = "zeros with minus inside"
    if sign == "blank for plus":
        padding = rng.choice(["zeros", "blanks", "none"])
    leads = [b"", b"", b"01A", b"02B", b"\x01", b"ch=", b"D1:"]
    if sign == "always":
        leads += [b"11", b"1:", b"3:"]
    mark = rng.choice([b".", b".", b",", b""])
    if not mark and padding == "none":
        padding = rng.choice(["none", "bare"])
    return TextGauge(
        start=start,
        end=end,
        lead=rng.choice(leads),
        sign=sign,
        gap=rng.choice([b"", b"", b"\0"]) if sign == "always" and "blanks" not in padding else b"",
        padding=padding,
        n_digits=rng.randint(6, 8),
        decimals=rng.randint(1, 4),
        mark=mark,
        unit=rng.choice([b"", b"", b"mm", b" mm", b"in", b" inch", b" mil", b"um"]),
        tail=rng.choice([b"", b"", b"", b"  N1    ", b";", b"="]),
        check=rng.choice(
            ["none"] * 5
            + ["sum hex", "xor byte" if not end else "sum hex", "xor hex behind a star"]
            + ["xor byte behind the end" if end[:1] == b"\x03" else "none"] * 2
        ),
    )


def any_value(gauge: Gauge, rng: random.Random, *, size: str) -> Decimal:
    """Make up a value that the gauge can show: large, near zero, or any."""
    n_digits = gauge.n_digits if isinstance(gauge, TextGauge) else 6
    if isinstance(gauge, PacketGauge) and gauge.kind == "summed hexadecimal":
        most = 0xFFFF
    else:
        # The minus may take a digit, and no gauge here shows more than 999 of its unit.
        most = min(10 ** (n_digits - 1) - 1, 10 ** (gauge.decimals + 3) - 1)
    if size == "near zero":
        steps = rng.randint(1, 10**gauge.decimals - 1)
    elif size == "large":
        steps = rng.randint(most // 2, most)
    else:
        steps = rng.randint(0, most)
    return Decimal(steps).scaleb(-gauge.decimals)


def has_minus(gauge: Gauge) -> bool:
    """Tell whether the gauge can send a negative value at all."""
    return not (isinstance(gauge, PacketGauge) and gauge.kind == "summed hexadecimal")


N_GAUGES = 1000
N_FURTHER = 25


def three_presses(gauge: Gauge, rng: random.Random) -> list[KnownPress]:
    """Press as a person is asked to: a large value, a negative one, and one near zero.

    One person in forty has no negative value at hand, and one in a hundred presses thrice alike.
    """
    chance = rng.random()
    large, near = (any_value(gauge, rng, size=size) for size in ("large", "near zero"))
    other = any_value(gauge, rng, size="any")
    if has_minus(gauge) and chance > 0.025:
        other = -other
    if chance > 0.99:
        near = large
    return [KnownPress(gauge.encode(value), Shown(value)) for value in (large, other, near)]


def read(form: GaugeFormat, raw: bytes) -> Decimal | None:
    result = proof(form, KnownPress(raw, Shown(Decimal(0))))
    return result.value if isinstance(result, Reading) else None


def test_thousand_gauges_none_learned_wrongly_most_learned_the_rest_say_what_is_missing() -> None:
    rng = random.Random(20310506)
    outcomes: Counter[str] = Counter()
    for n in range(N_GAUGES):
        gauge = any_gauge(rng)
        presses = three_presses(gauge, rng)
        found = work_out(presses)
        further = [any_value(gauge, rng, size="any") for _ in range(N_FURTHER)]
        further = [value for value in further if set(str(value)) > {"8", "."}]  # refused everywhere
        if has_minus(gauge):
            further += [-value for value in further]
        refused = further
        if found.format is not None:
            values = {v: read(found.format, gauge.encode(v)) for v in further}
            wrong = {v: got for v, got in values.items() if got not in (None, v)}
            assert not wrong, (n, gauge, presses, found.format, wrong)
            refused = [v for v, got in values.items() if got is None]
            if found.is_settled:
                assert not refused, (n, gauge, presses, found.format, refused)
        if found.is_settled or (_all_it_can(gauge, found.questions) and not refused):
            outcomes["learned"] += 1
        else:
            assert found.questions, (n, gauge, presses, found.trouble)
            outcomes["asks"] += 1
    assert outcomes["learned"] >= 950, outcomes


def _all_it_can(gauge: Gauge, questions: tuple[Question, ...]) -> bool:
    """Tell whether only a minus is missing that this gauge does not have."""
    return questions == (Question.NEGATIVE,) and not has_minus(gauge)
