"""Where the bench's things come together: archive, plan, gauge; without Qt.

A `Workplace` has one archive open. It begins an inspection or goes on with one, and knows where
sheets go.
"""

import itertools
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.core.archive.file import Archive
from seatproof.core.archive.query import Entry
from seatproof.core.cautions import CAUTIONS
from seatproof.core.equipment.book import EquipmentBook
from seatproof.core.equipment.item import Item
from seatproof.core.plan.file import parse_plan, read_plan_text
from seatproof.core.record.errors import RecordFileError
from seatproof.core.record.events import Event
from seatproof.core.record.file import write_record
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import InspectionState
from seatproof.core.units import Unit
from seatproof.gui.bench.judging import Work, at_once
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.sealing import Sealing
from seatproof.gui.bench.surroundings import Surroundings
from seatproof.gui.simulation import (
    SimulatedGauge,
    example_plans,
    gauge_with_papers,
    made_up_shaft,
    sheet_number,
)

if TYPE_CHECKING:
    from seatproof.core.people.register import PeopleRegister
    from seatproof.gui.fitting.model import FittingModel

ARCHIVE_SUFFIX: Final = ".seatproof"
_LOOKED_THROUGH: Final = 20  # of the newest sealed inspections, for fittings to go on with


@dataclass(frozen=True, slots=True)
class Setup:
    """What is known before the first press.

    `gauge` is a real gauge's entry for the record, or None for the simulated one of `plan_file`.
    `temperatures_c` are those of shaft and gauge, or None where they were not taken.
    """

    plan_file: Path
    inspector: str
    asset: str = ""
    shaft_serial: str = ""
    work_order: str = ""
    gauge: GaugeInService | None = None
    temperatures_c: tuple[Decimal, Decimal] | None = None


@dataclass(frozen=True, slots=True)
class Bench:
    """An inspection ready to be measured: its model, its gauges, the one that is simulated."""

    model: BenchModel
    gauges: tuple[GaugeInService, ...]
    simulated: SimulatedGauge | None


def local_now() -> datetime:
    """Return the time with its offset from UTC, as events need it."""
    return datetime.now().astimezone()


def _nobody(inspection: str) -> None:
    """Nobody wants to know of seals."""


class Workplace:
    """One open archive and what is done in it.

    `on_sealed` is called with an inspection's identifier whenever a part of it was sealed.
    """

    def __init__(self, archive: Archive, clock: Callable[[], datetime] = local_now) -> None:
        self.archive = archive
        self.clock = clock
        self.on_sealed: Callable[[str], None] = _nobody

    def unfinished(self) -> tuple[Entry, ...]:
        """Return the inspections that were begun and not sealed, newest first."""
        return tuple(entry for entry in self.archive.entries() if not entry.sealed)

    def begin(self, setup: Setup, work: Work = at_once) -> Bench:
        """Open a new inspection; the cautions count as acknowledged by the one who begins it.

        Raises
        ------
        PlanError, ArchiveError, DeviceError, CommandRefusedError
            It cannot be begun; nothing was stored unless the archive took it.
        """
        plan_toml = read_plan_text(setup.plan_file)
        plan = parse_plan(plan_toml, source=str(setup.plan_file))
        gauge, simulated = setup.gauge, None
        if gauge is None:
            simulated = SimulatedGauge.for_plan(setup.plan_file)
            gauge = gauge_with_papers(simulated, plan, self.clock())
        try:
            inspection = Inspection.create(
                self.archive,
                plan_toml=plan_toml,
                identification=Identification(
                    sheet_number=sheet_number(self.clock()),
                    asset=setup.asset.strip(),
                    shaft_serial=setup.shaft_serial.strip(),
                    work_order=setup.work_order.strip(),
                ),
                actor=setup.inspector,
                clock=self.clock,
            )
            inspection.acknowledge_cautions(CAUTIONS)
            inspection.put_in_service(gauge)
            if setup.temperatures_c is not None:
                inspection.note_temperatures(*setup.temperatures_c)
        except BaseException:
            if simulated is not None:
                simulated.close()
            raise
        return self._bench(inspection, gauge, simulated, work)

    def go_on(
        self,
        inspection_id: str,
        inspector: str,
        gauge_of: Callable[[Unit], GaugeInService] | None = None,
        temperatures_c: tuple[Decimal, Decimal] | None = None,
        work: Work = at_once,
    ) -> Bench:
        """Go on with an inspection at the very point where it was left.

        The cautions count as acknowledged anew. With `gauge_of`, the gauge that it gives for the
        plan's unit is put in service; without, the one that was, a simulated one being set up
        again.
        """
        inspection = Inspection.resume(
            self.archive, inspection_id, actor=inspector, clock=self.clock
        )
        inspection.acknowledge_cautions(CAUTIONS)
        if temperatures_c is not None:
            inspection.note_temperatures(*temperatures_c)
        before = inspection.state.gauge
        if gauge_of is not None:
            gauge = gauge_of(inspection.state.plan.unit)
            inspection.put_in_service(gauge)
            return self._bench(inspection, gauge, None, work)
        if before is not None and not before.simulated:
            return self._bench(inspection, before, None, work)
        simulated = _simulated_for(inspection.state)
        try:
            entry = gauge_with_papers(simulated, inspection.state.plan, self.clock())
            inspection.put_in_service(entry)
        except BaseException:
            simulated.close()
            raise
        return self._bench(inspection, entry, simulated, work)

    def to_fit(self) -> tuple[Entry, ...]:
        """Return the sealed inspections whose fitting is not sealed yet, of the newest ones."""
        sealed = [one for one in self.archive.entries() if one.sealed and not one.superseded_by]
        return tuple(
            entry
            for entry in sealed[:_LOOKED_THROUGH]
            if _awaits_fitting(self.archive.events(entry.inspection))
        )

    def fit(self, inspection_id: str, person: str) -> "FittingModel":
        """Go on with the fitting of a sealed inspection; raises as `go_on` does."""
        from seatproof.gui.fitting.model import FittingModel

        inspection = Inspection.resume(self.archive, inspection_id, actor=person, clock=self.clock)
        return FittingModel(inspection, equipment=self._equipment)

    def close(self) -> None:
        self.archive.close()

    def wire_log_file(self, state: InspectionState, gauge_number: str) -> Path:
        """Return a new file for the bytes of a gauge's line; its folder is made."""
        folder = self.archive.path.parent / "wire logs"
        folder.mkdir(exist_ok=True)
        stem = _file_name(f"{state.identification.sheet_number} {gauge_number}")
        names = (f"{stem}{f' {count}' if count else ''}.jsonl" for count in itertools.count())
        return next(folder / name for name in names if not (folder / name).exists())

    def _bench(
        self,
        inspection: Inspection,
        gauge: GaugeInService,
        simulated: SimulatedGauge | None,
        work: Work,
    ) -> Bench:
        around = Surroundings(
            equipment=self._equipment,
            people=self.people,
            photo_source=self.archive.attachment,
            keep_photo=self.archive.put_attachment,
            trouble_ahead=self.archive.trouble_ahead,
        )
        model = BenchModel(inspection, finish=self.finish, work=work, surroundings=around)
        # A simulated gauge that was in service before has no line any longer.
        newest = {one.inventory_number: one for one in inspection.state.gauges}
        gauges = tuple(one for one in newest.values() if one == gauge or not one.simulated)
        return Bench(model, gauges, simulated)

    def people(self) -> "PeopleRegister":
        """Open the archive's register of people."""
        from seatproof.core.people.register import PeopleRegister

        return PeopleRegister.open(self.archive, self.clock)

    def _equipment(self) -> tuple[Item, ...]:
        """Return what the archive's register of equipment has in use."""
        return EquipmentBook.open(self.archive, self.clock).items()

    def kept_plans(self) -> tuple[Path, ...]:
        """Return the files of the plans that lie beside the archive."""
        return tuple(sorted((self.archive.path.parent / "plans").glob("*.toml")))

    def finish(self, state: InspectionState) -> Callable[[], Sealing]:
        """Return what writes the sheet and the record of a sealed inspection beside the archive.

        It may be called in another thread: what the archive is needed for is done here. Whoever
        keeps copies of what is sealed is told.
        """
        self.on_sealed(state.inspection)
        events = self.archive.events(state.inspection)
        folder = self.archive.path.parent / "sheets"
        name = _file_name(state.identification.sheet_number)

        def write() -> Sealing:
            from seatproof.core.sheet.document import write_sheet
            from seatproof.core.wording.errors import SheetError

            try:
                folder.mkdir(exist_ok=True)
                record = write_record(events, folder / f"{name}.json")
                sheet = write_sheet(state, folder / f"{name}.pdf")
            except (OSError, RecordFileError, SheetError) as error:
                return Sealing(
                    None,
                    None,
                    "The inspection is sealed and stored, but its files could not be written: "
                    f"{error}",
                )
            return Sealing(sheet, record, "")

        return write


def _awaits_fitting(events: tuple[Event, ...]) -> bool:
    """Tell whether a plan has fitting steps that no seal closes yet."""
    plan_toml = events[0].payload["plan_toml"]
    if "[[fitting]]" not in plan_toml or not parse_plan(plan_toml).fitting:
        return False
    return all(event.payload.get("part") != "fitting" for event in events if event.kind == "sealed")


def _file_name(text: str) -> str:
    return re.sub(r"[^\w.-]", "_", text)


def _simulated_for(state: InspectionState) -> SimulatedGauge:
    """Return the gauge on the shaft beside the example of that plan, or on a made-up shaft."""
    for plan_file in example_plans():
        if plan_file.read_text(encoding="utf-8") == state.plan_toml:
            return SimulatedGauge.for_plan(plan_file)
    return SimulatedGauge(made_up_shaft(state.plan), seed=1)
