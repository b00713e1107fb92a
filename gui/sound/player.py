"""Plays cues without ever holding the window up: by a player of the system, or by its bell.

Nothing is linked in for it. Windows plays a WAV file by itself; elsewhere one of the small programs
that come with every desktop's sound system does so in a process of its own. Where there is none, or
it finds no sound device, the bell is struck, as often as tells the cues apart.
"""

import io
import shutil
import sys
import tempfile
import wave
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

import numpy as np
from PySide6.QtCore import QObject, QProcess, QTimer
from PySide6.QtWidgets import QApplication

from seatproof.core.files import resource
from seatproof.gui.sound.cue import Cue

# Each is a program and what stands before the file's name.
PLAYERS: Final[tuple[tuple[str, ...], ...]] = (
    ("pw-play",),
    ("paplay",),
    ("aplay", "-q"),
    ("afplay",),
)
_STROKE_MS: Final = 170
_LAST_MS: Final = 300


def known_player() -> tuple[str, ...]:
    """Return the command of the first player that is installed; empty where there is none."""
    for command in PLAYERS:
        path = shutil.which(command[0])
        if path is not None:
            return (path, *command[1:])
    return ()


def sound_file(cue: Cue) -> Path:
    """Return the file that holds a cue's sound at its loudest."""
    return resource("sounds", f"{cue}.wav")


def at_volume(wav: bytes, volume: float) -> bytes:
    """Return the bytes of a 16-bit WAV file at a share of its loudness."""
    with wave.open(io.BytesIO(wav)) as file:
        params, frames = file.getparams(), file.readframes(file.getnframes())
    quieter = np.asarray(np.rint(np.frombuffer(frames, dtype="<i2") * volume), dtype="<i2")
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setparams(params)
        file.writeframes(quieter.tobytes())
    return buffer.getvalue()


class SoundPlayer(QObject):
    """Lets cues be heard, at a loudness.

    A cue that still sounds is not begun again: thirty presses a second are one sound, not a queue.

    Parameters
    ----------
    volume_percent : int
    muted : bool
    player : sequence of str or None
        The command that plays a file; by default the first that is installed. Empty for none.
    strike : callable
        Strikes the system's bell once.
    """

    def __init__(
        self,
        volume_percent: int,
        muted: bool = False,
        *,
        player: Sequence[str] | None = None,
        strike: Callable[[], None] = QApplication.beep,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._player = known_player() if player is None else tuple(player)
        self._strike = strike
        self._folder = tempfile.TemporaryDirectory(prefix="seatproof-sounds-")
        self._playing: dict[Cue, QProcess] = {}
        self._has_device = True
        self._strokes_left = 0
        self._strokes = QTimer(self)
        self._strokes.setInterval(_STROKE_MS)
        self._strokes.timeout.connect(self._strike_once)
        self._muted = muted
        self._volume = -1
        self.set_loudness(volume_percent, muted)

    @property
    def uses_bell(self) -> bool:
        """Whether nothing but the bell can sound here, as far as is known by now."""
        return not self._has_device or not (self._player or sys.platform == "win32")

    def set_loudness(self, volume_percent: int, muted: bool) -> None:
        """Set how loud it is; a sound device that was missing is looked for again."""
        self._muted = muted
        self._has_device = True
        if volume_percent == self._volume:
            return
        self._volume = volume_percent
        for cue in Cue:
            data = at_volume(sound_file(cue).read_bytes(), volume_percent / 100)
            self._file(cue).write_bytes(data)

    def play(self, cue: Cue) -> None:
        """Let a cue be heard; returns at once."""
        if self._muted or not self._volume:
            return
        if self.uses_bell:
            self._ring(cue)
        elif sys.platform == "win32":
            self._play_on_windows(cue)
        elif cue not in self._playing:
            self._start(cue)

    def close(self) -> None:
        """End what still sounds."""
        self._strokes.stop()
        for process in tuple(self._playing.values()):
            process.finished.disconnect()
            process.errorOccurred.disconnect()
            process.kill()
            process.waitForFinished(_LAST_MS)
        self._playing.clear()
        self._folder.cleanup()

    def _file(self, cue: Cue) -> Path:
        return Path(self._folder.name) / f"{cue}.wav"

    def _start(self, cue: Cue) -> None:
        process = QProcess(self)
        process.setStandardOutputFile(QProcess.nullDevice())
        process.setStandardErrorFile(QProcess.nullDevice())
        self._playing[cue] = process
        process.finished.connect(lambda code, _status: self._ended(cue, failed=code != 0))
        process.errorOccurred.connect(lambda _error: self._ended(cue, failed=True))
        process.start(self._player[0], [*self._player[1:], str(self._file(cue))])

    def _ended(self, cue: Cue, *, failed: bool) -> None:
        process = self._playing.pop(cue, None)
        if process is None:
            return  # told already, as a process that did not even start
        process.deleteLater()
        if failed:
            self._has_device = False
            self._ring(cue)

    def _play_on_windows(self, cue: Cue) -> None:
        if sys.platform == "win32":
            import winsound

            flags = winsound.SND_FILENAME | winsound.SND_ASYNC | winsound.SND_NODEFAULT
            try:
                winsound.PlaySound(str(self._file(cue)), flags)
            except RuntimeError:  # no device, as winsound says it
                self._has_device = False
                self._ring(cue)

    def _ring(self, cue: Cue) -> None:
        if self._strokes.isActive():
            return
        self._strokes_left = cue.strokes
        self._strike_once()
        if self._strokes_left:
            self._strokes.start()

    def _strike_once(self) -> None:
        self._strike()
        self._strokes_left -= 1
        if self._strokes_left <= 0:
            self._strokes.stop()
