"""What a fitting page needs round it: lines of gauges and torque tools, files, the register."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from seatproof.core.equipment.item import Item
from seatproof.core.people.register import PeopleRegister
from seatproof.devices.errors import DeviceError
from seatproof.devices.line_state import LineKind, LineState
from seatproof.gui.bench.background import Background
from seatproof.gui.bench.line import GaugeLines
from seatproof.gui.bench.sealing import Sealing
from seatproof.gui.bench.taking import taking_of
from seatproof.gui.fitting.model import FittingModel
from seatproof.gui.fitting.page import FittingPage
from seatproof.gui.settings import Settings
from seatproof.gui.shared.key_filter import KeyFilter
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme
from seatproof.gui.workplace import Workplace

_TROUBLED = (LineKind.LOST, LineKind.FAILED)


class FittingDesk(QObject):
    """One fitting at work.

    Parameters
    ----------
    workplace : Workplace
    inspection_id : str
        Its measuring part is sealed.
    person : str
        Who fits.
    theme : Theme
    settings : Settings
    on_done : callable
        Called when the person leaves.
    parent : QWidget
        The window: what a gauge types anywhere in it is a value, and its Return confirms no bolt.

    Raises
    ------
    ArchiveError, RecordError
        The inspection cannot be gone on with.
    """

    def __init__(
        self,
        workplace: Workplace,
        inspection_id: str,
        person: str,
        theme: Theme,
        settings: Settings,
        on_done: Callable[[], object],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._workplace = workplace
        self.model: FittingModel = workplace.fit(inspection_id, person)
        self._background = Background(self)
        self._keys: KeyFilter | None = None
        self.lines = GaugeLines(self)
        self.page = FittingPage(
            self.model,
            theme,
            settings,
            on_done,
            on_sealed=self._write_files,
            open_register=lambda: PeopleRegister.open(workplace.archive, workplace.clock),
        )
        self.lines.arrived.connect(lambda number, arrival: self.page.take(arrival, number))
        self.lines.changed.connect(self._line_changed)
        self.model.on_tool = self.open_tool
        for gauge in self.model.state.gauges:
            if not gauge.simulated:  # a simulated one left with the bench
                self._open(
                    partial(
                        self.lines.open,
                        gauge.inventory_number,
                        gauge.source,
                        gauge.format,
                        taking_of(gauge),
                    )
                )
        if self.lines.types:
            self._keys = KeyFilter(parent, self.lines.type_in)
        in_service = {one.payload.inventory_number for one in self.model.state.fitting.tools}
        for item in self.model.tools():
            if item.inventory_number in in_service:
                self.open_tool(item)

    def open_tool(self, item: Item) -> None:
        """Read a torque tool that has a line; one that only clicks has none."""
        self.model.bolting.torque_units[item.inventory_number] = item.torque_unit
        if item.line.source:
            self._open(
                partial(
                    self.lines.open,
                    item.inventory_number,
                    item.line.source,
                    item.line.format_name,
                )
            )

    def shut(self) -> None:
        """Close the lines, and end what goes on."""
        if self._keys is not None:
            self._keys.stop()
            self._keys.deleteLater()
            self._keys = None
        self.lines.stop()
        self._background.stop()

    def _open(self, open_line: Callable[[], object]) -> None:
        try:
            open_line()
        except DeviceError as error:
            self.model.line_trouble = again(str(error))
            self.page.refresh()

    def _line_changed(self, number: str, line: LineState) -> None:
        troubled = line.kind in _TROUBLED
        self.model.line_trouble = f"{number}: {again(line.sentence)}" if troubled else ""
        self.page.refresh()

    def _write_files(self) -> None:
        """Write sheet and record anew beside the archive, in a thread of its own."""
        self._background(self._workplace.finish(self.model.state), self._written)

    def _written(self, sealing: Sealing) -> None:
        self.model.said = (
            again(sealing.trouble)
            if sealing.trouble
            else say("The sheet lies at {place}.", place=str(sealing.sheet))
        )
        self.page.refresh()
