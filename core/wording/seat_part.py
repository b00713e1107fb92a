"""A seat in words and figures: its results, its table of readings, and how to read its plots."""

from seatproof.core import figures
from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.evaluation.sizes import LocalSize, StationResult
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.plots.along import along_plot
from seatproof.core.plots.polar import PolarPlot, polar_plot
from seatproof.core.record.state import InspectionState
from seatproof.core.units import Unit
from seatproof.core.wording.content import Cell, Fact, SeatPart, StationRow
from seatproof.core.wording.form_honesty import form_notes
from seatproof.core.wording.ring_fit import fit_grids
from seatproof.core.wording.undulations import (
    indicator_facts,
    indicator_results,
    radial_polar,
    spectra,
    spectra_note,
)
from seatproof.core.wording.words import words_of
from seatproof.core.words import Words


def seat_part(state: InspectionState, result: SeatEvaluation, say: Words) -> SeatPart:
    """Put one seat, or one set of readings on it, into words and rounded figures."""
    plan, seat = state.plan, result.seat
    shows_diameters = seat.method == "two-point"
    polar = polar_plot(result) if shows_diameters else radial_polar(result)
    bars = spectra(result, say)
    return SeatPart(
        seat_id=seat.id,
        heading=seat_heading(plan, seat, say),
        facts=seat_facts(plan, result, say) if shows_diameters else indicator_facts(result, say),
        orientations=tuple(figures.angle(angle) for angle in seat.orientations_deg),
        result_heads=_result_heads(result, say),
        rows=_rows(state, result),
        table_note=_table_note(plan, seat, result, say),
        polar=polar,
        polar_notes=()
        if polar is None
        else (*_how_to_read(plan, seat, polar, say), *form_notes(plan, result, say)),
        along=along_plot(result) if seat.has_size else None,
        along_notes=along_notes(plan, result, say) if seat.has_size else (),
        spectra=bars,
        spectra_note=spectra_note(bars, say),
        grids=fit_grids(result, say),
    )


def _result_heads(result: SeatEvaluation, say: Words) -> tuple[tuple[str, str], ...]:
    small = figures.small_unit(result.unit)
    if result.seat.method != "two-point":
        return (say("roundness"), small), (say("range"), small)
    return (
        (say("mean"), f"{result.unit}"),
        (say("ovality"), small),
        (say("long"), say("axis")),
    )


def seat_heading(plan: Plan, seat: Seat, words: Words | None = None) -> str:
    """Name a seat with its nominal size and class; in English unless other words are given."""
    say = words or words_of("en")
    nominal = length_text(seat.nominal_mm, plan.unit)
    tolerance_class = f" {seat.tolerance_class}" if seat.tolerance_class else ""
    ring = say("ring in halves") if seat.ring == "halves" else say("closed ring")
    parts = [say("Seat {seat}", seat=seat.id), seat.name, f"⌀ {nominal}{tolerance_class}", ring]
    if seat.same_seat_as is not None:
        parts[-1] = say("more readings on seat {seat}", seat=seat.same_seat_as)
    if seat.method == "radial":
        parts.append(say("indicator against the shaft"))
    if seat.method == "vee":
        parts.append(say("indicator over a vee of {angle}°", angle=f"{seat.vee_angle_deg:f}"))
    return " · ".join(parts)


def seat_facts(plan: Plan, result: SeatEvaluation, say: Words) -> tuple[Fact, ...]:
    """Give the results of a seat as labelled figures."""
    unit, seat = plan.unit, result.seat
    facts = [
        ("Smallest local size", _located(result.smallest, unit, say)),
        ("Largest local size", _located(result.largest, unit, say)),
        ("Mean of the station means", figures.size_unit(result.mean_mm, unit)),
    ]
    ovality = [
        (station.ovality.ovality_um, station)
        for station in result.stations
        if station.ovality is not None
    ]
    if ovality:
        worst_um, station = max(ovality, key=lambda pair: pair[0])
        worst = say(
            "{value} at station {station}",
            value=figures.small(worst_um, unit),
            station=str(station.station),
        )
        facts.append(("Largest two-point ovality (diametral)", worst))
    taper = result.taper
    if taper is not None:
        length_mm = float(seat.length_mm)
        per_mm, per_name = (100.0, "100 mm") if unit is Unit.MM else (25.4, "in")
        over = say(
            "{value}; {each} per {length}",
            value=figures.small(taper.over(length_mm), unit, sign=True),
            each=figures.small(taper.over(per_mm), unit, sign=True),
            length=per_name,
        )
        facts += [
            ("Taper over the seat (diametral)", over),
            ("Larger end", say(taper.larger_end)),
            ("Included angle of the cone", f"{abs(taper.included_angle_deg) * 60.0:.2f}′"),
        ]
    if result.barrel is not None:
        bulge = figures.small(result.barrel.bulge_um, unit, sign=True)
        if bulge != figures.small(0.0, unit):
            bulge = f"{bulge}, {say(result.barrel.shape)}"
        facts.append(("Bulge of the middle (diametral)", bulge))
    simulation = result.simulation
    if simulation is not None:
        ends = " … ".join(
            figures.small(edge, unit, sign=True)
            for edge in (simulation.smallest.low_um, simulation.largest.high_um)
        )
        interval = say(
            "{ends}, for {probability} ({trials} trials)",
            ends=ends,
            probability=f"{simulation.coverage_probability * 100:g}\u00a0%",
            trials=str(simulation.trials),
        )
        facts.append(("True extremes, departures from nominal", interval))
    return tuple(Fact(label=say(label), value=value) for label, value in facts)


def polar_notes(plan: Plan, polar: PolarPlot, words: Words | None = None) -> tuple[str, ...]:
    """Say how to read the polar plot; in English unless other words are given."""
    say = words or words_of("en")
    return (
        *_scale_notes(plan, polar, say),
        say(
            "Half of each diameter's deviation is drawn at both of its ends; curves: fitted second "
            "undulation."
        ),
        *_band_notes(plan, polar, say),
    )


def _how_to_read(plan: Plan, seat: Seat, polar: PolarPlot, say: Words) -> tuple[str, ...]:
    if seat.method == "two-point":
        return polar_notes(plan, polar, say)
    return (
        *_scale_notes(plan, polar, say),
        say("Departures from the reference circle of each station; bold circle: that circle."),
        *_band_notes(plan, polar, say),
    )


def _scale_notes(plan: Plan, polar: PolarPlot, say: Words) -> tuple[str, ...]:
    return (
        say(
            "Deviations magnified {times}× against the circle; grid ring {grid} (radial).",
            times=str(polar.magnification),
            grid=figures.tolerance(polar.grid_um, plan.unit),
        ),
    )


def _band_notes(plan: Plan, polar: PolarPlot, say: Words) -> tuple[str, ...]:
    notes = [say("Angles are counted anticlockwise, seen looking at the datum face.")]
    if polar.band_um is not None:
        width = figures.tolerance(polar.band_um[1] - polar.band_um[0], plan.unit)
        notes.append(say("Band: roundness tolerance {width} (radial).", width=width))
    return tuple(notes)


def along_notes(plan: Plan, result: SeatEvaluation, say: Words) -> tuple[str, ...]:
    """Say how to read the plot of diameter along the seat."""
    guard_um = result.requirement(Characteristic.SIZE).guard_um
    notes = [
        say(
            "Departure from ⌀ {nominal} (diametral); z from the datum face ({face}).",
            nominal=length_text(result.seat.nominal_mm, plan.unit),
            face=plan.shaft.datum_face,
        ),
        say("Dots: local sizes; bars: station means; line: least-squares taper."),
    ]
    if guard_um > 0.0:
        notes.append(
            say(
                "Hatched: guard bands, {guard} to either side of each limit; a value there is not "
                "proven.",
                guard=figures.small(guard_um, plan.unit),
            )
        )
    return tuple(notes)


def mark_of(seat: Seat, size_mm: float) -> str:
    """Say where a size lies: "" inside the limits or without any, "above" or "below" them."""
    if not seat.has_size:
        return ""
    lower_mm, upper_mm = (float(limit) for limit in seat.limits_mm)
    if size_mm > upper_mm:
        return "above"
    return "below" if size_mm < lower_mm else ""


def _located(size: LocalSize | None, unit: Unit, say: Words) -> str:
    if size is None:
        return figures.NOTHING
    return say(
        "{value} at station {station}, {angle}",
        value=figures.size_unit(size.size_mm, unit),
        station=str(size.point.station),
        angle=figures.angle(size.point.angle_deg),
    )


def _rows(state: InspectionState, result: SeatEvaluation) -> tuple[StationRow, ...]:
    plan, seat = state.plan, result.seat
    by_station = {station.station: station for station in result.stations}
    redone = {reading.key for reading in state.readings.values() if not reading.counts}
    rows = []
    for number, z_mm in enumerate(seat.stations_mm, start=1):
        keys = [
            PointKey(seat.id, number, orientation)
            for orientation in range(1, len(seat.orientations_deg) + 1)
        ]
        rows.append(
            StationRow(
                station=str(number),
                position=figures.position(z_mm, plan.unit),
                cells=tuple(_cell(state, result, key, redone=key in redone) for key in keys),
                results=_station_results(by_station.get(number), plan.unit)
                if seat.method == "two-point"
                else indicator_results(result, number),
            )
        )
    return tuple(rows)


def _station_results(station: StationResult | None, unit: Unit) -> tuple[str, str, str]:
    ovality = station.ovality if station is not None else None
    return (
        figures.size(station.mean_mm if station else None, unit),
        figures.small_number(ovality.ovality_um if ovality else None, unit),
        figures.angle(round(ovality.major_axis_deg)) if ovality else figures.NOTHING,
    )


def _cell(state: InspectionState, result: SeatEvaluation, key: PointKey, *, redone: bool) -> Cell:
    texts = tuple(figures.received(reading.received.value) for reading in state.readings_at(key))
    if not texts:
        return Cell(texts=(), mark="skipped" if key in state.skipped else "open", redone=redone)
    size = result.size_at.get(key)
    mark = mark_of(result.seat, size.size_mm) if size is not None else ""
    return Cell(texts=texts, mark=mark, redone=redone)


def _table_note(plan: Plan, seat: Seat, result: SeatEvaluation, say: Words) -> str:
    notes = [
        say("Readings as received and z from the datum face, in inches.")
        if plan.unit is Unit.INCH
        else say("Readings as received and z from the datum face, in mm.")
    ]
    if seat.method != "two-point":
        notes.append(say("The indicator's zero is arbitrary: its values are no sizes."))
        return " ".join(notes)
    if result.corrected:
        corrections = [size.correction_um for size in result.sizes]
        low, high = (
            figures.small(edge, plan.unit, sign=True)
            for edge in (min(corrections), max(corrections))
        )
        span = low if low == high else say("{low} to {high}", low=low, high=high)
        notes.append(
            say("Means, ovality and verdicts are at 20 °C: {correction} applied.", correction=span)
        )
    else:
        notes.append(say("No correction for temperature."))
    if seat.repeats > 1:
        statistic = {
            "mean": "{count} readings a point; their mean counts.",
            "median": "{count} readings a point; their median counts.",
            "largest": "{count} readings a point; the largest counts.",
        }[seat.repeat_value]
        notes.append(say(statistic, count=str(seat.repeats)))
    return " ".join(notes)
