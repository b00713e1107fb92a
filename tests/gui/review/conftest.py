"""Sealed inspections of the kiln fan in a real archive, and people who may sign."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from seatproof.core.archive.file import Archive
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.files import example
from seatproof.core.people.key import Cost
from seatproof.core.people.register import PeopleRegister
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.sheet.compose import compose
from seatproof.core.version import PROGRAM

START = datetime(2026, 3, 2, 7, tzinfo=UTC)
PASSPHRASE = "eleven kilns"


def ticking(start: datetime = START) -> Callable[[], datetime]:
    """Return a clock that goes on by four seconds whenever it is looked at."""
    now = start

    def clock() -> datetime:
        nonlocal now
        now += timedelta(seconds=4)
        return now

    return clock


def seal_one(
    archive: Any,
    sheet: str = "S-1",
    *,
    start: datetime = START,
    inspector: str = "Ann Miller",
    over_um: float = 13.5,
    spoilt: bool = False,
    plan: Callable[[str], str] = lambda text: text,
) -> str:
    """Measure and seal a kiln fan's shaft `over_um` above nominal; a spoilt one is out at a point.

    The first reading is taken back and made again.
    """
    inspection = Inspection.create(
        archive,
        plan_toml=plan(example("kiln_fan.toml").read_text(encoding="utf-8")),
        identification=Identification(
            sheet_number=sheet, asset="Drying kiln 4", shaft_serial="KF-4", work_order="W 7"
        ),
        actor=inspector,
        clock=ticking(start),
    )
    inspection.acknowledge_cautions(("timed",))
    inspection.put_in_service(
        GaugeInService(
            inventory_number="M-14",
            unit="mm",
            resolution="0.001",
            source="none",
            format="auto",
            calibration_due="2026-02-28",
            override_reason="the new one is on its way",
        )
    )
    count = 0
    while (key := inspection.state.cursor) is not None:
        seat = inspection.state.plan.seat(key.seat_id)
        nominal = seat.nominal_mm if seat.method == "two-point" else Decimal(0)
        out = spoilt and (key.station, key.orientation) == (2, 3) and key.seat_id == "A"
        size = nominal + Decimal(str(over_um + (40 if out else 0.5 * (count % 3)))) / 1000
        count += 1
        assert count < 1000, "the presses do not come to their points"
        text = f"{size:.4f}"
        inspection.take(Press(Decimal(text), None, text, f"{count} {text}".encode(), "auto", count))
        if count == 1:
            inspection.take_back("a chip under the anvil")
    content = compose(inspection.state, evaluate(inspection.state), PROGRAM)
    reasons = {gap.what: "agreed" for gap in inspection.gaps()}
    inspection.seal(content.model_dump(mode="json"), "Measured as recorded.", reasons)
    return inspection.state.inspection


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with Archive.open(tmp_path / "archive.seatproof") as opened:
        yield opened


@pytest.fixture
def register(archive: Archive) -> PeopleRegister:
    """The register with Bo, a quality lead, and Ann Miller, who is inspector and lead as well."""
    cheap = Cost(iterations=1, lanes=1, memory_kib=64)
    people = PeopleRegister.open(archive, ticking(), cheap)
    first = people.begin("Bo", PASSPHRASE, ("quality lead",))
    bo = people.unlock(first.id, PASSPHRASE)
    people.add(bo, "Ann Miller", ("inspector", "quality lead"), PASSPHRASE)
    people.add(bo, "Cy", ("auditor",), PASSPHRASE)
    return people


@pytest.fixture
def signer(register: PeopleRegister) -> Callable[[str], Any]:
    return lambda name: register.unlock(register.named(name).id, PASSPHRASE)
