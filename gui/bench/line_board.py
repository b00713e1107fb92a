"""The lines of all gauges as the bench shows them, and what is wrong with one; without Qt."""

from collections.abc import Callable

from seatproof.devices.line_state import LineKind, LineState, Symptom
from seatproof.devices.watch import SILENCE_S
from seatproof.gui.shared.saying import again, say


class LineBoard:
    """Keeps the newest state of each line.

    Silence is a symptom only while somebody is asked to press: a line is not blamed for the time
    that reading cautions and looking at seats takes.

    Parameters
    ----------
    awaited_s : callable
        Returns for how many seconds a press has been awaited; 0 where none is.
    """

    def __init__(self, awaited_s: Callable[[], float]) -> None:
        self._awaited_s = awaited_s
        self._lines: dict[str, LineState] = {}
        self._silences: dict[str, LineState] = {}

    def take(self, number: str, line: LineState) -> bool:
        """Take a change of a gauge's line; return whether its gauge is gone by it."""
        before = self._lines.get(number)
        if line.symptom is Symptom.SILENCE:
            self._silences[number] = line
            return False
        self._silences.pop(number, None)
        self._lines[number] = line
        was_up = before is not None and before.kind is LineKind.CONNECTED
        return line.kind in (LineKind.LOST, LineKind.FAILED) and (was_up or before is None)

    @property
    def shown(self) -> dict[str, LineState]:
        """The lines by inventory number, a silent one as such only when it matters."""
        if self._awaited_s() < SILENCE_S:
            return dict(self._lines)
        return self._lines | self._silences

    @property
    def trouble(self) -> tuple[str, ...]:
        """What is wrong with gauges' lines, said in a sentence each."""
        sentences = []
        for number, line in self.shown.items():
            is_opening = line.kind is LineKind.CONNECTING and line.error is None
            if line.kind is LineKind.CONNECTED and line.symptom is not None:
                sentences.append(f"{number}: {again(line.sentence)}")
            elif line.kind not in (LineKind.CONNECTED, LineKind.CLOSED) and not is_opening:
                kept = say("Everything logged is kept.")
                sentences.append(f"{number}: {again(line.sentence)} {kept}")
        return tuple(sentences)
