"""What lies over the foot of the bench, one at a time: a question, typing a value, further doings.

The bench under them does not move, and presses go on arriving.
"""

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from seatproof.gui.bench.actions import ActionBar
from seatproof.gui.bench.more_panel import MorePanel
from seatproof.gui.bench.reason_panel import ReasonPanel
from seatproof.gui.bench.reasons import Ask
from seatproof.gui.bench.typing_panel import TypingPanel
from seatproof.gui.shared.saying import say


class Foot(QObject):
    """Opens and closes the panels, and asks.

    Parameters
    ----------
    bench : QWidget
        What they lie over.
    bar : ActionBar
        Cannot be used while a panel is open.
    attempt : callable
        Does something that may be refused, and says so where it is.
    may_open : callable
        Tells whether a panel may be opened now.

    Signals
    -------
    closed
        The bench has its keys again.
    """

    closed = Signal()

    def __init__(
        self,
        bench: QWidget,
        bar: ActionBar,
        attempt: Callable[[Callable[[], object]], None],
        *,
        may_open: Callable[[], bool],
    ) -> None:
        super().__init__(bench)
        self._bench = bench
        self._bar = bar
        self._attempt = attempt
        self._may_open = may_open
        self.reason = ReasonPanel(bench)
        self.typing = TypingPanel(bench)
        self.more = MorePanel(bench)
        for panel in (self.reason, self.typing, self.more):
            panel.closed.connect(self.close)
            panel.hide()

    @property
    def panels(self) -> tuple[QWidget, ...]:
        return self.reason, self.typing, self.more

    @property
    def is_covered(self) -> bool:
        """Whether a panel is open."""
        return any(panel.isVisible() for panel in self.panels)

    def ask_freely(
        self, question: str, answers: tuple[str, ...], then: Callable[[str], object]
    ) -> None:
        """Ask for words; presses go on arriving meanwhile."""
        if self.open(self.reason):
            self.reason.ask(question, answers, lambda reason: self._attempt(lambda: then(reason)))
            self._place(self.reason)

    def ask(
        self,
        ask: Ask,
        then: Callable[[str, bool], object],
        about: str = "",
        again_key: str = "",
    ) -> None:
        """Ask for a reason that may be owed; `then` takes the reason, and whether it is owed."""
        if self.open(self.reason):
            self.reason.ask(
                f"{say(ask.question)} {about}".strip(),
                ask.answers,
                lambda reason: self._attempt(lambda: then(reason, False)),
                lambda: self._attempt(lambda: then("", True)),
                again_key,
            )
            self._place(self.reason)

    def open(self, panel: QWidget) -> bool:
        """Make room for a panel; not while another is open."""
        if self.reason.isVisible():
            self.reason.take_keys()
        if self.is_covered or not self._may_open():
            return False
        self._bar.setEnabled(False)
        self._place(panel)
        return True

    def close(self) -> None:
        """Close what is open."""
        for panel in self.panels:
            panel.hide()
        self._bar.setEnabled(True)
        self.closed.emit()

    def place(self) -> None:
        """Lay the panels anew over a bench of another size."""
        for panel in self.panels:
            self._place(panel)

    def _place(self, panel: QWidget) -> None:
        layout = panel.layout()
        if layout is not None:
            layout.activate()  # what it asks now may need more room than what it asked before
        width, room = self._bench.width(), self._bench.height()
        height = min(max(panel.heightForWidth(width), panel.sizeHint().height()), room)
        panel.setGeometry(0, room - height, width, height)
        panel.raise_()
