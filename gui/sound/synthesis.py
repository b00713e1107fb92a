"""The sounds themselves, made from tones: ``python -m seatproof.gui.sound.synthesis FOLDER``.

Kept apart by rhythm first, because a shop's noise swallows pitch: one stroke, two that fall, three
alike, a long fall, and three that rise. Every tone carries harmonics, which small loudspeakers give
better than the tone itself.
"""

import io
import sys
import wave
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from seatproof.gui.sound.cue import Cue

RATE_HZ: Final = 22_050
_PEAK: Final = 0.9 * 32767
_HARMONICS: Final = (1.0, 0.5, 0.25, 0.12)
_ATTACK_S: Final = 0.004  # shorter ones click


@dataclass(frozen=True, slots=True)
class Tone:
    """A tone that glides from one pitch to another and dies away; silence where it has none."""

    seconds: float
    from_hz: float = 0.0
    to_hz: float = 0.0


SCORES: Final[dict[Cue, tuple[Tone, ...]]] = {
    Cue.INSIDE: (Tone(0.14, 1480, 1480),),
    Cue.OUTSIDE: (Tone(0.16, 830, 830), Tone(0.05), Tone(0.26, 554, 554)),
    Cue.PARKED: (
        Tone(0.09, 1109, 1109),
        Tone(0.06),
        Tone(0.09, 1109, 1109),
        Tone(0.06),
        Tone(0.09, 1109, 1109),
    ),
    Cue.GAUGE_LOST: (Tone(0.55, 740, 330), Tone(0.08), Tone(0.55, 740, 330)),
    Cue.SEAT_FINISHED: (Tone(0.13, 784, 784), Tone(0.13, 988, 988), Tone(0.40, 1319, 1319)),
}


def samples(cue: Cue) -> NDArray[np.int16]:
    """Return a cue's samples at `RATE_HZ`, one channel."""
    return np.concatenate([_tone(tone) for tone in SCORES[cue]])


def wave_bytes(cue: Cue, volume: float = 1.0) -> bytes:
    """Return a cue as the bytes of a WAV file; `volume` is a share of the loudest."""
    data = np.asarray(np.rint(samples(cue) * volume), dtype="<i2")
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(data.tobytes())
    return buffer.getvalue()


def _tone(tone: Tone) -> NDArray[np.int16]:
    count = round(tone.seconds * RATE_HZ)
    if not tone.from_hz:
        return np.zeros(count, dtype=np.int16)
    at_s = np.arange(count) / RATE_HZ
    pitch_hz = np.linspace(tone.from_hz, tone.to_hz, count)
    phase = 2 * np.pi * np.cumsum(pitch_hz) / RATE_HZ
    sound = sum(
        share * np.sin(number * phase) for number, share in enumerate(_HARMONICS, start=1)
    ) / sum(_HARMONICS)
    rise = np.clip(at_s / _ATTACK_S, 0, 1)
    fall = np.clip((tone.seconds - at_s) / (0.5 * tone.seconds), 0, 1)
    return np.asarray(np.rint(_PEAK * sound * rise * fall), dtype=np.int16)


def main(folder: Path) -> None:
    """Write every cue's sound into a folder."""
    for cue in Cue:
        (folder / f"{cue}.wav").write_bytes(wave_bytes(cue))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
