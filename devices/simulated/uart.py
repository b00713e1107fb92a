"""What a receiver makes of characters that were sent with other line settings than its own.

The level of the line is drawn bit by bit as the sender holds it, and sampled in the middle of the
receiver's bits, beginning anew at each falling edge, as serial receivers do.
"""

from itertools import chain, repeat
from typing import Final

from seatproof.devices.transport import LineSettings

# Simulated times are whole ticks, so that no rounding piles up over a long frame.
_TICKS_PER_S: Final = 115200 * 32


def resample(data: bytes, sent: LineSettings, received: LineSettings) -> bytes:
    """Return the bytes that a receiver delivers; those with a wrong stop bit are delivered too.

    >>> resample(b"1.5", LineSettings(), LineSettings())
    b'1.5'
    """
    ticks_sent = _TICKS_PER_S // sent.speed
    levels = list(
        chain.from_iterable(repeat(bit, ticks_sent) for byte in data for bit in _bits(byte, sent))
    )
    levels += [1] * (ticks_sent * 12)
    ticks = _TICKS_PER_S // received.speed
    n_bits = 1 + received.data_bits + (received.parity != "N")
    delivered, at, before = bytearray(), 0, 1
    while at < len(levels):
        if not (before == 1 and levels[at] == 0):
            before = levels[at]
            at += 1
            continue
        middles = [at + bit * ticks + ticks // 2 for bit in range(1, received.data_bits + 1)]
        bits = [levels[middle] if middle < len(levels) else 1 for middle in middles]
        delivered.append(sum(bit << place for place, bit in enumerate(bits)))
        at += n_bits * ticks + ticks // 2  # the middle of the stop bit
        before = 1  # a line still low there counts as the next start; chips differ in this
    return bytes(delivered)


def _bits(byte: int, settings: LineSettings) -> list[int]:
    data = [byte >> place & 1 for place in range(settings.data_bits)]
    parity = {"N": [], "E": [sum(data) % 2], "O": [1 - sum(data) % 2]}[settings.parity]
    return [0, *data, *parity, *[1] * settings.stop_bits]
