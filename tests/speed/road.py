"""From a press to a durable event, and from events to results."""

import tempfile
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path

from seatproof.core.archive.file import Archive
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.files import example
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import fold
from seatproof.core.sheet.compose import compose
from seatproof.core.sheet.document import build_sheet
from seatproof.core.version import PROGRAM
from seatproof.gui.workplace import local_now
from tests.speed.table import Row, timed_row


def rows() -> Iterable[Row]:
    """Time each step of the road on the kiln fan's plan."""
    with (
        tempfile.TemporaryDirectory() as folder,
        Archive.open(Path(folder) / "archive.seatproof") as archive,
    ):
        inspection = _measured(archive)
        redone = inspection.state.plan.points()[0].key

        def press_again() -> None:
            inspection.aim(redone, "timed")
            inspection.take(_press(Decimal("110.012"), len(inspection.state.readings) + 1))

        yield timed_row("a point aimed at and a press made durable", 50, press_again)
        yield timed_row("all results of the kiln fan", 50, lambda: evaluate(inspection.state))
        content = compose(inspection.state, evaluate(inspection.state), PROGRAM)
        inspection.seal(content.model_dump(mode="json"), "timed")
        events = archive.events(inspection.state.inspection)
        yield timed_row("an inspection opened from its events", 150, lambda: fold(events), 20)
        state = inspection.state
        yield timed_row("the kiln fan's sheet", 500, lambda: build_sheet(state), 10)


def _measured(archive: Archive) -> Inspection:
    inspection = Inspection.create(
        archive,
        plan_toml=example("kiln_fan.toml").read_text(encoding="utf-8"),
        identification=Identification(sheet_number="timed"),
        actor="timed",
        clock=local_now,
    )
    inspection.acknowledge_cautions(("timed",))
    inspection.put_in_service(
        GaugeInService(
            inventory_number="M", unit="mm", resolution="0.001", source="none", format="auto"
        )
    )
    for number, point in enumerate(inspection.state.plan.points(), start=1):
        nominal = inspection.state.plan.seat(point.seat_id).nominal_mm
        inspection.take(_press(nominal + Decimal(10 + number % 5) / 1000, number))
    return inspection


def _press(value: Decimal, number: int) -> Press:
    text = str(value)
    return Press(value, None, text, text.encode() + b"%d" % number, "auto", number)
