"""Requirements on form: from which of a seat's sets of readings each of them is judged."""

from collections.abc import Mapping

from seatproof.core.evaluation.combined_form import (
    CombinedStation,
    combined_stations,
    roundness_from_setups,
)
from seatproof.core.evaluation.doubts import Doubts, from_record, missing
from seatproof.core.evaluation.indicator_form import (
    cylindricity_from_radii,
    roundness_from_radii,
    run_out_requirement,
)
from seatproof.core.evaluation.profiles import (
    StationProfile,
    indicator_repeatability,
    profiles_of,
)
from seatproof.core.evaluation.requirement import Requirement
from seatproof.core.evaluation.sizes import StationResult
from seatproof.core.evaluation.two_point_form import (
    cylindricity_from_diameters,
    roundness_from_diameters,
)
from seatproof.core.evaluation.uncertain import SeatUncertainty
from seatproof.core.form.combination import ReadingSet
from seatproof.core.form.setup import TWO_POINT
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.record.gaps import Gap
from seatproof.core.record.state import InspectionState


class Measured:
    """All that was measured of a seat: its diameters, and the profiles of its other sets.

    Attributes
    ----------
    own_profiles : tuple of StationProfile
        Of the set itself; empty for diameters.
    combined : tuple of CombinedStation
        What the set-ups of all sets give together, where a vee is among them and no radial set.
    """

    def __init__(
        self,
        state: InspectionState,
        seat: Seat,
        stations: tuple[StationResult, ...],
        uncertain: SeatUncertainty | None,
        doubts: Doubts,
        gaps: Mapping[PointKey, tuple[Gap, ...]],
    ) -> None:
        self.state = state
        self.seat = seat
        self.stations = stations
        self.uncertain = uncertain
        self.doubts = doubts
        self._gaps = gaps
        is_first = seat.same_seat_as is None
        self.sets = state.plan.sets_of(seat.id) if is_first else (seat,)
        self.profiles = {one.id: profiles_of(state, one) for one in self.sets}
        self.own_profiles = self.profiles[seat.id]
        methods = {one.method for one in self.sets}
        together = is_first and "vee" in methods and "radial" not in methods
        self.combined = self._combined() if together else ()

    @property
    def radial_set(self) -> Seat | None:
        """The set from which radial form is judged: the first that is radial."""
        return next((one for one in self.sets if one.method == "radial"), None)

    def doubts_of(self, sets: tuple[Seat, ...]) -> Doubts:
        """Return what takes a proof away that rests on these sets."""
        found = Doubts()
        for one in sets:
            if one.method == "two-point":
                found = found.and_also(self.doubts)
                continue
            profiles = self.profiles[one.id]
            counts = [count for profile in profiles for count, _ in profile.scatter]
            keys = [key for profile in profiles for key in profile.keys]
            recorded, _ = from_record(self.state, keys, self._gaps)
            if counts:
                found = found.and_also(Doubts(missing(one, counts)))
            found = found.and_also(recorded)
        return found

    def _combined(self) -> tuple[CombinedStation, ...]:
        every = [profile for profiles in self.profiles.values() for profile in profiles]
        repeats = indicator_repeatability(self.state.plan, every)
        scatter_um = None if repeats is None else repeats.standard_um
        sets: dict[str, dict[float, ReadingSet]] = {}
        for name, profiles in self.profiles.items():
            for one in profiles:
                values_mm = [value / 1000.0 for value in one.reading_um]
                sets.setdefault(name, {})[one.z_mm] = ReadingSet.of(
                    one.setup, one.angle_deg, values_mm, _thinned(scatter_um, one.worth)
                )
        for station in self.stations:
            sets.setdefault(self.seat.id, {})[station.z_mm] = ReadingSet.of(
                TWO_POINT,
                [size.point.angle_deg for size in station.sizes],
                [size.size_mm for size in station.sizes],
                _thinned(scatter_um, min(size.worth for size in station.sizes)),
            )
        return combined_stations(sets)


def form_requirements(measured: Measured, *, fully: bool) -> list[Requirement]:
    """Judge what a seat's plan asks of its form, each from the sets that show most of it.

    A radial set sees all lobes, so it is judged alone where there is one. Without one a vee and
    diameters together show what neither does; diameters alone give a lower bound.
    """
    seat, plan = measured.seat, measured.state.plan
    radial = measured.radial_set
    profiles: tuple[StationProfile, ...] = ()
    doubts = measured.doubts
    if radial is not None:
        profiles = measured.profiles[radial.id]
        doubts = measured.doubts_of((radial,))
    found = []
    if seat.roundness is not None:
        if radial is not None:
            found.append(roundness_from_radii(plan, seat, profiles, doubts))
        elif any(one.method == "vee" for one in measured.sets):
            together = measured.doubts_of(measured.sets)
            found.append(roundness_from_setups(plan, seat, measured.combined, together))
        else:
            found.append(
                roundness_from_diameters(
                    plan, seat, measured.stations, measured.uncertain, measured.doubts
                )
            )
    if seat.cylindricity is not None:
        if radial is not None or seat.method != "two-point":
            found.append(cylindricity_from_radii(plan, seat, profiles, doubts, fully=fully))
        else:
            found.append(
                cylindricity_from_diameters(
                    plan, seat, measured.stations, measured.uncertain, measured.doubts
                )
            )
    for tolerance, total in ((seat.run_out, False), (seat.total_run_out, True)):
        if tolerance is not None:
            found.append(run_out_requirement(plan, seat, profiles, doubts, total=total))
    return found


def _thinned(scatter_um: float | None, worth: float) -> float | None:
    return None if scatter_um is None else float(scatter_um / worth**0.5)
