"""Looking for garbage in the window's own thread.

Python looks for it in whatever thread happens to make an object when it is time. A widget that is
part of it would then be destroyed beside the thread it belongs to, which can end the process.
"""

import gc
from typing import Final

from PySide6.QtCore import QObject, QTimer

_EVERY_MS: Final = 200


class GarbageCollector(QObject):
    """Does what Python does by itself, at turns of the window's loop; `stop` gives it back."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        self._timer = QTimer(self)
        self._timer.setInterval(_EVERY_MS)
        self._timer.timeout.connect(self._look)
        self._timer.start()

    def stop(self) -> None:
        """Let Python look by itself again."""
        self._timer.stop()
        gc.enable()

    def _look(self) -> None:
        """Look through the oldest generation that is due."""
        due = zip(gc.get_count(), gc.get_threshold(), strict=True)
        generations = [number for number, (count, most) in enumerate(due) if count > most]
        if generations:
            gc.collect(max(generations))
