"""What ``seatproof form`` says of diameters round one section."""

from typing import Any

from seatproof.core.form.caveats import form_caveats
from seatproof.core.form.closure import check_closure
from seatproof.core.form.setup import TWO_POINT
from seatproof.core.form.twopoint import (
    fit_ovality,
    half_range_radial_um,
    major_axis_standard_error_deg,
    ovality_standard_error_um,
)
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.form_points import FormFile

Result = dict[str, Any]


def two_point_results(file: FormFile, repeatability: float | None) -> Result:
    """Compute ovality, range and closure; lengths in the unit of the file.

    Raises
    ------
    FormError
        Too few orientations, or bad values.
    CommandError
        The file names no unit of length.
    """
    try:
        in_mm = float(Unit(file.unit).in_mm)
    except ValueError as error:
        raise CommandError("diameters need a unit: mm, in, um or mil") from error
    to_unit = 1.0 / (in_mm * UM_PER_MM)
    angle, diameter = file.points[:, 0], file.points[:, 1]
    fit = fit_ovality(angle, diameter * in_mm)
    found: Result = {
        "mean": fit.mean_mm / in_mm,
        "ovality": fit.ovality_um * to_unit,
        "major_axis_deg": fit.major_axis_deg,
        "range": fit.range_um * to_unit,
        "half_range_radial": half_range_radial_um(diameter * in_mm) * to_unit,
        "residual_sd": None if fit.residual_sd_um is None else fit.residual_sd_um * to_unit,
    }
    if repeatability is not None:
        s_um = repeatability / to_unit
        check = check_closure(angle, diameter * in_mm, s_um)
        found |= {
            "sd_ovality": ovality_standard_error_um(s_um, angle, fit.major_axis_deg) * to_unit,
            "sd_major_axis_deg": major_axis_standard_error_deg(fit, s_um, angle),
            "closes": check.closes,
            "closure_probability": check.probability,
            "suspects": [one.index for one in check.suspects],
        }
    return found


def two_point_text(
    name: str, file: FormFile, found: Result, repeatability: float | None = None
) -> str:
    """Lay the results out for people."""
    is_metric = file.unit == Unit.MM.value
    scale, unit = (UM_PER_MM, "µm") if is_metric else (1.0, file.unit)
    digits = 2 if is_metric else 6

    def small(value: float) -> str:
        return f"{value * scale:.{digits}f} {unit}"

    angle, diameter = file.points[:, 0], file.points[:, 1]
    caveats = form_caveats(angle, diameter, TWO_POINT, repeatability)
    lines = [
        f"{name}: {len(file.points)} diameters of one section, {file.unit}",
        "",
        f"mean diameter        {found['mean']:.6f} {file.unit}",
        f"two-point ovality    {small(found['ovality'])} of diameter, largest at "
        f"{found['major_axis_deg']:.1f}°",
        f"range of diameters   {small(found['range'])}; half of it, "
        f"{small(found['half_range_radial'])}, is radial",
    ]
    if found["residual_sd"] is not None:
        lines.append(f"scatter about it     {small(found['residual_sd'])}")
    if "closes" in found:
        lines.append(f"standard uncertainty {small(found['sd_ovality'])} of the ovality")
        if found["closes"] is not None:
            closes = "close" if found["closes"] else "do NOT close"
            lines.append(
                f"closure check        the readings {closes} on an ellipse "
                f"(probability {found['closure_probability']:.2g})"
            )
        lines += [f"look at reading      {index + 1}" for index in found["suspects"]]
    lines += [
        "",
        "Diameters show even undulations only: three, five or seven lobes do not show at all, so "
        "this is not the roundness.",
        *caveats.sentences(small),
    ]
    return "\n".join(lines)
