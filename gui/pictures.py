"""Pictures of the real window while the job is done in it, for people who want to see it."""

import os
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from seatproof.core.archive.file import Archive
from seatproof.core.record.kinds import StandardInService
from seatproof.gui.bench.checking import CheckDesk
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.view import BenchView
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.try_out import has_display
from seatproof.gui.settings import Settings
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.shared.theme import CONTRAST, DARK, LIGHT, Theme, apply_theme
from seatproof.gui.simulation import SteadyHand, shaft_beside
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import ARCHIVE_SUFFIX, Workplace

_PATIENCE_S: Final = 20.0
_SETTLING_S: Final = 0.12  # plots are drawn a moment after the value


@dataclass(frozen=True, slots=True)
class View:
    """How a picture is taken: the window's size in pixels, its text against the usual, colours."""

    width: int
    height: int
    text_scale: float
    theme: Theme = LIGHT

    @property
    def name(self) -> str:
        colours = "" if self.theme is LIGHT else f"-{self.theme.name.replace(' ', '_')}"
        return f"{self.width}x{self.height}-{self.text_scale * 100:.0f}%{colours}"


VIEWS: Final = (
    View(1280, 800, 1.0),
    View(1920, 1080, 1.0, CONTRAST),
    View(1280, 800, 2.0, DARK),
)

# What the demonstration's plan asks for beside readings, so that every step has its picture.
_CONDITIONS: Final = (
    'conditions = ["clean and dry", "free of burrs and raised edges", "free of rust and fretting"]'
)
_CHECKS: Final = """
[checks]
opening = true
closing = true
standard = true
temperatures = true
drift = 0.003
"""


def take_pictures(folder: Path, views: tuple[View, ...] = VIEWS) -> tuple[Path, ...]:
    """Do the kiln fan's job in the window for each view, plain and step by step.

    Needs no display: without one the window is drawn in memory.

    Returns
    -------
    tuple of Path
        The pictures written.

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
        pictures += _guided_job(app, folder, view)
    return tuple(pictures)


@contextmanager
def _window(app: QApplication, view: View, form: SetupForm) -> Iterator[MainWindow]:
    apply_theme(app, view.theme, view.text_scale)
    with tempfile.TemporaryDirectory() as place:
        archive = Archive.open(Path(place) / f"pictures{ARCHIVE_SUFFIX}")
        window = MainWindow(
            Workplace(archive), view.theme, form, view.text_scale, settings=Settings(muted=True)
        )
        try:
            window.resize(view.width, view.height)
            window.show()
            app.processEvents()
            yield window
        finally:
            window.close()
            window.deleteLater()
            QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def _begin(app: QApplication, window: MainWindow, form: SetupForm) -> tuple[BenchView, SteadyHand]:
    window.begin(form)
    bench = window.bench_view
    assert bench is not None
    assert bench.simulated is not None
    _until(app, lambda: bench.model.line_is_up, "the simulated gauge's line to open")
    return bench, SteadyHand(bench.simulated.gauge)


def _guided_job(app: QApplication, folder: Path, view: View) -> Iterator[Path]:
    """Go through every step of a plan that asks for all of them."""
    with tempfile.TemporaryDirectory() as place:
        form = demonstration_form()
        source = Path(form.plan_file)
        plan = Path(place) / source.name
        text = source.read_text(encoding="utf-8")
        plan.write_text(_CONDITIONS + "\n" + text + _CHECKS, encoding="utf-8")
        shutil.copy(shaft_beside(source), shaft_beside(plan))
        form.plan_file = str(plan)
        with _window(app, view, form) as window:
            bench, hand = _begin(app, window, form)
            model, steps = bench.model, bench.model.steps
            for rung in (Rung.IDENTIFY, Rung.CAUTIONS, Rung.CONDITION):
                steps.go_to(rung)
                yield _grab(window, folder, view, f"step-{rung}")
            for seat in model.state.seats:
                for check in model.plan.conditions:
                    steps.answer(seat.id, check, "met")
                model.put_in_service(
                    StandardInService(
                        inventory_number=f"ST-{seat.id}",
                        size_mm=str(seat.nominal_mm),
                        expanded_mm="0.0008",
                        seats=(seat.id,),
                    )
                )
            steps.go_to(Rung.EQUIPMENT)
            yield _grab(window, folder, view, f"step-{Rung.EQUIPMENT}")
            steps.go_to(Rung.OPENING)
            steps.desk.temperatures.update(shaft="22.0", gauge="21.0", standard="21.0")
            yield from _check(app, window, folder, view, hand)
            steps.go_to(Rung.READINGS)
            for number in range(model.progress[1]):
                before = model.state.last.seq
                hand.press()
                _until(app, _beyond(model, before), f"press {number + 1}")
            steps.call_attention("knock", model.gauge_number)
            yield _grab(window, folder, view, f"step-{Rung.READINGS}")
            bench.show_more()
            yield _grab(window, folder, view, "more")
            bench.more.closed.emit()
            bench.type_value()
            yield _grab(window, folder, view, "typing")
            bench.typing.closed.emit()
            for rung in (Rung.VERDICT, Rung.SEAL):
                steps.go_to(rung)
                yield _grab(window, folder, view, f"step-{rung}")
            window.show_preferences()
            yield _grab(window, folder, view, "preferences")


def _check(
    app: QApplication, window: MainWindow, folder: Path, view: View, hand: SteadyHand
) -> Iterator[Path]:
    bench = window.bench_view
    assert bench is not None
    bench.refresh()
    desk = bench.model.steps.desk
    for number in range(1, 4):
        hand.press()
        _until(app, _holds(desk, number), "a press of the check")
    yield _grab(window, folder, view, f"step-{Rung.OPENING}")
    bench.model.steps.log_check()


def _holds(desk: CheckDesk, number: int) -> Callable[[], bool]:
    return lambda: len(desk.received) == number


def _beyond(model: BenchModel, seq: int) -> Callable[[], bool]:
    return lambda: model.state.last.seq > seq


def _job(app: QApplication, folder: Path, view: View) -> Iterator[Path]:
    form = demonstration_form()
    with _window(app, view, form) as window:
        yield _grab(window, folder, view, "0-setup")
        bench, hand = _begin(app, window, form)
        yield _grab(window, folder, view, "1-start")
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
        _until(app, lambda: bench.model.sealing is not None, "the seal and its sheet")
        yield _grab(window, folder, view, "6-sealed")
        bench.show_figure()
        window.resize(view.width, view.height)
        yield _grab(window, folder, view, "7-figure")


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
    bench = window.bench_view
    if bench is not None:
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        _until(app, lambda: bench.model.results_are_current, "the results")
    deadline = time.monotonic() + _SETTLING_S
    while time.monotonic() < deadline:
        QApplication.processEvents()
    path = folder / f"bench-{stage}-{view.name}.png"
    if not window.grab().save(str(path)):
        raise CommandError(f"The picture {path} cannot be written; name another folder.")
    return path
