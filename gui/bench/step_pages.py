"""The pages of all steps but the readings, each made when it is first needed."""

from collections.abc import Callable

from PySide6.QtWidgets import QStackedWidget

from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import Asker, StepPage
from seatproof.gui.bench.pages.cautions import CautionsPage
from seatproof.gui.bench.pages.check import CheckPage
from seatproof.gui.bench.pages.condition import ConditionPage
from seatproof.gui.bench.pages.equipment import EquipmentPage
from seatproof.gui.bench.pages.identify import IdentifyPage
from seatproof.gui.bench.pages.seal import SealPage
from seatproof.gui.bench.pages.verdict import VerdictPage
from seatproof.gui.shared.theme import Theme

_CHECK = "check"  # all checks share one page


class StepPages:
    """Makes the page of a step, and keeps it in the stack beside the readings.

    Parameters
    ----------
    stack : QStackedWidget
    model : BenchModel
    theme : Theme
    ask : Asker
    attempt : callable
        Does something that may be refused, and says so where it is.
    """

    def __init__(
        self,
        stack: QStackedWidget,
        model: BenchModel,
        theme: Theme,
        ask: Asker,
        attempt: Callable[[Callable[[], object]], None],
    ) -> None:
        self._stack = stack
        self._model = model
        self._theme = theme
        self._ask = ask
        self._attempt = attempt
        self._pages: dict[str, StepPage] = {}

    def in_hand(self) -> StepPage | None:
        """Return the page of the step in hand; None for the readings."""
        steps = self._model.steps
        if steps.in_hand is Rung.READINGS and not steps.is_checking:
            return None
        name = _CHECK if steps.is_checking else steps.in_hand.value
        page = self._pages.get(name)
        if page is None:
            page = self._pages[name] = self._make(name)
            page.wanted.connect(self._attempt)
            self._stack.addWidget(page)
        return page

    def _make(self, name: str) -> StepPage:
        model, ask = self._model, self._ask
        match name:
            case Rung.IDENTIFY:
                return IdentifyPage(model, ask)
            case Rung.CAUTIONS:
                return CautionsPage(model, ask)
            case Rung.CONDITION:
                return ConditionPage(model, ask)
            case Rung.EQUIPMENT:
                return EquipmentPage(model, ask)
            case Rung.VERDICT:
                return VerdictPage(model, ask, self._theme)
            case Rung.SEAL:
                return SealPage(model, ask)
            case _:
                return CheckPage(model, ask)
