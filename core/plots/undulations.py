"""The undulation spectrum of every station, as data."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.profiles import StationProfile
from seatproof.core.evaluation.sizes import StationResult
from seatproof.core.form.errors import FormError
from seatproof.core.form.spectrum import radial_spectrum, two_point_spectrum
from seatproof.core.form.undulation import CombinedProfile, Undulation
from seatproof.core.units import UM_PER_MM


@dataclass(frozen=True, slots=True)
class StationSpectrum:
    """The undulations of one station, *radial*; `profile` is None where `why_not` says why."""

    station: int
    label: str
    profile: CombinedProfile | None
    why_not: str

    def give_or_take_um(self, one: Undulation, confidence: float = 0.95) -> float | None:
        """Return half the interval of an amplitude; None where the readings do not say.

        From the larger standard error of its two parts, so that it is not understated.
        """
        if self.profile is None or one.se_cos_um is None or one.se_sin_um is None:
            return None
        return self.profile.factor(confidence) * max(one.se_cos_um, one.se_sin_um)


def station_spectra(evaluation: SeatEvaluation) -> tuple[StationSpectrum, ...]:
    """Return the spectra of a seat's stations: from all set-ups together, else from its own set."""
    if evaluation.combined:
        return tuple(
            StationSpectrum(
                number,
                f"station {number}, {' with '.join(one.sets)}",
                one.profile,
                one.why_not,
            )
            for number, one in enumerate(evaluation.combined, start=1)
        )
    if evaluation.seat.method == "radial":
        radius_mm = float(evaluation.seat.nominal_mm) / 2.0
        return tuple(
            _of(profile.station, partial(_radial, profile, radius_mm))
            for profile in evaluation.profiles
        )
    return tuple(
        _of(station.station, partial(_two_point, station)) for station in evaluation.stations
    )


def _radial(profile: StationProfile, radius_mm: float) -> CombinedProfile:
    radii = [radius_mm + um / UM_PER_MM for um in profile.reading_um]
    return radial_spectrum(profile.angle_deg, radii)


def _two_point(station: StationResult) -> CombinedProfile:
    angles = [size.point.angle_deg for size in station.sizes]
    return two_point_spectrum(angles, [size.size_mm for size in station.sizes])


def _of(station: int, fit: Callable[[], CombinedProfile]) -> StationSpectrum:
    label = f"station {station}"
    try:
        return StationSpectrum(station, label, fit(), "")
    except FormError as error:
        return StationSpectrum(station, label, None, str(error))
