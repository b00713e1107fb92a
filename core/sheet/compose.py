"""From the state of an inspection and its evaluation to what the sheet says."""

from datetime import datetime, timedelta, timezone

from seatproof.core import figures
from seatproof.core.cautions import DEFERENCE
from seatproof.core.evaluation.evaluate import EVALUATION_VERSION, Evaluation, SeatEvaluation
from seatproof.core.evaluation.requirement import BLIND, Characteristic, Requirement
from seatproof.core.evaluation.sizes import LocalSize
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.plots.along import along_plot
from seatproof.core.plots.polar import PolarPlot, polar_plot
from seatproof.core.record.events import Event
from seatproof.core.record.kinds import Received
from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.content import (
    Cell,
    Fact,
    Remark,
    RequirementLine,
    SeatPart,
    SheetContent,
    StationRow,
)
from seatproof.core.units import Unit


def compose(state: InspectionState, evaluation: Evaluation, program: str) -> SheetContent:
    """Put into words and rounded figures what a sheet of this inspection says now."""
    plan = state.plan
    return SheetContent(
        evaluation_version=EVALUATION_VERSION,
        program=program,
        title=plan.heading.title,
        sheet_number=state.identification.sheet_number,
        unit=plan.heading.unit.value,
        title_block=_title_block(state),
        notice=_notice(state),
        verdict=evaluation.verdict,
        requirements=tuple(
            requirement_line(plan, requirement)
            for seat in evaluation.seats
            for requirement in seat.requirements
        ),
        rule=_rule(plan),
        blindness=BLIND,
        seats=tuple(_seat_part(state, seat) for seat in evaluation.seats),
        gauges=_gauges(state),
        conditions=_conditions(state),
        plan_remark=plan.heading.remark,
        remarks=_remarks(state),
        cautions=state.cautions,
        deference=DEFERENCE,
        signatures=(
            Fact(label="Measured by", value=", ".join(state.inspectors)),
            Fact(label="Reviewed by", value=""),
        ),
    )


def _notice(state: InspectionState) -> str:
    simulated = any(gauge.simulated for gauge in state.gauges)
    return "Simulated gauge: no shaft was measured" if simulated else ""


def local_time(utc: datetime, offset_min: int) -> str:
    """Write a moment as a clock at the bench showed it, with its offset from UTC."""
    local = utc.astimezone(timezone(timedelta(minutes=offset_min)))
    return local.isoformat(sep=" ", timespec="seconds")


def requirement_line(plan: Plan, requirement: Requirement) -> RequirementLine:
    """Write one requirement as the sheet and the bench show it."""
    unit = plan.unit
    seat = plan.seat(requirement.seat_id)
    return RequirementLine(
        seat=requirement.seat_id,
        characteristic=requirement.characteristic,
        sense=requirement.sense,
        limits=_limits(seat, requirement, unit),
        value=_value(seat, requirement, unit),
        uncertainty=_uncertainty(requirement, unit),
        verdict=requirement.verdict,
        judged=requirement.judged,
        reasons=requirement.reasons,
    )


def _limits(seat: Seat, requirement: Requirement, unit: Unit) -> str:
    if requirement.characteristic is Characteristic.SIZE:
        lower, upper = figures.limits(*seat.limits_mm, unit)
        return f"{lower} … {upper} {unit}"
    assert requirement.upper_um is not None  # every form requirement has an upper limit
    return f"≤ {figures.tolerance(requirement.upper_um, unit)}"


def _value(seat: Seat, requirement: Requirement, unit: Unit) -> str:
    smallest, largest = requirement.smallest_um, requirement.largest_um
    if smallest is None or largest is None:
        return figures.NOTHING
    if requirement.characteristic is Characteristic.SIZE:
        nominal_mm = float(seat.nominal_mm)
        ends = [figures.size(nominal_mm + value / 1000.0, unit) for value in (smallest, largest)]
        return f"{ends[0]} … {ends[1]} {unit}" if ends[0] != ends[1] else f"{ends[0]} {unit}"
    if requirement.characteristic is Characteristic.TAPER:
        # The tolerance limits its amount; which end is larger is among the reasons.
        return figures.small(abs(largest), unit)
    return f"≥ {figures.small(largest, unit)}"


def _uncertainty(requirement: Requirement, unit: Unit) -> str:
    text = figures.uncertainty(requirement.expanded_um, unit)
    if requirement.expanded_um is None:
        return text
    if requirement.coverage_factor is None:
        return f"{text} (noise)"
    return f"{text} (k = {requirement.coverage_factor:g})"


def _rule(plan: Plan) -> tuple[Fact, ...]:
    stated = plan.stated_uncertainty
    probability = (
        f"{float(plan.decision.probability) * 100:g}\u00a0%"  # never broken between the lines
    )
    if plan.decision.rule == "guard band":
        rule = (
            f"guard band of ISO 14253-1 at {probability}. A requirement conforms "
            "when its value lies inside the limits by the guard band at least, does not conform "
            "when it lies outside them by more than that, and is otherwise not proven."
        )
    else:
        rule = (
            "simple acceptance. The value itself is compared with the limits; at a "
            "limit the chance of being wrong is up to one half."
        )
    noise = (
        f"the value found is a lower bound, and “noise” is what reading noise alone adds to it at "
        f"most, at {probability}."
    )
    has_form = any(seat.roundness or seat.cylindricity for seat in plan.seats)
    uncertainty = (
        f"U = {length_text(stated.expanded_mm, plan.unit)} "
        f"(k = {stated.coverage_factor:f}) of one local size, standard deviation of one reading "
        f"{length_text(stated.repeatability_mm, plan.unit)}; basis: {stated.basis}."
    )
    facts = [("Decision rule", rule), ("Uncertainty as the plan states it", uncertainty)]
    if has_form:
        facts.append(("Form from two-point readings", noise))
    return tuple(Fact(label=label, value=value) for label, value in facts)


def _title_block(state: InspectionState) -> tuple[Fact, ...]:
    heading, identification = state.plan.heading, state.identification
    facts = (
        ("Organisation", heading.organisation),
        ("Shaft", state.plan.shaft.name),
        ("Asset", identification.asset),
        ("Shaft serial number", identification.shaft_serial),
        ("Drawing", heading.drawing),
        ("Work order", identification.work_order),
        ("Plan", f"{heading.title}, version {heading.version}"),
        ("Instructions", heading.instructions),
        ("Opened", local_time(state.opened.moment, state.opened.offset_min)),
        ("Last event", _event_time(state.last)),
        ("Inspector", ", ".join(state.inspectors)),
    )
    return tuple(Fact(label=label, value=value) for label, value in facts if value)


def _event_time(event: Event) -> str:
    return local_time(event.moment, event.offset_min)


def _seat_part(state: InspectionState, result: SeatEvaluation) -> SeatPart:
    plan, seat = state.plan, result.seat
    polar = polar_plot(result)
    return SeatPart(
        seat_id=seat.id,
        heading=seat_heading(plan, seat),
        facts=seat_facts(plan, result),
        orientations=tuple(figures.angle(angle) for angle in seat.orientations_deg),
        rows=_rows(state, result),
        table_note=_table_note(plan, seat, result),
        polar=polar,
        polar_notes=polar_notes(plan, polar),
        along=along_plot(result),
        along_notes=along_notes(plan, result),
    )


def seat_heading(plan: Plan, seat: Seat) -> str:
    """Name a seat with its nominal size and class."""
    nominal = length_text(seat.nominal_mm, plan.unit)
    tolerance_class = f" {seat.tolerance_class}" if seat.tolerance_class else ""
    ring = "ring in halves" if seat.ring == "halves" else "closed ring"
    return f"Seat {seat.id} · {seat.name} · ⌀ {nominal}{tolerance_class} · {ring}"


def seat_facts(plan: Plan, result: SeatEvaluation) -> tuple[Fact, ...]:
    """Give the results of a seat as labelled figures."""
    unit, seat = plan.unit, result.seat
    facts = [
        ("Smallest local size", _located(result.smallest, unit)),
        ("Largest local size", _located(result.largest, unit)),
        ("Mean of the station means", figures.size_unit(result.mean_mm, unit)),
    ]
    ovality = [
        (station.ovality.ovality_um, station)
        for station in result.stations
        if station.ovality is not None
    ]
    if ovality:
        worst_um, station = max(ovality, key=lambda pair: pair[0])
        facts.append(
            (
                "Largest two-point ovality (diametral)",
                f"{figures.small(worst_um, unit)} at station {station.station}",
            )
        )
    taper = result.taper
    if taper is not None:
        length_mm = float(seat.length_mm)
        per_mm, per_name = (100.0, "100 mm") if unit is Unit.MM else (25.4, "in")
        facts += [
            (
                "Taper over the seat (diametral)",
                f"{figures.small(taper.over(length_mm), unit, sign=True)}; "
                f"{figures.small(taper.over(per_mm), unit, sign=True)} per {per_name}",
            ),
            ("Larger end", f"{taper.larger_end}"),
            ("Included angle of the cone", f"{abs(taper.included_angle_deg) * 60.0:.2f}′"),
        ]
    return tuple(Fact(label=label, value=value) for label, value in facts)


def polar_notes(plan: Plan, polar: PolarPlot) -> tuple[str, ...]:
    """Say how to read the polar plot."""
    unit = plan.unit
    notes = [
        f"Deviations magnified {polar.magnification}× against the circle; grid ring "
        f"{figures.tolerance(polar.grid_um, unit)} (radial).",
        "Half of each diameter's deviation is drawn at both of its ends; curves: fitted second "
        "undulation.",
        "Angles are counted anticlockwise, seen looking at the datum face.",
    ]
    if polar.band_um is not None:
        width_um = polar.band_um[1] - polar.band_um[0]
        notes.append(f"Band: roundness tolerance {figures.tolerance(width_um, unit)} (radial).")
    return tuple(notes)


def along_notes(plan: Plan, result: SeatEvaluation) -> tuple[str, ...]:
    """Say how to read the plot of diameter along the seat."""
    guard_um = result.requirement(Characteristic.SIZE).guard_um
    notes = [
        f"Departure from ⌀ {length_text(result.seat.nominal_mm, plan.unit)} (diametral); z from "
        f"the datum face ({plan.shaft.datum_face}).",
        "Dots: local sizes; bars: station means; line: least-squares taper.",
    ]
    if guard_um > 0.0:
        notes.append(
            f"Hatched: guard bands, {figures.small(guard_um, plan.unit)} to either side of each "
            "limit; a value there is not proven."
        )
    return tuple(notes)


def _located(size: LocalSize | None, unit: Unit) -> str:
    if size is None:
        return figures.NOTHING
    return (
        f"{figures.size_unit(size.size_mm, unit)} at station {size.point.station}, "
        f"{figures.angle(size.point.angle_deg)}"
    )


def _rows(state: InspectionState, result: SeatEvaluation) -> tuple[StationRow, ...]:
    plan, seat = state.plan, result.seat
    by_station = {station.station: station for station in result.stations}
    sizes = {size.key: size for size in result.sizes}
    rows = []
    for number, z_mm in enumerate(seat.stations_mm, start=1):
        station = by_station.get(number)
        ovality = station.ovality if station is not None else None
        keys = [
            PointKey(seat.id, number, orientation)
            for orientation in range(1, len(seat.orientations_deg) + 1)
        ]
        rows.append(
            StationRow(
                station=str(number),
                position=figures.position(z_mm, plan.unit),
                cells=tuple(_cell(state, seat, key, sizes.get(key)) for key in keys),
                mean=figures.size(station.mean_mm if station else None, plan.unit),
                ovality=figures.small_number(ovality.ovality_um if ovality else None, plan.unit),
                axis=figures.angle(round(ovality.major_axis_deg)) if ovality else figures.NOTHING,
            )
        )
    return tuple(rows)


def _cell(state: InspectionState, seat: Seat, key: PointKey, size: LocalSize | None) -> Cell:
    redone = any(not reading.counts for reading in state.readings.values() if reading.key == key)
    if size is None:
        return Cell(texts=(), mark="skipped" if key in state.skipped else "open", redone=redone)
    texts = tuple(figures.received(reading.received.value) for reading in state.readings_at(key))
    return Cell(texts=texts, mark=mark_of(seat, size.size_mm), redone=redone)


def mark_of(seat: Seat, size_mm: float) -> str:
    """Say where a size lies: "" inside the limits, "above" or "below" them."""
    lower_mm, upper_mm = (float(limit) for limit in seat.limits_mm)
    if size_mm > upper_mm:
        return "above"
    return "below" if size_mm < lower_mm else ""


def _table_note(plan: Plan, seat: Seat, result: SeatEvaluation) -> str:
    unit_word = "inches" if plan.unit is Unit.INCH else "mm"
    note = f"Readings as received and z from the datum face, in {unit_word}."
    if result.corrected:
        corrections = [size.correction_um for size in result.sizes]
        low, high = (
            figures.small(edge, plan.unit, sign=True)
            for edge in (min(corrections), max(corrections))
        )
        span = low if low == high else f"{low} to {high}"
        note += f" Means, ovality and verdicts are at 20 °C: {span} applied."
    else:
        note += " No correction for temperature."
    if seat.repeats > 1:
        note += f" {seat.repeats} readings a point; their mean is the local size."
    return note


def _gauges(state: InspectionState) -> tuple[Fact, ...]:
    facts = []
    for gauge in state.gauges:
        parts = [
            gauge.description,
            f"serial {gauge.serial_number}" if gauge.serial_number else "",
            f"step {gauge.resolution} {gauge.unit}",
            f"certificate {gauge.certificate}" if gauge.certificate else "",
            f"calibration due {gauge.calibration_due}" if gauge.calibration_due else "",
            f"read from {gauge.source} as format “{gauge.format}”",
            "SIMULATED: no shaft was measured" if gauge.simulated else "",
        ]
        facts.append(
            Fact(label=f"Gauge {gauge.inventory_number}", value="; ".join(filter(None, parts)))
        )
    return tuple(facts)


def _conditions(state: InspectionState) -> tuple[Fact, ...]:
    facts = []
    for number, (_, noted) in enumerate(state.temperatures, start=1):
        label = "Temperatures" if len(state.temperatures) == 1 else f"Temperatures, {number}"
        facts.append(
            Fact(
                label=label,
                value=f"shaft {figures.received(noted.shaft_c)} °C, gauge "
                f"{figures.received(noted.gauge_c)} °C",
            )
        )
    if not facts:
        facts.append(Fact(label="Temperatures", value="none noted; sizes are as read"))
    return tuple(facts)


def _remarks(state: InspectionState) -> tuple[Remark, ...]:
    entries: list[tuple[int, Remark]] = []
    opened_on = local_time(state.opened.moment, state.opened.offset_min)[:10]

    def clock(moment: datetime) -> str:
        local = local_time(moment, state.opened.offset_min)
        return local[11:19] if local[:10] == opened_on else local[:19]

    for reading in state.readings.values():
        if not reading.counts:
            kind, _, reason = reading.fate.partition(": ")
            remark = Remark(
                when=clock(reading.moment),
                what=f"Point {reading.key}: reading {_as_sent(reading.received)} {kind}",
                why=reason,
            )
            entries.append((reading.seq, remark))
    for press in state.parked.values():
        remark = Remark(
            when=clock(press.moment),
            what=f"Press {_as_sent(press.received)} parked: {press.finding.rstrip('.')}",
            why=press.decision or "not decided",
        )
        entries.append((press.seq, remark))
    entries.sort(key=lambda entry: entry[0])
    skipped = [
        Remark(when="", what=f"Point {key} skipped", why=reason)
        for key, reason in state.skipped.items()
    ]
    return (*(remark for _, remark in entries), *skipped)


def _as_sent(received: Received) -> str:
    return f"{figures.received(received.value)} {Unit(received.unit).sign}"
