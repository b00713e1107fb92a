"""A person at the bench of the real window, with a gauge on a real line: keys, taps and presses."""

import time
from pathlib import Path
from typing import Self

import pypdf
from PySide6.QtCore import QEvent, QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit, QScrollArea, QWidget

from seatproof.core.archive.file import Archive
from seatproof.core.record.events import Event, check_chain
from seatproof.core.record.state import InspectionState, fold
from seatproof.devices.arrival import BURST_WINDOW_S, REPEAT_WINDOW_S
from seatproof.devices.gauge import LineKind
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.marks import PointMarkLabel, VerdictLabel
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace

PATIENCE_MS = 10_000
GLOVED_FINGER_PX = 40
_MOST_TABS = 150  # more than the fullest page has widgets: a key that is never reached is told
GAUGE = "M-4"

_HEAD = """
format = 1
walk = "station by station"
{conditions}
[plan]
title = "Drying-kiln fan, trial shaft"
version = "1"
unit = "mm"

[shaft]
name = "Fan shaft"
datum_face = "end face at the coupling"
angular_datum = "keyway"

[[shaft.section]]
length = 250
diameter = 110

[[shaft.section]]
length = 150
diameter = 100
"""
_SEAT = """
[[seat]]
id = "{name}"
name = "Seat {name} of the fan"
from = {start}
length = 60
nominal = {nominal}
tolerance_class = "k6"
stations = {stations}
orientations = {orientations}
"""
_TAIL = """
[uncertainty]
expanded = 0.003
coverage_factor = 2
repeatability = 0.0005
basis = "setting standard within 1 mm of the size"
"""
FIRST_SEAT = ("A", 100, 110)  # 110 k6: 110.003 to 110.025 (ISO 286-1)
SECOND_SEAT = ("B", 300, 100)  # 100 k6: 100.003 to 100.025
CHECKS = "[checks]\nopening = true\nclosing = true\nstandard = true\ndrift = 0.003\n"
CONDITIONS = ("clean and dry", "free of burrs")


def plan_text(
    *seats: tuple[str, int, int],
    stations: int = 1,
    orientations: int = 3,
    conditions: tuple[str, ...] = (),
    more: str = "",
) -> str:
    """Return a plan of these seats, each a name, where it begins, and its nominal size."""
    named = ", ".join(f'"{words}"' for words in conditions)
    parts = [_HEAD.format(conditions=f"conditions = [{named}]" if named else "")]
    parts += [
        _SEAT.format(
            name=name, start=start, nominal=nominal, stations=stations, orientations=orientations
        )
        for name, start, nominal in seats
    ]
    return "".join((*parts, _TAIL, more))


def _dress() -> None:
    """Give the program its light theme, which takes long, where it has another or none."""
    app = QApplication.instance()
    if app.property("dressed_for_bench") != app.styleSheet() or not app.styleSheet():
        apply_theme(app, LIGHT)
        app.setProperty("dressed_for_bench", app.styleSheet())


class Gauge:
    """The gauge in the person's hand: what its button sends, at the pace of a hand."""

    def __init__(self, folder: Path) -> None:
        self.line = SimulatedLine(link=folder / "gauge")
        self._last = ("", 0.0)

    def press(self, *values: str) -> None:
        """Press once, no sooner after the press before than a hand can.

        Several values come as one piece, as from a bouncing or a jammed button.
        """
        last, at_s = self._last
        window_s = REPEAT_WINDOW_S if values[0] == last else BURST_WINDOW_S
        wait_s = at_s + 1.3 * window_s - time.monotonic()
        if wait_s > 0:
            QTest.qWait(round(wait_s * 1000) + 1)
        self.send(*values)

    def send(self, *values: str) -> None:
        """Send values as one piece, and now."""
        self.line.send(b"".join(f"01A+{value:0>9}\r".encode() for value in values))
        self._last = (values[-1], time.monotonic())


class Person:
    """Somebody at the window, who sees what is visible there and has a gauge."""

    def __init__(self, qtbot, folder: Path) -> None:
        self.qtbot = qtbot
        self.folder = folder
        self.archive_file = folder / "archive.seatproof"
        self.gauge = Gauge(folder)
        self.window: MainWindow | None = None
        _dress()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc_info: object) -> None:
        if self.window is not None:
            self.window.close()
        self.gauge.line.close()

    # --- the window ------------------------------------------------------------------------------

    def open_window(self, **fields: str) -> None:
        """Open the window on the archive, with the fields of the page before the bench."""
        form = SetupForm(inspector="Ann", shaft_serial="KF-0417-03")
        for name, value in fields.items():
            setattr(form, name, value)
        workplace = Workplace(Archive.open(self.archive_file))
        self.window = MainWindow(workplace, LIGHT, form)
        self.qtbot.addWidget(self.window)
        self.window.resize(1280, 800)
        self.window.show()
        self.until(self.window.isActiveWindow)

    def open_plan(self, plan: str, **fields: str) -> None:
        """Open the window with a plan and the gauge ready to begin."""
        path = self.folder / "plan.toml"
        path.write_text(plan, encoding="utf-8")
        given = {
            "plan_file": str(path),
            "source": self.gauge.line.source,
            "gauge_number": GAUGE,
            "resolution": "0.001",
        }
        self.open_window(**(given | fields))

    def begin(self, plan: str, **fields: str) -> None:
        """Begin an inspection, and wait for the gauge's line."""
        self.open_plan(plan, **fields)
        self.key(Qt.Key.Key_F2)
        assert self.bench is not None, self.window.setup_page.trouble.text()
        self.until(lambda: self.model.line_is_up)

    def close_window(self) -> None:
        assert self.window.close()
        self.window = None

    @property
    def bench(self):
        return self.window.bench_view

    @property
    def model(self):
        return self.bench.model

    def until(self, holds) -> None:
        self.qtbot.waitUntil(holds, timeout=PATIENCE_MS)

    # --- what is seen ----------------------------------------------------------------------------

    def settle(self) -> None:
        """Let the window paint what has changed, in its own time."""
        self.until(lambda: not self.bench._repaint.isActive())
        for _ in range(2):  # what comes new into a layout is given its place, then what scrolls it
            QApplication.processEvents()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    @property
    def instruction(self) -> str:
        return self.bench.instruction.text()

    def seen(self, words: str) -> bool:
        """Tell whether words stand anywhere in the window now."""
        return any(
            words in widget.text()
            for kind in (QLabel, ActionButton)
            for widget in self.window.findChildren(kind)
            if widget.isVisible()
        )

    def marks(self) -> set[str]:
        """Return the words of the marks that are seen now: of verdicts, and of the last value."""
        labels = [
            *self.window.findChildren(VerdictLabel),
            *self.window.findChildren(PointMarkLabel),
        ]
        return {label.accessibleName() for label in labels if label.isVisible()}

    def text_of(self, name: str) -> str:
        """Return the words of the visible label or button of a name; nothing where none is."""
        found = [w for w in self.window.findChildren(QWidget, name) if w.isVisible()]
        return found[0].text() if found else ""

    # --- keys ------------------------------------------------------------------------------------

    def key(self, key, modifiers=Qt.KeyboardModifier.NoModifier) -> None:
        self.qtbot.keyClick(QApplication.focusWidget() or self.window, key, modifiers)
        if self.bench is None:
            QApplication.processEvents()
        else:
            self.settle()

    def type(self, text: str) -> None:
        self.qtbot.keyClicks(QApplication.focusWidget(), text)

    def tab_to(self, name: str) -> None:
        """Go on by Tab until the widget of that name has the focus, as a person without a mouse."""
        for _ in range(_MOST_TABS):
            widget = QApplication.focusWidget()
            if widget is not None and widget.objectName() == name:
                return
            self.qtbot.keyClick(widget or self.window, Qt.Key.Key_Tab)
        raise AssertionError(f"no Tab reaches {name}; it rests on {QApplication.focusWidget()}")

    def push(self, name: str) -> None:
        """Push a button by Tab and the blank."""
        self.tab_to(name)
        self.key(Qt.Key.Key_Space)

    def write(self, name: str, text: str) -> None:
        """Go to a field by Tab, and type into it."""
        self.tab_to(name)
        self.type(text)

    # --- taps ------------------------------------------------------------------------------------

    def tap(self, name: str) -> None:
        """Tap what is seen under a name: it must be large enough, and nothing may lie over it."""
        if self.bench is not None:
            self.settle()
        found = [b for b in self.window.findChildren(ActionButton, name) if b.isVisible()]
        assert found, f"there is no button {name} to tap"
        button = found[0]
        assert button.isEnabled(), f"the button {name} cannot be tapped"
        assert button.height() >= GLOVED_FINGER_PX, f"{name} is {button.height()} px high"
        self._bring_into_view(button)
        middle = button.mapTo(self.window, button.rect().center())
        lies_there = self.window.childAt(middle)
        assert lies_there is button, f"{lies_there} lies over the middle of {name}"
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        QApplication.processEvents()
        if self.bench is not None:
            self.settle()

    def answer_field(self) -> QLineEdit:
        """Tap the field for an answer in words of one's own; it has the keys then."""
        field = self.bench.reason._own
        assert field.isVisible()
        self.qtbot.mouseClick(field, Qt.MouseButton.LeftButton)
        assert field.hasFocus()
        return field

    def use_own_words(self) -> None:
        """Tap the button that gives what is typed there as the answer."""
        self.qtbot.mouseClick(self.bench.reason._use_own, Qt.MouseButton.LeftButton)
        self.settle()

    def _bring_into_view(self, widget: QWidget) -> None:
        """Scroll as a finger would; what does not scroll must be whole in the window."""
        parent = widget.parentWidget()
        while parent is not None:
            if isinstance(parent, QScrollArea):
                parent.ensureWidgetVisible(widget)
                QApplication.processEvents()
            parent = parent.parentWidget()
        shown = QRect(widget.mapTo(self.window, QPoint(0, 0)), widget.size())
        assert self.window.rect().contains(shown), f"{widget.objectName()} is not whole in sight"

    # --- the gauge -------------------------------------------------------------------------------

    def press(self, *values: str) -> None:
        """Press for each value, and wait until the record has it, logged or parked."""
        for value in values:
            before = self.model.state.last.seq
            self.gauge.press(value)
            self.until(lambda before=before: self.model.state.last.seq > before)
        self.settle()

    def press_for_check(self, *values: str) -> None:
        """Press for a check, whose presses are held until it is logged."""
        desk = self.model.steps.desk
        for value in values:
            held = len(desk.received)
            self.gauge.press(value)
            self.until(lambda held=held: len(desk.received) > held)
        self.settle()

    def pull_the_cable(self) -> None:
        self.gauge.line.unplug()
        self.until(lambda: self.model.line.kind is LineKind.LOST)
        self.until(self.bench.banner.isVisible)

    def put_the_cable_back(self) -> None:
        self.gauge.line.replug()
        self.until(lambda: self.model.line_is_up)
        self.settle()

    # --- what is kept ----------------------------------------------------------------------------

    def stored(self) -> InspectionState:
        """Read the newest inspection back from the archive, as another program would."""
        return fold(self.stored_events())

    def stored_events(self) -> tuple[Event, ...]:
        with Archive.read(self.archive_file) as archive:
            events = archive.events(archive.entries()[0].inspection)
        check_chain(events)
        return events

    def sheet(self) -> str:
        """Read the words of the sheet that the bench names back from its PDF."""
        assert self.model.sealing.trouble == ""
        reader = pypdf.PdfReader(self.model.sealing.sheet)
        return " ".join(" ".join(page.extract_text() for page in reader.pages).split())
