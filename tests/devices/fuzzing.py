"""What must hold for any bytes at all, for the short run in the tests and for a fuzzer by hand.

By hand, in an environment that has the fuzzer as well as the program::

    python tests/devices/fuzzing.py -max_total_time=600

The first bytes of an input choose the format and where the stream is cut; the rest is the stream.
"""

import re
import sys
from decimal import Decimal
from functools import cache

from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.known import find_format, format_names
from seatproof.devices.declared.text import TextLayout
from seatproof.devices.formats import FrameFormat, Reading, Refusal
from seatproof.devices.framing import MAX_FRAME_BYTES, Frame, FrameFault

N_CHOICES = 3

# Independent of the product's own patterns: what `auto` may call a number, and nothing more.
_AUTO = re.compile(
    rb" *(?:(?:[0-9][0-9][A-Za-z]|[0-9]{1,2}:)(?=[+-]))?([+-]?) *([0-9]+)\.([0-9]+) *"
    rb"(?:mm|MM|in|IN|inch|INCH|um|UM|\xb5m|\xc2\xb5m|\xce\xbcm|mil|MIL)? *"
)


@cache
def formats() -> tuple[FrameFormat, ...]:
    return tuple(find_format(name) for name in format_names())


def check(data: bytes) -> None:
    """Assert what must hold for a format, a way of cutting and a stream."""
    if len(data) < N_CHOICES:
        return
    form = formats()[data[0] % len(formats())]
    trust_first = bool(data[1] & 1)
    stream = data[N_CHOICES:]
    cut = data[2] % (len(stream) + 1)
    frames = _frames(form, [stream], trust_first)
    assert frames == _frames(form, [stream[:cut], stream[cut:]], trust_first)
    assert frames == _frames(form, [stream[at : at + 1] for at in range(len(stream))], trust_first)
    assert sum(len(frame.raw) for frame in frames) <= len(stream)
    for frame in frames:
        assert frame.raw
        assert len(frame.data) <= MAX_FRAME_BYTES
        assert frame.data in frame.raw
        result = form.read(frame)
        if isinstance(result, Reading):
            _check_reading(form, frame, result)
        else:
            assert isinstance(result, Refusal)
            assert re.fullmatch(r"[A-Z].*[.]", result.reason)
            assert result.raw == frame.raw


def _frames(form: FrameFormat, chunks: list[bytes], trust_first: bool) -> list[Frame]:
    framer = form.framer(trust_first=trust_first)
    frames = [frame for chunk in chunks for frame in framer.feed(chunk)]
    return frames + framer.silence() + framer.flush()


def _check_reading(form: FrameFormat, frame: Frame, reading: Reading) -> None:
    assert reading.value.is_finite()
    assert not (reading.value.is_zero() and reading.value.is_signed())
    assert frame.fault in (None, FrameFault.TORN_START, FrameFault.AFTER_BREAK)
    assert reading.raw == frame.raw
    if not isinstance(form, GaugeFormat):
        assert frame.whole
        match = _AUTO.fullmatch(frame.data)
        assert match is not None
        expected = Decimal(f"{match[2].decode()}.{match[3].decode()}")
        assert abs(reading.value) == expected
        assert (reading.value < 0) == (match[1] == b"-" and expected != 0)
        return
    if frame.fault is not None:
        assert form.framing.kind != "length"
        assert form.layout.exact_length == len(frame.data)
    if isinstance(form.layout, TextLayout):
        assert frame.data.isascii()
        # All digits of the value stand in the frame, in their order.
        digits = str(abs(reading.value)).replace(".", "").lstrip("0")
        assert digits in re.sub(rb"[^0-9]", b"", frame.data).decode()
        minus = form.layout.minus
        assert (reading.value < 0) <= (minus in frame.data)


def main() -> None:
    """Fuzz until told to stop."""
    import atheris  # only by hand, and not among the program's dependencies

    atheris.instrument_all()
    for form in formats():
        form.read(Frame(b"1.5", b"1.5\r"))
    atheris.Setup(sys.argv, check)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
