"""Where the bench's things come together: archive, plan, gauge; without Qt.

A `Workplace` has one archive open. It begins an inspection or goes on with one, and knows where
sheets go.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Final

from seatproof.core.archive.file import Archive, Entry
from seatproof.core.cautions import CAUTIONS
from seatproof.core.plan.file import parse_plan, read_plan_text
from seatproof.core.record.errors import CommandRefusedError, RecordFileError
from seatproof.core.record.file import write_record
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import InspectionState
from seatproof.core.units import Unit
from seatproof.gui.bench.model import BenchModel, Sealing
from seatproof.gui.simulation import SimulatedGauge, example_plans, sheet_number

ARCHIVE_SUFFIX: Final = ".seatproof"


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
    """An inspection ready to be measured: its model, and the gauge where that is simulated."""

    model: BenchModel
    source: str
    format_name: str
    simulated: SimulatedGauge | None


def local_now() -> datetime:
    """Return the time with its offset from UTC, as events need it."""
    return datetime.now().astimezone()


class Workplace:
    """One open archive and what is done in it."""

    def __init__(self, archive: Archive, clock: Callable[[], datetime] = local_now) -> None:
        self.archive = archive
        self._clock = clock

    def unfinished(self) -> tuple[Entry, ...]:
        """Return the inspections that were begun and not sealed, newest first."""
        return tuple(entry for entry in self.archive.entries() if not entry.sealed)

    def begin(self, setup: Setup) -> Bench:
        """Open a new inspection; the cautions count as acknowledged by the one who begins it.

        Raises
        ------
        PlanError, ArchiveError, DeviceError, CommandRefusedError
            It cannot be begun; nothing was stored unless the archive took it.
        """
        plan_toml = read_plan_text(setup.plan_file)
        parse_plan(plan_toml, source=str(setup.plan_file))
        gauge, simulated = setup.gauge, None
        if gauge is None:
            simulated = SimulatedGauge.for_plan(setup.plan_file)
            gauge = simulated.in_service()
        try:
            inspection = Inspection.create(
                self.archive,
                plan_toml=plan_toml,
                identification=Identification(
                    sheet_number=sheet_number(self._clock()),
                    asset=setup.asset.strip(),
                    shaft_serial=setup.shaft_serial.strip(),
                    work_order=setup.work_order.strip(),
                ),
                actor=setup.inspector,
                clock=self._clock,
            )
            inspection.acknowledge_cautions(CAUTIONS)
            inspection.put_in_service(gauge)
            if setup.temperatures_c is not None:
                inspection.note_temperatures(*setup.temperatures_c)
        except BaseException:
            if simulated is not None:
                simulated.close()
            raise
        return self._bench(inspection, gauge, simulated)

    def go_on(
        self,
        inspection_id: str,
        inspector: str,
        gauge_of: Callable[[Unit], GaugeInService] | None = None,
        temperatures_c: tuple[Decimal, Decimal] | None = None,
    ) -> Bench:
        """Go on with an inspection at the very point where it was left.

        The cautions count as acknowledged anew. With `gauge_of`, the gauge that it gives for the
        plan's unit is put in service; without, the one that was, a simulated one being set up
        again.
        """
        inspection = Inspection.resume(
            self.archive, inspection_id, actor=inspector, clock=self._clock
        )
        inspection.acknowledge_cautions(CAUTIONS)
        if temperatures_c is not None:
            inspection.note_temperatures(*temperatures_c)
        before = inspection.state.gauge
        if gauge_of is not None:
            gauge = gauge_of(inspection.state.plan.unit)
            inspection.put_in_service(gauge)
            return self._bench(inspection, gauge, None)
        if before is not None and not before.simulated:
            return self._bench(inspection, before, None)
        simulated = SimulatedGauge.for_plan(_example_with(inspection.state.plan_toml))
        try:
            entry = simulated.in_service()
            inspection.put_in_service(entry)
        except BaseException:
            simulated.close()
            raise
        return self._bench(inspection, entry, simulated)

    def close(self) -> None:
        self.archive.close()

    def _bench(
        self, inspection: Inspection, gauge: GaugeInService, simulated: SimulatedGauge | None
    ) -> Bench:
        return Bench(
            BenchModel(inspection, finish=self._finish), gauge.source, gauge.format, simulated
        )

    def _finish(self, state: InspectionState) -> Sealing:
        """Write the sheet and the record of a sealed inspection beside the archive."""
        from seatproof.core.sheet.document import write_sheet
        from seatproof.core.sheet.errors import SheetError

        folder = self.archive.path.parent / "sheets"
        name = re.sub(r"[^\w.-]", "_", state.identification.sheet_number)
        record = folder / f"{name}.json"
        try:
            folder.mkdir(exist_ok=True)
            record = write_record(self.archive.events(state.inspection), record)
            sheet = write_sheet(state, folder / f"{name}.pdf")
        except (OSError, RecordFileError, SheetError) as error:
            return Sealing(
                None,
                None,
                f"The inspection is sealed and stored, but its files could not be written: {error}",
            )
        return Sealing(sheet, record, "")


def _example_with(plan_toml: str) -> Path:
    """Return the example plan of that text; only examples have a simulated shaft beside them."""
    for plan_file in example_plans():
        if plan_file.read_text(encoding="utf-8") == plan_toml:
            return plan_file
    raise CommandRefusedError(
        "This inspection was begun with a simulated gauge, and its shaft is not among the examples "
        "any longer; choose a real gauge to go on."
    )
