"""The results of ``seatproof form`` as text for people: which text, and those along the seat."""

from typing import Final

import numpy as np

from seatproof.core.form.runout import run_out
from seatproof.gui.commands.form_circle_text import circle_text
from seatproof.gui.commands.form_lengths import NAMES, Lengths, Result, heading, listed
from seatproof.gui.commands.form_points import FloatArray, FormFile, Kind

_LINE_NAMES: Final = {
    "ols": "least squares",
    "ols_through_origin": "least squares through the origin",
    "orthogonal_ls": "orthogonal least squares",
    "mz_vertical": "minimum zone along the values",
    "mz_perpendicular": "minimum zone across the line",
}


def as_text(name: str, file: FormFile, found: Result, repeatability: float | None) -> str:
    """Lay out the results of a circle, cylinder or line."""
    lengths = Lengths(file.unit)
    if file.kind is Kind.LINE:
        return "\n".join(_line(name, file, found, lengths))
    if file.kind is Kind.CYLINDER:
        return "\n".join(_cylinder(name, file, found, lengths))
    return "\n".join(circle_text(name, file, found, lengths, repeatability))


def _cylinder(name: str, file: FormFile, found: Result, lengths: Lengths) -> list[str]:
    small = f" {lengths.small_unit}" if lengths.small_unit else ""
    lines = [
        heading(name, file, "points of a seat"),
        "",
        f"{'reference cylinder':<28}{'radius':>14}{'cylindricity' + small:>20}"
        f"{'axis at mid height (x, y)':>30}{'axis leans (x, y) per 1':>28}",
    ]
    for key, label in NAMES.items():
        fit = found[key]
        if fit is None:
            lines.append(f"{label:<28}none: {found['reasons'][key]}")
            continue
        place = ", ".join(lengths.large(value) for value in fit["point"][:2])
        dx, dy, dz = fit["direction"]
        lean = f"{dx / dz:.3e}, {dy / dz:.3e}" if abs(dz) > 0.5 else f"{dx:.4f}, {dy:.4f}, {dz:.4f}"
        lines.append(
            f"{label:<28}{lengths.large(fit['r']):>14}{lengths.small(fit['zone']):>20}"
            f"{place:>30}{lean:>28}"
        )
    lines += ["", "Cylindricity is radial: a difference of radii. Unfiltered; every point counts."]
    mzc = found["mzc"]
    if mzc is not None:
        lines.append(
            f"Minimum zone: held by points {listed(mzc['contacts_out'])} outside and "
            f"{listed(mzc['contacts_in'])} inside; {mzc['starts_reaching_best']} of "
            f"{mzc['starts']} searches ended here."
        )
        if mzc["growth"] is not None and mzc["growth"] < 1e-3:
            lines.append("Its axis is badly determined: the zone stays the same along one motion.")
    lines += _sections(found, lengths)
    lines += _run_out(file.points, found, lengths)
    return lines


def _run_out(points: FloatArray, found: Result, lengths: Lengths) -> list[str]:
    """Run-out as if the shaft had been turned about the z axis of the file."""
    if "sections" not in found:
        return []
    about_z = run_out(points[:, 2], np.hypot(points[:, 0], points[:, 1]))
    return [
        f"Run-out about the z axis of the file: circular {lengths.with_unit(about_z.circular)} at "
        f"most, total {lengths.with_unit(about_z.total)}."
    ]


def _sections(found: Result, lengths: Lengths) -> list[str]:
    if "sections" not in found:
        return []
    small = f" {lengths.small_unit}" if lengths.small_unit else ""
    lines = [
        "",
        f"{'section at z':>14}{'points':>8}{'radius (LSC)':>16}{'roundness LSC' + small:>22}"
        f"{'MZC' + small:>14}",
    ]
    for one in found["sections"]:
        lsc, mzc = one["lsc"], one["mzc"]
        lines.append(
            f"{one['z']:>14.4f}{one['n']:>8}"
            f"{lengths.large(lsc['r']) if lsc else 'none':>16}"
            f"{lengths.small(lsc['zone']) if lsc else 'none':>22}"
            f"{lengths.small(mzc['zone']) if mzc else 'none':>14}"
        )
    taper = found.get("taper_from_section_lsc_radii")
    if taper is not None:
        change = taper["diameter_change_over_length"]
        end = "larger" if change > 0.0 else "smaller"
        lines.append(
            f"Taper between the outer sections: {lengths.with_unit(abs(change))} of diameter, "
            f"{end} at high z."
        )
    return lines


def _line(name: str, file: FormFile, found: Result, lengths: Lengths) -> list[str]:
    small = f" {lengths.small_unit}" if lengths.small_unit else ""
    lines = [
        heading(name, file, "values along a line"),
        "",
        f"{'line':<34}{'slope':>18}{'intercept':>18}{'band' + small:>18}",
    ]
    for key, label in _LINE_NAMES.items():
        fit = found[key]
        if fit is None:
            lines.append(f"{label:<34}none: {found['reasons'][key]}")
            continue
        width = fit.get("zone", fit.get("residual_zone"))
        lines.append(
            f"{label:<34}{_number(fit['slope']):>18}{_number(fit.get('intercept')):>18}"
            f"{'' if width is None else lengths.small(width):>18}"
        )
    ols = found["ols"]
    if ols is not None:
        lines += [
            "",
            f"Least squares: change over the length {lengths.with_unit(ols['change_over_length'])}"
            f"; value {lengths.large(ols['value_at_mean'])} at z = {ols['z_mean']:.6g}.",
        ]
        if ols["residual_sd"] is not None:
            lines.append(
                f"Residual standard deviation {lengths.with_unit(ols['residual_sd'])}; standard "
                f"errors: slope {_number(ols['sd_slope'])}, intercept "
                f"{_number(ols['sd_intercept'])}."
            )
        else:
            lines.append("Two points leave nothing over: no scatter can be stated.")
    return lines


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.9g}"
