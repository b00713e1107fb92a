"""A simulated gauge put together with a plan: a shaft, a micrometer, and a line to open."""

import random
import secrets
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from seatproof.core.files import example
from seatproof.core.plan.file import load_plan
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point
from seatproof.core.plan.seat import Seat
from seatproof.core.record.checks import expected_mm
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.devices.arrival import BURST_WINDOW_S, REPEAT_WINDOW_S
from seatproof.devices.simulated.gauge import SimulatedMicrometer, frame_of, rounded
from seatproof.devices.simulated.line import HAS_PTY, SimulatedLine
from seatproof.devices.simulated.shaft import (
    GaugeTraits,
    SeatForm,
    SyntheticShaft,
    Undulation,
    load_shaft,
)

_SHARE: Final = 0.05  # of a tolerance: how far a made-up shaft is oval and tapered
_TOLERANCE_UM: Final = 20.0  # of a seat without limits of size

INVENTORY_NUMBER: Final = "SIM-1"
MADE_UP: Final = "made up for the demonstration"
_PAPERS_HOLD: Final = timedelta(days=200)


def example_plans() -> tuple[Path, ...]:
    """Return the plans that come with the program and have a simulated shaft."""
    return tuple(plan for plan in sorted(example().glob("*.toml")) if shaft_beside(plan).exists())


def shaft_beside(plan_file: Path) -> Path:
    """Return where the true form of a plan's shaft is looked for: beside the plan."""
    return plan_file.with_name(f"{plan_file.stem}_shaft.toml")


def made_up_shaft(plan: Plan) -> SyntheticShaft:
    """Return a shaft for a plan that has none: in the middle of its limits, a little oval.

    It shows how the plan is measured, and says nothing of any real shaft.
    """
    seats = {}
    for seat in plan.seats:
        middle_mm, tolerance_um = float(seat.nominal_mm), _TOLERANCE_UM
        if seat.has_size:
            lower_mm, upper_mm = seat.limits_mm
            middle_mm = float(lower_mm + upper_mm) / 2
            tolerance_um = float(upper_mm - lower_mm) * UM_PER_MM
        seats[seat.id] = SeatForm(
            z_from_mm=float(seat.from_mm),
            z_to_mm=float(seat.to_mm),
            mean_diameter_mm=middle_mm,
            taper_um_over_seat=_SHARE * tolerance_um,
            undulations=(Undulation(n=2, amplitude_um=_SHARE * tolerance_um, phase_deg=30.0),),
        )
    step = Decimal("0.001") if plan.unit is Unit.MM else Decimal("0.00005")
    gauge = GaugeTraits(unit=plan.unit, step=step, repeatability_um=0.3)
    return SyntheticShaft(seats=seats, gauge=gauge)


class SimulatedGauge:
    """A micrometer on a synthetic shaft, at its own end of a real line.

    It measures where it was aimed at, as a hand puts a real one there; a press sends what it shows.
    Its line keeps its name when it is unplugged and plugged in again.
    """

    def __init__(self, shaft: SyntheticShaft, *, seed: int) -> None:
        self.shaft = shaft
        self._micrometer = SimulatedMicrometer(shaft, seed=seed)
        self._standard_mm: float | None = None
        self._random = random.Random(seed)
        # A new pseudo-terminal has a new name; a link beside it stays. A network port stays anyway.
        self._folder = TemporaryDirectory(prefix="seatproof-") if HAS_PTY else None
        link = Path(self._folder.name) / "gauge" if self._folder is not None else None
        self._line = SimulatedLine(link=link)

    @classmethod
    def for_plan(cls, plan_file: Path, *, seed: int = 1) -> "SimulatedGauge":
        """Make the gauge that goes with a plan: on the shaft beside it, or on a made-up one."""
        beside = shaft_beside(plan_file)
        shaft = load_shaft(beside) if beside.exists() else made_up_shaft(load_plan(plan_file))
        return cls(shaft, seed=seed)

    @property
    def source(self) -> str:
        """The name by which its line is opened."""
        return self._line.source

    @property
    def is_plugged(self) -> bool:
        return self._line.is_plugged

    @property
    def temperatures_c(self) -> tuple[Decimal, Decimal]:
        """The temperatures of its shaft, and of itself and its setting standards."""
        return Decimal(str(self.shaft.temperature_c)), Decimal(str(self.shaft.gauge.temperature_c))

    def put_on_standard(self, shown_mm: float) -> None:
        """Put the gauge on a setting standard on which it should show that."""
        self._standard_mm = shown_mm

    def put_on(self, standard: StandardInService | None) -> None:
        """Put the gauge on a setting standard as warm as itself, or at zero for None."""
        if standard is None:
            self.put_on_standard(0.0)
            return
        _, gauge_c = self.temperatures_c
        self.put_on_standard(float(expected_mm(standard, self.in_service(), gauge_c, gauge_c)))

    def aim(self, point: Point) -> None:
        """Put the gauge on a point of the plan."""
        self._standard_mm = None
        self._micrometer.aim(point.seat_id, point.z_mm, point.angle_deg)

    def measure(self) -> bytes:
        """Measure where it is, and return the frame that a press now would send."""
        if self._standard_mm is None:
            return self._micrometer.press()
        traits = self._micrometer.traits
        error_um = traits.zero_error_um + self._random.gauss(0.0, traits.repeatability_um)
        return frame_of(rounded(self._standard_mm + error_um / UM_PER_MM, traits), traits)

    def send(self, frame: bytes) -> None:
        self._line.send(frame)

    def press(self) -> None:
        """Press its button."""
        self.send(self.measure())

    def unplug(self) -> None:
        self._line.unplug()

    def replug(self) -> None:
        self._line.replug()

    def close(self) -> None:
        self._line.close()
        if self._folder is not None:
            self._folder.cleanup()

    def in_service(self) -> GaugeInService:
        """Return what the record says of this gauge."""
        traits = self._micrometer.traits
        return GaugeInService(
            inventory_number=INVENTORY_NUMBER,
            description="simulated micrometer",
            unit=Unit(traits.unit).value,
            resolution=f"{traits.step:f}",
            expansion_per_kelvin=f"{traits.expansion_per_k:.8f}".rstrip("0"),
            source=self.source,
            format="auto",
            simulated=True,
        )


def gauge_with_papers(gauge: SimulatedGauge, plan: Plan, moment: datetime) -> GaugeInService:
    """Return what the record says of a simulated gauge, with papers where its plan needs them.

    Parameters
    ----------
    gauge : SimulatedGauge
    plan : Plan
        Papers are made up where it asks for checks on a setting standard.
    moment : datetime
        Now, at the bench; the papers hold for half a year from then on.
    """
    plain = gauge.in_service()
    if not plan.checks.standard:
        return plain
    papers = {
        "permissible_error_mm": "0.006",
        "evidence": "setting standard",
        "calibration_due": _due(moment),
        "certificate": MADE_UP,
    }
    return GaugeInService.model_validate(plain.model_dump() | papers)


def simulated_standards(plan: Plan, moment: datetime) -> tuple[StandardInService, ...]:
    """Return a made-up setting standard for every seat; none where the plan asks for none.

    Each has the nominal size of its seat, and papers that hold for half a year from `moment` on.
    """
    if not plan.checks.standard:
        return ()
    return tuple(_standard_for(seat, moment) for seat in plan.seats_apart)


def _standard_for(seat: Seat, moment: datetime) -> StandardInService:
    return StandardInService(
        inventory_number=f"SIM-S-{seat.id}",
        description="simulated setting standard",
        size_mm=f"{seat.nominal_mm:f}",
        expanded_mm="0.001",
        calibration_due=_due(moment),
        certificate=MADE_UP,
        seats=(seat.id,),
    )


def _due(moment: datetime) -> str:
    return (moment + _PAPERS_HOLD).date().isoformat()


class SteadyHand:
    """Presses a simulated gauge as a person would who does not bounce.

    Frames at the speed of a machine would rightly be taken for a burst, and two equal ones for a
    bouncing button.
    """

    def __init__(self, gauge: SimulatedGauge, sleep: Callable[[float], None] = time.sleep) -> None:
        self._gauge = gauge
        self._sleep = sleep
        self._last: tuple[bytes, float] = (b"", 0.0)

    def press(self) -> None:
        """Press the button after a pause, a longer one where the same value comes again."""
        frame = self._gauge.measure()
        last, pressed_s = self._last
        window_s = REPEAT_WINDOW_S if frame == last else BURST_WINDOW_S
        pause_s = pressed_s + 1.5 * window_s - time.monotonic()
        if pause_s > 0:
            self._sleep(pause_s)
        self._gauge.send(frame)
        self._last = (frame, time.monotonic())


def sheet_number(moment: datetime) -> str:
    """Return a number for a new inspection's sheet: when it was opened, and a mark of its own."""
    return f"SP-{moment:%Y%m%d-%H%M%S}-{secrets.token_hex(2)}"
