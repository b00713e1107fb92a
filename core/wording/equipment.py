"""What was measured with, and under which conditions: gauges, standards, checks, temperatures."""

from decimal import Decimal
from itertools import groupby

from seatproof.core import figures
from seatproof.core.plan.fields import length_text
from seatproof.core.quantities import plain_text
from seatproof.core.record.entries import LoggedCheck
from seatproof.core.record.kinds import GaugeInService, StandardInService, Temperatures
from seatproof.core.record.kinds.equipment import NO_LINE
from seatproof.core.record.state import InspectionState
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.core.wording.content import Fact, Grid, Section
from seatproof.core.wording.moments import clock_time
from seatproof.core.words import Words


def equipment_section(state: InspectionState, say: Words) -> Section:
    """Name gauges and setting standards with their calibration."""
    unit = state.plan.unit
    facts = [
        Fact(
            label=say("Gauge {number}", number=gauge.inventory_number),
            value=_gauge(gauge, unit, say),
        )
        for gauge in state.gauges
    ]
    facts += [
        Fact(
            label=say("Setting standard {number}", number=entry.payload.inventory_number),
            value=_standard(entry.payload, unit, say),
        )
        for entry in state.standards
    ]
    curves = tuple(_curve(gauge, unit, say) for gauge in state.gauges if gauge.error_curve)
    return Section(heading=say("Gauges and calibration"), facts=tuple(facts), grids=curves)


def _gauge(gauge: GaugeInService, unit: Unit, say: Words) -> str:
    bounds = (gauge.range_from_mm, gauge.range_to_mm)
    error = gauge.permissible_error_mm
    parts = [
        gauge.description,
        say("serial {number}", number=gauge.serial_number) if gauge.serial_number else "",
        say("step {step} {unit}", step=gauge.resolution, unit=gauge.unit),
        say(
            "range {lower} to {upper}",
            lower=_length(bounds[0], unit),
            upper=_length(bounds[1], unit),
        )
        if None not in bounds
        else "",
        say("permissible error ±{error}", error=_small(error, unit)) if error else "",
        say("for seats {seats}", seats=", ".join(gauge.seats)) if gauge.seats else "",
        *_calibration(gauge, say),
        _source(gauge, say),
        "" if gauge.taking == "each" else say("taking: {taking}", taking=say(gauge.taking)),
        say("SIMULATED: no shaft was measured") if gauge.simulated else "",
    ]
    return "; ".join(filter(None, parts))


def _source(gauge: GaugeInService, say: Words) -> str:
    if gauge.source == NO_LINE:
        return say("its values are typed by hand")
    return say("read from {source} as format “{format}”", source=gauge.source, format=gauge.format)


def _standard(standard: StandardInService, unit: Unit, say: Words) -> str:
    parts = [
        standard.description,
        say("serial {number}", number=standard.serial_number) if standard.serial_number else "",
        say(
            "actual size {size}, U = {expanded} (k = {factor})",
            size=_length(standard.size_mm, unit),
            expanded=_small(standard.expanded_mm, unit),
            factor=standard.coverage_factor,
        ),
        say("for seats {seats}", seats=", ".join(standard.seats)) if standard.seats else "",
        *_calibration(standard, say),
    ]
    return "; ".join(filter(None, parts))


def _calibration(thing: GaugeInService | StandardInService, say: Words) -> tuple[str, ...]:
    return (
        say("certificate {number}", number=thing.certificate) if thing.certificate else "",
        say("calibrated {date}", date=thing.calibration_date) if thing.calibration_date else "",
        say("calibration due {date}", date=thing.calibration_due) if thing.calibration_due else "",
        say("used all the same: {reason}", reason=thing.override_reason)
        if thing.override_reason
        else "",
    )


def _curve(gauge: GaugeInService, unit: Unit, say: Words) -> Grid:
    return Grid(
        caption=say("Calibration of gauge {number}", number=gauge.inventory_number),
        heads=(say("size"), say("error of indication"), "U", "k"),
        shares=(0.25, 0.3, 0.25, 0.2),
        figures=(0, 1, 2, 3),
        rows=tuple(
            (
                _length(point.size_mm, unit),
                _small(point.error_mm, unit, sign=True),
                _small(point.expanded_mm, unit),
                point.coverage_factor,
            )
            for point in gauge.error_curve
        ),
    )


def checks_section(state: InspectionState, say: Words) -> Section:
    """Show the reference checks with the drift from one to the next, and what asked for them."""
    unit = state.plan.unit
    rows = tuple(_check(state, check, say) for check in state.checks)
    sentences = [
        say(
            "{time}: {what}{gauge}",
            time=clock_time(state, entry.moment),
            what=say(entry.payload.what),
            gauge=f", {entry.payload.gauge}" if entry.payload.gauge else "",
        )
        + (f": {entry.payload.note}" if entry.payload.note else "")
        for entry in state.attentions
    ]
    if not rows:
        sentences.insert(0, say("No reference check was made."))
    drift_mm = state.plan.checks.drift_mm
    note = (
        ""
        if drift_mm is None
        else say(
            "Limit for drift: {limit}. Readings between two checks that lie further apart are not "
            "proof of anything.",
            limit=figures.small(float(drift_mm) * UM_PER_MM, unit),
        )
    )
    grid = Grid(
        heads=tuple(
            say(head)
            for head in (
                "time",
                "check",
                "gauge",
                "on",
                "should show",
                "showed",
                "off by",
                "drift",
                "",
            )
        ),
        shares=(0.09, 0.14, 0.1, 0.14, 0.13, 0.14, 0.09, 0.09, 0.08),
        figures=(4, 5, 6, 7),
        rows=rows,
        note=note,
    )
    return Section(
        heading=say("Reference checks"), grids=(grid,) if rows else (), sentences=tuple(sentences)
    )


def _check(state: InspectionState, check: LoggedCheck, say: Words) -> tuple[str, ...]:
    unit = state.plan.unit
    payload = check.check
    shown = ", ".join(
        f"{figures.received(received.value)} {Unit(received.unit).sign}"
        for received in payload.received
    )
    drift = None if check.drift_mm is None else float(check.drift_mm) * UM_PER_MM
    return (
        clock_time(state, check.moment),
        say("{phase}, {occasion}", phase=say(payload.phase), occasion=say(payload.occasion)),
        payload.gauge,
        payload.standard or say("zero"),
        _length(payload.expected_mm, unit),
        shown,
        figures.small(float(check.deviation_mm) * UM_PER_MM, unit, sign=True),
        figures.small(drift, unit, sign=True),
        say("good") if check.good else say("not good"),
    )


def conditions_section(state: InspectionState, say: Words) -> Section:
    """Show what was looked at on every seat before it was measured."""
    rows = tuple(
        (
            seat,
            check,
            say(entry.payload.answer),
            entry.payload.note,
        )
        for (seat, check), entry in state.conditions.items()
    )
    grid = Grid(
        heads=tuple(say(head) for head in ("seat", "condition", "answer", "note")),
        shares=(0.08, 0.37, 0.15, 0.4),
        rows=rows,
    )
    return Section(heading=say("Condition of the seats"), grids=(grid,) if rows else ())


def temperatures_section(state: InspectionState, say: Words) -> Section:
    """Show the temperatures as they were noted; the same ones in a row are told once."""
    moments = {event.seq: event.moment for event in state.events}
    facts = []
    for noted, run in groupby(state.temperatures, key=lambda pair: _noted(pair[1], say)):
        seqs = [seq for seq, _ in run]
        first = clock_time(state, moments[seqs[0]])
        if len(seqs) == 1:
            label = first
        else:
            last = clock_time(state, moments[seqs[-1]])
            label = say(
                "{first} to {last}, {count} times the same",
                first=first,
                last=last,
                count=str(len(seqs)),
            )
        facts.append(Fact(label=label, value=noted))
    if not facts:
        facts.append(Fact(label=say("Temperatures"), value=say("none noted; sizes are as read")))
    return Section(heading=say("Temperatures"), facts=tuple(facts))


def _noted(noted: Temperatures, say: Words) -> str:
    value = say(
        "shaft {shaft} °C, gauge {gauge} °C",
        shaft=figures.received(noted.shaft_c),
        gauge=figures.received(noted.gauge_c),
    )
    if noted.standard_c is None:
        return value
    standard = figures.received(noted.standard_c)
    return value + say(", setting standard {standard} °C", standard=standard)


def _length(text: str | None, unit: Unit) -> str:
    return figures.NOTHING if text is None else length_text(Decimal(text), unit)


def _small(text: str | Decimal, unit: Unit, *, sign: bool = False) -> str:
    """Write a small length exactly as it was given where the plan is metric."""
    length_mm = Decimal(text)
    if unit is Unit.MM:
        number = plain_text(abs(length_mm) * 1000)
        before = figures.MINUS if length_mm < 0 else "+" if sign and length_mm > 0 else ""
        return f"{before}{number} µm"
    return figures.small(float(length_mm) * UM_PER_MM, unit, sign=sign)
