"""How ``seatproof fit`` tells a fit: a few lines with the figures and what to beware of."""

from typing import Final

from seatproof.core import figures
from seatproof.core.fit.closed import ClosedFit, State
from seatproof.core.fit.halves import HalvesFit, Joints
from seatproof.core.fit.press import Press
from seatproof.core.units import UM_PER_MM, Unit

_ESTIMATE: Final = (
    "An estimate, never an acceptance: follow the bearing maker's instructions and limits."
)


def as_text(found: ClosedFit | HalvesFit, unit: Unit) -> str:
    """Write a fit in the unit, stresses in MPa."""
    lines = _halves(found, unit) if isinstance(found, HalvesFit) else _closed(found, unit)
    lines += [f"  ! {warning}" for warning in found.warnings]
    return "\n".join([*lines, _ESTIMATE])


def _closed(found: ClosedFit, unit: Unit) -> list[str]:
    seat, bore = found.seat, found.ring.bore
    lower, upper = figures.limits(bore.lower_mm, bore.upper_mm, unit)
    u = figures.uncertainty(seat.expanded_mm * UM_PER_MM, unit)
    smallest, mean = (figures.size(each, unit) for each in (seat.smallest_mm, seat.mean_mm))
    lines = [
        f"shaft  {smallest} to {figures.size_unit(seat.largest_mm, unit)}, mean {mean}, U {u}",
        f"bore   {lower} to {upper} {unit} ({bore.source})",
        *_state("at 20 °C", found.room, unit),
    ]
    if found.running is not None:
        warm = found.running.warmth
        when = f"running, shaft {warm.shaft_c:g} °C and ring {warm.ring_c:g} °C"
        lines += _state(when, found.running, unit)
    if found.room.interference.probable_um > 0.0:
        lines.append("probable interference once the asperities are pressed flat, by formula")
        lines += [
            f"  {figures.small(one.effective_um, unit)}  {one.formula}" for one in found.smoothing
        ]
    if found.grip_n is not None:
        lines.append(f"axial grip (probable)  {found.grip_n / 1000.0:.1f} kN")
    if found.mounting is not None:
        heat = found.mounting
        gap = figures.small(heat.gap_um, unit)
        lines.append(
            f"to slip on with a gap of {gap}, shaft at {heat.shaft_c:g} °C: ring at "
            f"{heat.temperature_c:.0f} °C"
        )
    return lines


def _state(when: str, state: State, unit: Unit) -> list[str]:
    fit = state.interference
    probable = figures.small_number(fit.probable_um, unit, sign=True)
    around = figures.small(fit.give_or_take_um, unit)
    lines = [
        f"{when}:",
        f"  interference (+ tight)  {figures.small_number(fit.least_um, unit, sign=True)} to "
        f"{figures.small(fit.most_um, unit, sign=True)}, probably {probable} ± {around}",
    ]
    if state.least is None or state.probable is None or state.most is None:
        return lines
    rows = (state.least, state.probable, state.most)
    lines += [
        _row("pressure", [row.pressure_mpa for row in rows], "MPa"),
        _row("hoop stress, ring's bore", [row.ring_hoop_mpa for row in rows], "MPa"),
        _row("equivalent stress there", [row.ring_equivalent_mpa for row in rows], "MPa"),
        _row("hoop stress, shaft", [row.shaft_hoop_mpa for row in rows], "MPa"),
        _growth(rows, unit),
    ]
    if state.clearance is not None:
        left = state.clearance
        lines.append(
            f"  internal clearance left  {figures.small_number(left.least_um, unit)} to "
            f"{figures.small(left.most_um, unit)}, probably "
            f"{figures.small(left.probable_um, unit)}"
        )
    return lines


def _row(name: str, values: list[float], unit: str) -> str:
    least, probable, most = (f"{value:.1f}".replace("-", figures.MINUS) for value in values)
    return f"  {name:<24} {least} to {most} {unit}, probably {probable}"


def _growth(rows: tuple[Press, Press, Press], unit: Unit) -> str:
    least, probable, most = (figures.small_number(row.growth_um, unit) for row in rows)
    name = "raceway grows by"
    return f"  {name:<24} {least} to {most} {figures.small_unit(unit)}, probably {probable}"


def _halves(found: HalvesFit, unit: Unit) -> list[str]:
    lines = [f"ring in halves, closing diameter {figures.size_unit(found.closing_mm, unit)}"]
    for name, one in (
        ("smallest shaft", found.smallest),
        ("mean shaft", found.probable),
        ("largest shaft", found.largest),
    ):
        lines.append(
            f"{name:<15} {figures.small(one.over_um, unit, sign=True)} over it: {_joint(one, unit)}"
        )
    forced = found.largest
    if forced.forced_strain > 0.0:
        line = (
            f"forced shut on the largest shaft: strain {1e6 * forced.forced_strain:.0f} µm/m, hoop "
            f"stress up to {forced.forced_stress_mpa:.0f} MPa"
        )
        if forced.forced_ring_stress_mpa is not None:
            line += f" ({forced.forced_ring_stress_mpa:.0f} MPa if ring and shaft both give)"
        lines.append(f"{line}. Never force the joints shut.")
    if found.told_by_gaps_mm is not None:
        lines.append(
            f"the joint gaps tell a shaft of {figures.size_unit(found.told_by_gaps_mm, unit)}"
        )
    return lines


def _joint(one: Joints, unit: Unit) -> str:
    if one.looseness_um > 0.0:
        return f"joints closed, loose by {figures.small(one.looseness_um, unit)}"
    each, total = one.opening_each_um, one.opening_um
    return f"joints open {figures.small(each, unit)} each, {figures.small(total, unit)} in all"
