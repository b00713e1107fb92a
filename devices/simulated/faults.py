"""What can go wrong between a gauge and a program, done on purpose to a simulated gauge.

Each fault says what happens on the line instead of one clean frame, as steps that somebody plays.
What is random comes from a seed.
"""

import random
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import cycle
from typing import Final, Literal

from seatproof.core.units import Unit
from seatproof.devices.simulated.gauge import SimulatedMicrometer
from seatproof.devices.simulated.uart import resample
from seatproof.devices.transport import LineSettings


class Fault(StrEnum):
    """What the simulated gauge does wrong."""

    CHUNKING = "chunking"
    GLUED_FRAMES = "glued-frames"
    LOST_BYTE = "lost-byte"
    PARITY_DAMAGE = "parity-damage"
    WRONG_SPEED = "wrong-speed"
    BANNER = "banner"
    STATUS_CODES = "status-codes"
    DOUBLE_PRESS = "double-press"
    STALL = "stall"
    REPLUG = "replug"
    FLOOD = "flood"
    INCH_SWITCH = "inch-switch"
    DRIFT = "drift"
    DYING_BATTERY = "dying-battery"


EXPLAINED: Final = {
    Fault.CHUNKING: "frames come in pieces of a few bytes",
    Fault.GLUED_FRAMES: "two presses come as one piece",
    Fault.LOST_BYTE: "every third frame lacks a byte, and is pressed again",
    Fault.PARITY_DAMAGE: "every third frame has a byte with wrong parity, and is pressed again",
    Fault.WRONG_SPEED: "the gauge sends at 4800 7E2, and the port listens at 9600 8N1",
    Fault.BANNER: "the gauge greets with digits before its first value",
    Fault.STATUS_CODES: "a code comes first, and the value with the press after it",
    Fault.DOUBLE_PRESS: "the button bounces",
    Fault.STALL: "every third frame stops in its middle, and is pressed again",
    Fault.REPLUG: "the plug is pulled within every third frame and comes back under another name",
    Fault.FLOOD: "noise without end for some seconds before the first value",
    Fault.INCH_SWITCH: "the gauge is switched to inches after the third press",
    Fault.DRIFT: "the zero moves by a micrometre with each press",
    Fault.DYING_BATTERY: "after the third press: spinning digits, eights, a code, silence",
}

_EVERY: Final = 3
_PIECES: Final = (1, 1, 3, 1, 1)
_PIECE_PAUSE_S: Final = 0.02
_BOUNCE_S: Final = 0.004
_STALL_S: Final = 1.3  # longer than any gap inside a frame
_AGAIN_S: Final = 0.5  # what a person needs to see that nothing came, and to press again
_UNPLUGGED_S: Final = 0.3
_FLOOD_PIECES: Final = 60
_FLOOD_PIECE_BYTES: Final = 64
_FLOOD_PAUSE_S: Final = 0.02
_GREETING: Final = b"00000-000000\r\n450302198011281530\r\n"
_CODES: Final = (b"911\r", b"\x00911\r", b"912\r", b"---\r", b"OK\r")
_SENT_AT: Final = LineSettings(speed=4800, data_bits=7, parity="E", stop_bits=2)
_DRIFT_UM: Final = 1.0


@dataclass(frozen=True, slots=True)
class Send:
    """Send these bytes in one piece."""

    data: bytes


@dataclass(frozen=True, slots=True)
class Pause:
    """Do nothing for a while."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Cable:
    """Pull the plug, or put it back under another name."""

    act: Literal["unplug", "replug"]


@dataclass(frozen=True, slots=True)
class Undelivered:
    """The value has not been sent, so the press was in vain; `reason` says why."""

    reason: str


Step = Send | Pause | Cable | Undelivered


class Faults:
    """Turns clean presses into what a faulty gauge, cable or port makes of them.

    Parameters
    ----------
    kinds : collection of Fault
        Several may come together.
    seed : int
        The same seed and the same presses give the same steps.
    """

    def __init__(self, kinds: Collection[Fault], *, seed: int) -> None:
        self._kinds = frozenset(kinds)
        self._random = random.Random(seed)
        self._codes = cycle(_CODES)
        self._held = b""

    def prepare(self, micrometer: SimulatedMicrometer, n_press: int) -> None:
        """Do to the micrometer what happens before its press number `n_press`, counted from 1."""
        if Fault.DRIFT in self._kinds and n_press > 1:
            micrometer.shift_zero(_DRIFT_UM)
        if Fault.INCH_SWITCH in self._kinds and n_press == _EVERY + 1:
            micrometer.switch_to(Unit.INCH)

    def steps(self, frame: bytes, n_press: int) -> Iterator[Step]:
        """Yield what happens on the line for the press number `n_press`."""
        is_hit = n_press % _EVERY == 0
        if n_press == 1:
            yield from self._first()
        if Fault.DYING_BATTERY in self._kinds and n_press > _EVERY:
            yield from self._dying(frame, n_press - _EVERY)
            return
        if Fault.STATUS_CODES in self._kinds:
            yield from (Send(next(self._codes)), Pause(_AGAIN_S))
        if Fault.REPLUG in self._kinds and is_hit:
            yield from (Send(frame[: len(frame) // 2]), Pause(_PIECE_PAUSE_S), Cable("unplug"))
            yield from (Pause(_UNPLUGGED_S), Cable("replug"))
            yield Undelivered("the plug was pulled")
            return
        if Fault.STALL in self._kinds and is_hit:
            half = len(frame) // 2
            yield from (Send(frame[:half]), Pause(_STALL_S), Send(frame[half:]), Pause(_AGAIN_S))
        if is_hit and self._kinds & {Fault.LOST_BYTE, Fault.PARITY_DAMAGE}:
            yield from (Send(self._damaged(frame)), Pause(_AGAIN_S))
        if Fault.WRONG_SPEED in self._kinds:
            frame = resample(frame, _SENT_AT, LineSettings())
        yield from self._sent(frame)

    def rest(self) -> Iterator[Step]:
        """Yield what is still held back when nobody presses any more."""
        if self._held:
            # Who reads needs a moment: a line that goes takes along what was not read yet.
            yield from (Send(self._held), Pause(_UNPLUGGED_S))
            self._held = b""

    def _first(self) -> Iterator[Step]:
        if Fault.BANNER in self._kinds:
            yield from (Send(_GREETING), Pause(_AGAIN_S))
        if Fault.FLOOD in self._kinds:
            for _ in range(_FLOOD_PIECES):
                yield Send(self._random.randbytes(_FLOOD_PIECE_BYTES))
                yield Pause(_FLOOD_PAUSE_S)
            yield Pause(_STALL_S)
            # Whatever the noise left behind ends here; the value comes with the press after.
            yield from (Send(b"\r"), Pause(_AGAIN_S))

    def _damaged(self, frame: bytes) -> bytes:
        at = self._random.randrange(len(frame) - 1)
        if Fault.LOST_BYTE in self._kinds:
            return frame[:at] + frame[at + 1 :]
        damaged = bytes([frame[at] | 0x80])
        marked = b"\xff\x00" + damaged if self._random.random() < 0.5 else damaged
        return frame[:at] + marked + frame[at + 1 :]

    def _sent(self, frame: bytes) -> Iterator[Step]:
        if Fault.GLUED_FRAMES in self._kinds:
            if not self._held:
                self._held = frame
                return
            frame, self._held = self._held + frame, b""
        if Fault.CHUNKING in self._kinds:
            at = 0
            for size in cycle(_PIECES):
                if at >= len(frame):
                    break
                yield from (Send(frame[at : at + size]), Pause(_PIECE_PAUSE_S))
                at += size
        else:
            yield Send(frame)
        if Fault.DOUBLE_PRESS in self._kinds:
            yield from (Pause(_BOUNCE_S), Send(frame))

    def _dying(self, frame: bytes, n_after: int) -> Iterator[Step]:
        digits = [at for at, byte in enumerate(frame) if at > 3 and chr(byte).isdigit()]
        spinning = bytearray(frame)
        for at in digits:
            spinning[at] = ord("8") if n_after == 2 else self._random.choice(b"0123456789")
        if n_after <= 2:
            yield Send(bytes(spinning))
            return
        if n_after == 3:
            yield Send(b"911\r")
        yield Undelivered("the gauge's battery is empty")
