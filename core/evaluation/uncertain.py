"""How sure the results of a seat are: as its plan states, or from a budget (see `budget`)."""

from dataclasses import dataclass
from math import inf, sqrt
from typing import Protocol, Self

from seatproof.core.evaluation.sizes import (
    LocalSize,
    StationResult,
    readings_behind,
    worth_of,
)
from seatproof.core.form.quantiles import range_quantile
from seatproof.core.form.taper import TaperFit
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.joint import joint_probability
from seatproof.core.verdict.limits import Limits
from seatproof.core.verdict.parts import Part, Shared
from seatproof.core.verdict.settling import Alternative


@dataclass(frozen=True, slots=True)
class Uncertain:
    """Standard uncertainty of a result (µm, diametral), its degrees of freedom, and k."""

    standard_um: float
    coverage_factor: float
    dof: float = inf

    @property
    def expanded_um(self) -> float:
        return self.coverage_factor * self.standard_um


@dataclass(frozen=True, slots=True)
class RangeNoise:
    """What the scatter of readings makes of the largest of several ranges of diameters, µm.

    Such a range is larger than the true one by more than `above_um` with the risk allowed only,
    and smaller by more than `below_um` likewise. `scatter_um` is of one local size.
    """

    above_um: float
    below_um: float
    scatter_um: float


class SeatUncertainty(Protocol):
    """The uncertainty of the results of one seat."""

    def of_judged(self) -> Uncertain:
        """Return that of what the plan judges the size by; of the weakest of several."""

    def of_taper(self, taper: TaperFit) -> Uncertain:
        """Return that of the change of diameter over the length of the seat."""

    def station_errors_um(self) -> list[float]:
        """Return what every station's mean has for itself, by which a line weights them."""

    def range_noise(
        self, groups: tuple[tuple[LocalSize, ...], ...], probability: float
    ) -> RangeNoise:
        """Return the noise of the largest range of several groups, to a probability in all."""

    def joint_probability(self) -> float | None:
        """Return the probability that all local sizes lie inside the limits together."""

    def parts(self) -> tuple[Part, ...]:
        """Return what one reading's uncertainty consists of."""

    def alternatives(self) -> tuple[Alternative, ...]:
        """Return the same with something about it improved."""


@dataclass(frozen=True, slots=True)
class StatedUncertainties:
    """What follows from the U that a plan states, µm, diametral.

    `common_um` is the part that all readings share (setting standard, zero, temperature): it
    cancels in differences. `repeatability_um` is of one reading.
    """

    seat: Seat
    sizes: tuple[LocalSize, ...]
    stations: tuple[StationResult, ...]
    common_um: float
    repeatability_um: float
    coverage_factor: float

    @classmethod
    def of(
        cls,
        plan: Plan,
        seat: Seat,
        sizes: tuple[LocalSize, ...] = (),
        stations: tuple[StationResult, ...] = (),
    ) -> Self:
        """Split the stated U of one local size into its common and its random part."""
        stated = plan.stated_uncertainty
        local_um = float(stated.expanded_mm) * UM_PER_MM / float(stated.coverage_factor)
        repeatability_um = float(stated.repeatability_mm) * UM_PER_MM
        behind = worth_of(seat.repeat_value, seat.repeats)
        common_variance = max(local_um**2 - repeatability_um**2 / behind, 0.0)
        return cls(
            seat,
            sizes,
            stations,
            sqrt(common_variance),
            repeatability_um,
            float(stated.coverage_factor),
        )

    def of_mean(self, readings: float) -> float:
        """Return the standard uncertainty of a mean: averaging thins the random part only."""
        return sqrt(self.common_um**2 + self.repeatability_um**2 / readings)

    def of_judged(self) -> Uncertain:
        return Uncertain(self.of_mean(self._fewest_readings()), self.coverage_factor)

    def of_taper(self, taper: TaperFit) -> Uncertain:
        assert taper.slope_se_um_per_mm is not None  # the fit was given the stations' errors
        standard_um = taper.slope_se_um_per_mm * float(self.seat.length_mm)
        return Uncertain(standard_um, self.coverage_factor)

    def station_errors_um(self) -> list[float]:
        return [self.repeatability_um / sqrt(station.readings) for station in self.stations]

    def range_noise(
        self, groups: tuple[tuple[LocalSize, ...], ...], probability: float
    ) -> RangeNoise:
        # The worst of several groups is judged, so each must hold with a share of the risk.
        confidence = 1.0 - (1.0 - probability) / len(groups)
        widest = max(len(group) for group in groups)
        scatter_um = self.repeatability_um / sqrt(min(size.worth for size in self.sizes))
        noise_um = range_quantile(widest, confidence) * scatter_um
        return RangeNoise(noise_um, noise_um, scatter_um)

    def joint_probability(self) -> float | None:
        nominal_mm = self.seat.nominal_mm
        return joint_probability(
            [(size.size_mm - float(nominal_mm)) * UM_PER_MM for size in self.sizes],
            [self.repeatability_um / sqrt(size.worth) for size in self.sizes],
            self.common_um,
            Limits.of(*(float(limit - nominal_mm) * UM_PER_MM for limit in self.seat.limits_mm)),
        ).probability

    def parts(self) -> tuple[Part, ...]:
        return (
            Part("what all readings share", self.common_um, Shared.COMMON),
            Part("repeatability", self.repeatability_um, Shared.READING),
        )

    def alternatives(self) -> tuple[Alternative, ...]:
        return ()

    def _fewest_readings(self) -> float:
        """Return how many readings stand behind what is judged; behind the weakest of several."""
        seat = self.seat
        if not self.sizes:
            of_size = worth_of(seat.repeat_value, seat.repeats)
            of_station = of_size * len(seat.orientations_deg)
            return {
                "local sizes": of_size,
                "station means": of_station,
                "overall mean": of_station * len(seat.stations_mm),
            }[seat.judged]
        if seat.judged == "station means":
            return min(station.readings for station in self.stations)
        if seat.judged == "overall mean":
            return readings_behind([station.readings for station in self.stations])
        return min(size.worth for size in self.sizes)
