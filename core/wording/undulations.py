"""The undulations of a seat's worst station, and form as an indicator showed it."""

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from seatproof.core import figures
from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.profiles import StationProfile, points_mm
from seatproof.core.form.errors import FormError
from seatproof.core.form.spectrum import radial_spectrum, two_point_spectrum
from seatproof.core.form.undulation import CombinedProfile, Seen
from seatproof.core.plots.polar import PolarPlot, PolarTrace
from seatproof.core.plots.steps import step_above, step_below
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.core.wording.content import Bar, Fact, Spectrum
from seatproof.core.words import Words

_MOST_BARS: Final = 30
_FEWEST_ORIENTATIONS: Final = 3
_ROOM: Final = 0.3  # of the radius, which deviations may fill at most


def spectra(result: SeatEvaluation, say: Words) -> tuple[Spectrum, ...]:
    """Return the undulations where form is worst; empty where the readings give none."""
    combined = [station for station in result.combined if station.profile is not None]
    if combined:
        worst = max(combined, key=lambda one: one.profile.roundness_um if one.profile else 0.0)
        assert worst.profile is not None
        z = figures.position(worst.z_mm, result.unit)
        label = say(
            "z {position} {unit}, from {sets} together",
            position=z,
            unit=f"{result.unit}",
            sets=", ".join(worst.sets),
        )
        return (_spectrum(worst.profile, label),)
    if result.seat.method == "two-point":
        return _of_diameters(result, say)
    round_ones = [one for one in result.profiles if one.circle is not None]
    if not round_ones:
        return ()
    profile = max(round_ones, key=lambda one: one.roundness_um or 0.0)
    radius_mm = float(result.seat.nominal_mm) / 2.0
    try:
        found = radial_spectrum(
            profile.angle_deg, radius_mm + np.array(profile.reading_um) / UM_PER_MM
        )
    except FormError:
        return ()  # so few orientations determine no undulation; the sheet then shows none
    return (_spectrum(found, say("station {station}", station=str(profile.station))),)


def _of_diameters(result: SeatEvaluation, say: Words) -> tuple[Spectrum, ...]:
    stations = [
        station
        for station in result.stations
        if station.ovality is not None and len(station.sizes) >= _FEWEST_ORIENTATIONS
    ]
    if not stations:
        return ()
    worst = max(stations, key=lambda one: one.ovality.ovality_um if one.ovality else 0.0)
    try:
        found = two_point_spectrum(
            [size.point.angle_deg for size in worst.sizes], [size.size_mm for size in worst.sizes]
        )
    except FormError:
        return ()  # as above
    return (_spectrum(found, say("station {station}", station=str(worst.station))),)


def _spectrum(profile: CombinedProfile, label: str) -> Spectrum:
    bars = tuple(
        Bar(
            undulations=one.number,
            amplitude_um=round(one.amplitude_um, 3) if one.seen is Seen.DETERMINED else None,
        )
        for one in profile.undulations[:_MOST_BARS]
    )
    return Spectrum(label=label, bars=bars)


def spectra_note(found: Sequence[Spectrum], say: Words) -> str:
    """Say how to read the bars."""
    if not found:
        return ""
    note = say("Undulations per revolution where form is largest; amplitude, radial.")
    if any(bar.amplitude_um is None for one in found for bar in one.bars):
        note += " " + say("×: not to be seen with these readings.")
    return note


# --- sets of readings with an indicator ----------------------------------------------------------


def indicator_facts(result: SeatEvaluation, say: Words) -> tuple[Fact, ...]:
    """Give the form that an indicator's readings show."""
    unit = result.unit
    round_ones = [one for one in result.profiles if one.roundness_um is not None]
    facts = []
    if round_ones:
        worst = max(round_ones, key=lambda one: one.roundness_um or 0.0)
        facts.append(("Largest roundness (radial)", _at(worst, worst.roundness_um, unit, say)))
        facts.append(("Reference circle", say(result.seat.reference_circle)))
    if result.profiles:
        most = max(result.profiles, key=lambda one: one.run_out_um)
        name = (
            "Largest run-out as read (radial)"
            if result.seat.method == "radial"
            else "Largest range of the readings"
        )
        facts.append((name, _at(most, most.run_out_um, unit, say)))
    if not facts:
        facts.append(("Largest roundness (radial)", figures.NOTHING))
    return tuple(Fact(label=say(label), value=value) for label, value in facts)


def _at(profile: StationProfile, length_um: float | None, unit: Unit, say: Words) -> str:
    return say(
        "{value} at station {station}",
        value=figures.small(length_um, unit),
        station=str(profile.station),
    )


def indicator_results(result: SeatEvaluation, station: int) -> tuple[str, str]:
    """Return roundness and range of one station of an indicator's set, for its table."""
    for profile in result.profiles:
        if profile.station == station:
            return (
                figures.small_number(profile.roundness_um, result.unit),
                figures.small_number(profile.run_out_um, result.unit),
            )
    return figures.NOTHING, figures.NOTHING


def radial_polar(result: SeatEvaluation) -> PolarPlot | None:
    """Make the polar plot of a radial set: departures from each station's reference circle."""
    traces = tuple(_trace(result, one) for one in result.profiles if one.circle is not None)
    if not traces:
        return None
    radius_mm = float(result.seat.nominal_mm) / 2.0
    room_um = _ROOM * radius_mm * UM_PER_MM
    roundness = result.seat.roundness
    width_um = None if roundness is None else roundness.radial_um(result.seat.nominal_mm)
    band = None
    values = [value for trace in traces for value in trace.deviations_um]
    if width_um is not None:
        middle = (min(values) + max(values)) / 2.0
        band = (round(middle - width_um / 2.0, 3), round(middle + width_um / 2.0, 3))
    extent_um = max([1.0, *map(abs, values), *map(abs, band or ())])
    magnification = max(1, round(step_below(room_um / extent_um)))
    unit_um = float(result.unit.in_mm) * UM_PER_MM if result.unit is Unit.INCH else 1.0
    grid_um = step_above(room_um / magnification / 4.0 / unit_um) * unit_um
    return PolarPlot(
        traces=traces,
        radius_mm=radius_mm,
        magnification=magnification,
        grid_um=grid_um,
        band_um=band,
    )


def _trace(result: SeatEvaluation, profile: StationProfile) -> PolarTrace:
    circle = profile.circle
    assert circle is not None  # the caller chose those that have one
    away = points_mm(result.seat, profile) - np.array([circle.centre_x, circle.centre_y])
    deviations = (np.hypot(away[:, 0], away[:, 1]) - circle.radius) * UM_PER_MM
    order = np.argsort(profile.angle_deg)
    return PolarTrace(
        station=profile.station,
        label=f"station {profile.station}",
        angles_deg=_rounded(np.array(profile.angle_deg)[order]),
        deviations_um=_rounded(deviations[order]),
        curve_deg=_rounded(np.array(profile.angle_deg)[order]),
        curve_um=_rounded(deviations[order]),
    )


def _rounded(values: Iterable[float]) -> tuple[float, ...]:
    return tuple(round(float(value), 3) + 0.0 for value in values)
