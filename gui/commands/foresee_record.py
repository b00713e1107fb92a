"""The record of an inspection under way, as ``seatproof foresee`` looks at it."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from seatproof.core.evaluation.evaluate import Evaluation, evaluate
from seatproof.core.evaluation.sizes import gauge_facts
from seatproof.core.foresight.advice import advise
from seatproof.core.foresight.ahead import GaugeAhead
from seatproof.core.foresight.next_reading import NextReading, best_per_point
from seatproof.core.plan.model import Plan
from seatproof.core.record.file import read_record
from seatproof.core.record.state import InspectionState, fold
from seatproof.core.uncertainty.gauge import SettingStandard
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM

_MOST: Final = 5
_LOOKED_AT: Final = 64  # bytes: enough to tell JSON from a plan


@dataclass(frozen=True, slots=True)
class UnderWay:
    """An inspection as far as its record goes."""

    state: InspectionState
    evaluation: Evaluation

    @property
    def plan(self) -> Plan:
        return self.state.plan

    def advice(self, seat_id: str) -> tuple[NextReading, ...]:
        """Return the readings that would be worth most, the best first."""
        return best_per_point(advise(self.state, self.evaluation, seat_id), _MOST)

    def gauge(self, seat_id: str) -> GaugeAhead | None:
        """Return the gauge in service for a seat, with the temperatures noted last."""
        gauge = self.state.gauge_for(seat_id)
        if gauge is None:
            return None
        standard = self.state.standard_for(seat_id)
        on = None
        if standard is not None:
            on = SettingStandard(
                float(standard.size_mm),
                float(standard.expanded_mm) * UM_PER_MM,
                float(standard.coverage_factor),
            )
        shaft_c = gauge_c = REFERENCE_TEMPERATURE_C
        if self.state.temperatures:
            noted = self.state.temperatures[-1][1]
            shaft_c, gauge_c = float(noted.shaft_c), float(noted.gauge_c)
        return GaugeAhead(
            gauge_facts(gauge, on), float(gauge.expansion_per_kelvin), shaft_c, gauge_c
        )


def read_under_way(path: Path) -> UnderWay | None:
    """Read a record; None where the file is none, so that it is read as a plan.

    Raises
    ------
    RecordError
        It is a record, and cannot be used.
    """
    try:
        with path.open("rb") as stream:
            beginning = stream.read(_LOOKED_AT)
    except OSError:
        return None  # reading it as a plan says what is wrong with it
    if not beginning.lstrip().startswith(b"{"):
        return None
    state = fold(read_record(path))
    return UnderWay(state, evaluate(state))
