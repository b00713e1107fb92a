"""Pictures of the real window while the job is done in it, for people who want to see it."""

import os
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from seatproof.core.archive.file import Archive
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.try_out import demonstration_form, has_display
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.simulation import SteadyHand
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import ARCHIVE_SUFFIX, Workplace

_PATIENCE_S: Final = 20.0


@dataclass(frozen=True, slots=True)
class View:
    """How a picture is taken: the window's size in pixels, and its text against the usual."""

    width: int
    height: int
    text_scale: float

    @property
    def name(self) -> str:
        return f"{self.width}x{self.height}-{self.text_scale * 100:.0f}%"


VIEWS: Final = (View(1280, 800, 1.0), View(1920, 1080, 1.0), View(1280, 800, 2.0))


def take_pictures(folder: Path, views: tuple[View, ...] = VIEWS) -> tuple[Path, ...]:
    """Do the kiln fan's job in the window once for each view; return the pictures written.

    Needs no display: without one the window is drawn in memory.

    Raises
    ------
    CommandError
        The window does not come on, or a picture cannot be written.
    """
    if "QT_QPA_PLATFORM" not in os.environ and not has_display():
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
    app = QApplication.instance() or QApplication(["seatproof"])
    assert isinstance(app, QApplication)
    pictures: list[Path] = []
    for view in views:
        pictures += _job(app, folder, view)
    return tuple(pictures)


def _job(app: QApplication, folder: Path, view: View) -> Iterator[Path]:
    apply_theme(app, LIGHT, view.text_scale)
    with tempfile.TemporaryDirectory() as place:
        archive = Archive.open(Path(place) / f"pictures{ARCHIVE_SUFFIX}")
        window = MainWindow(Workplace(archive), LIGHT, demonstration_form())
        try:
            window.resize(view.width, view.height)
            window.show()
            app.processEvents()
            yield _grab(window, folder, view, "0-setup")
            window.begin(demonstration_form())
            bench = window.bench_view
            assert bench is not None
            assert bench.simulated is not None
            _until(app, lambda: bench.model.line_is_up, "the simulated gauge's line to open")
            yield _grab(window, folder, view, "1-start")
            hand = SteadyHand(bench.simulated.gauge)
            total = bench.model.progress[1]
            for number in range(1, total + 1):
                hand.press()
                _until(app, _reaches(bench.model, number), f"press {number}")
                if number == total * 2 // 3:
                    yield _grab(window, folder, view, "2-middle")
                    bench.take_back()
                    app.processEvents()
                    yield _grab(window, folder, view, "3-reason")
                    bench.reason.give_up()
            yield _grab(window, folder, view, "4-end")
            bench.seal()
            yield _grab(window, folder, view, "5-statement")
            bench.reason.give("A simulated gauge was pressed as recorded here.")
            yield _grab(window, folder, view, "6-sealed")
        finally:
            window.close()
            window.deleteLater()
            QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def _reaches(model: BenchModel, number: int) -> Callable[[], bool]:
    return lambda: model.progress[0] == number


def _until(app: QApplication, holds: Callable[[], bool], what: str) -> None:
    """Let the window work until something holds, with a limit."""
    deadline = time.monotonic() + _PATIENCE_S
    while not holds():
        if time.monotonic() > deadline:
            raise CommandError(f"Waited in vain for {what}; try again.")
        app.processEvents()
        time.sleep(0.002)


def _grab(window: MainWindow, folder: Path, view: View, stage: str) -> Path:
    QApplication.processEvents()
    path = folder / f"bench-{stage}-{view.name}.png"
    if not window.grab().save(str(path)):
        raise CommandError(f"The picture {path} cannot be written; name another folder.")
    return path
