"""What the polar plot of the bench shows of a set of readings, by how it was taken; no Qt.

Diameters have no circle. Radial readings are departures from the reference circle that the plan
names, as on the sheet. Readings over a vee block have no circle either; with the other set-ups of
their seat they give a profile, which is shown about its least-squares circle.
"""

from dataclasses import dataclass

from seatproof.core.evaluation.evaluate import Evaluation, SeatEvaluation
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.plots.form import form_plot, has_profiles
from seatproof.core.plots.polar import PolarPlot, PolarTrace, polar_plot
from seatproof.core.wording.undulations import radial_polar

_CIRCLES = {
    "minimum zone": ReferenceCircle.MZC,
    "least squares": ReferenceCircle.LSC,
}


@dataclass(frozen=True, slots=True)
class SetForm:
    """How the form of a set of readings is shown.

    Attributes
    ----------
    method : str
        As the plan names it.
    circle : ReferenceCircle or None
        From which departures are shown; None for diameters, which have the mean circle alone.
    sets : tuple of str
        The sets of readings that give the profile together; empty where one alone does.
    why_not : str
        Why there is nothing to be shown; empty where there is.
    """

    method: str
    circle: ReferenceCircle | None = None
    sets: tuple[str, ...] = ()
    why_not: str = ""


def polar_of(evaluation: Evaluation, seat_id: str) -> PolarPlot:
    """Return the polar plot of a set of readings; without any trace where it has no form yet."""
    result = evaluation.seat(seat_id)
    plot: PolarPlot | None = None
    if result.seat.method == "radial":
        plot = radial_polar(result)
    elif result.seat.method == "vee":
        plot = _of_setups(_first(evaluation, result), result)
    return plot if plot is not None else polar_plot(result)


def set_form_of(evaluation: Evaluation, seat_id: str) -> SetForm:
    """Say how `polar_of` shows a set of readings, or why it cannot yet."""
    result = evaluation.seat(seat_id)
    method = result.seat.method
    if method == "two-point":
        return SetForm(method)
    why_not = next((one.why_no_circle for one in result.profiles if one.why_no_circle), "")
    if method == "radial":
        has_circle = any(one.circle is not None for one in result.profiles)
        circle = _CIRCLES[result.seat.reference_circle]
        return SetForm(method, circle, why_not="" if has_circle else why_not)
    first = _first(evaluation, result)
    here = {float(z_mm) for z_mm in result.seat.stations_mm}
    combined = [one for one in first.combined if one.z_mm in here]
    known = [one for one in combined if one.profile is not None]
    if known:
        return SetForm(method, ReferenceCircle.LSC, known[0].sets)
    reasons = (one.why_not for one in combined if one.why_not)
    return SetForm(method, ReferenceCircle.LSC, why_not=next(reasons, why_not))


def _first(evaluation: Evaluation, result: SeatEvaluation) -> SeatEvaluation:
    """Return the results of the seat itself, of which a set may be but one more."""
    return evaluation.seat(result.seat.same_seat_as or result.seat.id)


def _of_setups(first: SeatEvaluation, result: SeatEvaluation) -> PolarPlot | None:
    """Return the profiles that the set-ups of a seat give together, at the stations of one set."""
    if not first.combined or not has_profiles(first):
        return None
    plot = form_plot(first, ReferenceCircle.LSC)
    numbers = {float(z_mm): n for n, z_mm in enumerate(result.seat.stations_mm, start=1)}
    sets = {one.z_mm: one.sets for one in first.combined}
    traces = tuple(
        PolarTrace(
            station=numbers[trace.z_mm],
            label=f"station {numbers[trace.z_mm]}, {' with '.join(sets[trace.z_mm])}",
            angles_deg=(),
            deviations_um=(),
            curve_deg=tuple(round(float(angle), 3) for angle in trace.angles_deg),
            curve_um=tuple(round(float(value), 3) for value in trace.departures_um),
        )
        for trace in plot.traces
        if trace.z_mm in numbers
    )
    if not traces:
        return None
    return PolarPlot(
        traces=traces,
        radius_mm=plot.radius_mm,
        magnification=plot.magnification,
        grid_um=plot.grid_um,
        band_um=plot.band_um(),
    )
