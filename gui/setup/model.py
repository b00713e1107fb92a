"""What is asked before the first press, checked field by field, without Qt."""

import re
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from seatproof.core.plan.errors import PlanError
from seatproof.core.plan.file import load_plan
from seatproof.core.record.kinds import GaugeInService
from seatproof.core.record.kinds.equipment import NO_LINE
from seatproof.core.units import Unit
from seatproof.devices.declared.known import find_format
from seatproof.devices.errors import DeviceError
from seatproof.devices.typed import TYPED_SOURCE
from seatproof.gui.bench.taking import ASKED_WORDS, WORDS
from seatproof.gui.workplace import Setup

SIMULATED = "simulated gauge"
NO_WIRE = "no wire: values are typed by hand"
KEYBOARD = "keyboard: the gauge types its values"
BY_FORMAT = "as its format says"
_REPLAYS = ("file:", "replay:")
_PLAIN = re.compile(r"-?\d{1,4}(\.\d{1,9})?", re.ASCII)


@dataclass(slots=True)
class SetupForm:
    """The form as typed; every field is text."""

    plan_file: str = ""
    inspector: str = ""
    asset: str = ""
    shaft_serial: str = ""
    work_order: str = ""
    source: str = ""
    gauge_number: str = ""
    gauge_description: str = ""
    resolution: str = ""
    format_name: str = "auto"
    certificate: str = ""
    calibration_due: str = ""
    shaft_c: str = ""
    gauge_c: str = ""
    take: str = BY_FORMAT
    window_s: str = "5"
    asked: str = ASKED_WORDS[""]
    every_s: str = "2"

    @property
    def is_simulated(self) -> bool:
        return self.source.strip() == SIMULATED

    @property
    def line_source(self) -> str:
        """The source as the line takes it."""
        source = self.source.strip()
        return {NO_WIRE: NO_LINE, KEYBOARD: TYPED_SOURCE}.get(source, source)

    def problems(self) -> dict[str, str]:
        """Return what must be mended, by field; none where an inspection can begin."""
        found: dict[str, str] = {}
        if not self.plan_file.strip():
            found["plan_file"] = "Choose a plan."
        else:
            try:
                load_plan(Path(self.plan_file.strip()))
            except PlanError as error:
                found["plan_file"] = "\n".join(str(problem) for problem in error.problems)
            except ValueError:  # a name that no file can have
                found["plan_file"] = "There is no such file; choose a plan."
        if not self.inspector.strip():
            found["inspector"] = "Say who measures."
        if not (self.asset.strip() or self.shaft_serial.strip()):
            found["shaft_serial"] = "Say which shaft it is: its serial number, or its machine."
        found |= self.gauge_problems()
        found |= self.temperature_problems()
        return found

    def gauge_problems(self) -> dict[str, str]:
        """Return what must be mended in what is said of the gauge."""
        found: dict[str, str] = {}
        if not self.is_simulated:
            if not self.source.strip():
                found["source"] = "Choose the port that the gauge is plugged into."
            elif self.source.strip().startswith(_REPLAYS):
                found["source"] = "A capture file is no gauge; seatproof listen shows its content."
            if not self.gauge_number.strip():
                found["gauge_number"] = "Give the gauge's inventory number."
            try:
                find_format(self.format_name.strip())
            except DeviceError as error:
                found["format_name"] = str(error)
            step = _decimal(self.resolution)
            if step is None or step <= 0:
                found["resolution"] = (
                    "Give the gauge's step in the plan's unit with a decimal point, such as 0.001."
                )
            found |= self._taking_problems()
        return found

    def _taking_problems(self) -> dict[str, str]:
        found: dict[str, str] = {}
        if self.take != BY_FORMAT:
            for field, text in (("window_s", self.window_s), ("every_s", self.every_s)):
                seconds = _decimal(text)
                if seconds is None or not Decimal("0.2") <= seconds <= 60:
                    found[field] = "Give seconds from 0.2 to 60 with a decimal point, such as 5."
        return found

    def _taking(self) -> dict[str, Any]:
        """Return how presses are had; nothing where that is as the gauge's format says."""
        takes = {words: take for take, words in WORDS.items()}
        if self.take not in takes:
            return {}
        asked = {words: asked for asked, words in ASKED_WORDS.items()}
        return {
            "taking": takes[self.take].value,
            "window_s": self.window_s.strip(),
            "asked": asked.get(self.asked, ""),
            "ask_every_s": self.every_s.strip(),
        }

    def temperature_problems(self) -> dict[str, str]:
        """Return what must be mended in the temperatures."""
        found: dict[str, str] = {}
        for field, text in (("shaft_c", self.shaft_c), ("gauge_c", self.gauge_c)):
            value = _decimal(text)
            if text.strip() and (value is None or not -40 <= value <= 150):
                found[field] = "Give degrees Celsius with a decimal point, such as 21.5."
        if bool(self.shaft_c.strip()) != bool(self.gauge_c.strip()):
            missing = "gauge_c" if self.shaft_c.strip() else "shaft_c"
            found.setdefault(missing, "Give both temperatures, or neither.")
        return found

    def setup(self) -> Setup:
        """Return what to begin with; ask for `problems` first."""
        plan_file = Path(self.plan_file.strip())
        return Setup(
            plan_file=plan_file,
            inspector=self.inspector.strip(),
            asset=self.asset,
            shaft_serial=self.shaft_serial,
            work_order=self.work_order,
            gauge=None if self.is_simulated else self.gauge(load_plan(plan_file).unit),
            temperatures_c=self.temperatures_c(),
        )

    def temperatures_c(self) -> tuple[Decimal, Decimal] | None:
        """Return the temperatures of shaft and gauge, None where they were not taken."""
        shaft_c, gauge_c = _decimal(self.shaft_c), _decimal(self.gauge_c)
        return None if shaft_c is None or gauge_c is None else (shaft_c, gauge_c)

    def gauge(self, unit: Unit) -> GaugeInService:
        """Return what the record says of the gauge, which shows the plan's unit."""
        return GaugeInService(
            inventory_number=self.gauge_number.strip(),
            description=self.gauge_description.strip(),
            unit="in" if unit is Unit.INCH else "mm",
            resolution=self.resolution.strip(),
            source=self.line_source,
            format=self.format_name.strip(),
            certificate=self.certificate.strip(),
            calibration_due=self.calibration_due.strip(),
            **self._taking(),
        )


def _decimal(text: str) -> Decimal | None:
    return Decimal(text.strip()) if _PLAIN.fullmatch(text.strip()) else None
