"""All results that ``seatproof form`` has for one file, as plain values in the file's unit."""

from collections.abc import Callable
from dataclasses import asdict
from typing import Any, Final, TypeVar

import numpy as np

from seatproof.core.form.circle import CircleFit
from seatproof.core.form.cylinder import CylinderFit
from seatproof.core.form.errors import FormError
from seatproof.core.form.line import (
    fit_line,
    fit_line_orthogonally,
    fit_line_through_origin,
    minimum_zone_band,
    minimum_zone_band_along_values,
)
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.lsq_cylinder import least_squares_cylinder
from seatproof.core.form.mcc import minimum_circumscribed_circle
from seatproof.core.form.mic import maximum_inscribed_circle
from seatproof.core.form.mzc import minimum_zone_circle
from seatproof.core.form.zone_cylinder import (
    ZoneCylinder,
    maximum_inscribed_cylinder,
    minimum_circumscribed_cylinder,
    minimum_zone_cylinder,
)
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.form_points import FloatArray, FormFile, Kind

Result = dict[str, Any]
Stage = Callable[[str], None]
_T = TypeVar("_T")
_LEAST_IN_SECTION: Final = 3


def results(file: FormFile, stage: Stage) -> Result:
    """Compute every result of a circle, cylinder or line.

    A result that does not exist is None, and its reason stands under "reasons".

    Raises
    ------
    CommandError
        No result exists at all.
    """
    work: dict[str, tuple[str, Callable[[], Result]]] = {
        Kind.CIRCLE: _circle,
        Kind.CYLINDER: _cylinder,
        Kind.LINE: _line,
    }[file.kind](file.points)
    found: Result = {}
    reasons: dict[str, str] = {}
    for key, (name, compute) in work.items():
        stage(name)
        try:
            found[key] = compute()
        except FormError as error:
            found[key] = None
            reasons[key] = str(error)
    if all(value is None for value in found.values()):
        raise CommandError(next(iter(reasons.values())))
    if file.kind is Kind.CYLINDER:
        stage("the sections")
        found.update(_sections(file.points))
    if reasons:
        found["reasons"] = reasons
    return found


def _circle(points: FloatArray) -> dict[str, tuple[str, Callable[[], Result]]]:
    def lsc() -> Result:
        return _circle_keys(least_squares_circle(points))

    def mzc() -> Result:
        fit = minimum_zone_circle(points)
        is_zero = not fit.proof.outer
        return {
            **_circle_keys(fit.circle),
            "r_out": fit.r_out,
            "r_in": fit.r_in,
            "contacts_out": list(fit.circle.contacts_out),
            "contacts_in": list(fit.circle.contacts_in),
            "growth": None if is_zero else fit.growth,
            "centre_unique": fit.centre_unique,
            "lower_bound": fit.proof.lower_bound,
            "proven": fit.proof.is_global,
        }

    def mcc() -> Result:
        fit = minimum_circumscribed_circle(points)
        return {**_circle_keys(fit), "contacts_out": list(fit.contacts_out)}

    def mic() -> Result:
        fit = maximum_inscribed_circle(points)
        return {
            **_circle_keys(fit.circle),
            "contacts_in": list(fit.circle.contacts_in),
            "defined": True,
            "centre_unique": fit.centre_unique,
        }

    return {
        "lsc": ("the least-squares circle", lsc),
        "mzc": ("the minimum zone circle", mzc),
        "mcc": ("the minimum circumscribed circle", mcc),
        "mic": ("the maximum inscribed circle", mic),
    }


def _circle_keys(fit: CircleFit) -> Result:
    return {
        "cx": fit.centre_x,
        "cy": fit.centre_y,
        "r": fit.radius,
        "zone": fit.zone,
        "ronp": fit.peak,
        "ronv": fit.valley,
        "ronq": fit.rms,
    }


def _cylinder(points: FloatArray) -> dict[str, tuple[str, Callable[[], Result]]]:
    return {
        "lsc": (
            "the least-squares cylinder",
            lambda: _cylinder_keys(least_squares_cylinder(points)),
        ),
        "mzc": (
            "the minimum zone cylinder",
            lambda: _zone_cylinder_keys(minimum_zone_cylinder(points)),
        ),
        "mcc": (
            "the minimum circumscribed cylinder",
            lambda: _zone_cylinder_keys(minimum_circumscribed_cylinder(points)),
        ),
        "mic": (
            "the maximum inscribed cylinder",
            lambda: _zone_cylinder_keys(maximum_inscribed_cylinder(points)),
        ),
    }


def _cylinder_keys(fit: CylinderFit) -> Result:
    return {
        "point": list(fit.point),
        "direction": list(fit.direction),
        "r": fit.radius,
        "zone": fit.zone,
        "ronp": fit.peak,
        "ronv": fit.valley,
        "ronq": fit.rms,
    }


def _zone_cylinder_keys(fit: ZoneCylinder) -> Result:
    return {
        **_cylinder_keys(fit.cylinder),
        "r_out": fit.r_out,
        "r_in": fit.r_in,
        "contacts_out": sorted(fit.outer),
        "contacts_in": sorted(fit.inner),
        "growth": fit.growth,
        "balance": fit.balance,
        "starts": fit.starts,
        "starts_reaching_best": fit.starts_at_best,
    }


def _sections(points: FloatArray) -> Result:
    """Circles of each height, and the taper of their radii, where the points lie in planes z."""
    ordered = points[np.argsort(points[:, 2], kind="stable")]
    heights, first, counts = np.unique(ordered[:, 2], return_index=True, return_counts=True)
    if np.min(counts) < _LEAST_IN_SECTION:
        return {}
    sections = []
    for height, start, count in zip(heights.tolist(), first.tolist(), counts.tolist(), strict=True):
        flat = ordered[start : start + count, :2]
        lsc, mzc = _or_none(least_squares_circle, flat), _or_none(minimum_zone_circle, flat)
        section: Result = {"z": height, "n": count, "lsc": None, "mzc": None}
        if lsc is not None:
            section["lsc"] = {key: _circle_keys(lsc)[key] for key in ("cx", "cy", "r", "zone")}
        if mzc is not None:
            keys = _circle_keys(mzc.circle)
            section["mzc"] = {key: keys[key] for key in ("cx", "cy", "zone")}
        sections.append(section)
    radii = [section["lsc"]["r"] for section in sections if section["lsc"] is not None]
    if len(radii) != len(sections) or len(radii) < 2:
        return {"sections": sections}
    line = fit_line(heights, radii)
    taper = {
        "slope": line.slope,
        "intercept": line.intercept,
        "radius_change_over_length": line.change_over_length,
        "diameter_change_over_length": 2.0 * line.change_over_length,
        "r_max_minus_r_min": max(radii) - min(radii),
    }
    return {"sections": sections, "taper_from_section_lsc_radii": taper}


def _or_none(fit: Callable[[FloatArray], _T], points: FloatArray) -> _T | None:
    try:
        return fit(points)
    except FormError:
        return None  # a section without a circle stands in the list without one


def _line(points: FloatArray) -> dict[str, tuple[str, Callable[[], Result]]]:
    z, value = points[:, 0], points[:, 1]

    def band(fit: Callable[[FloatArray, FloatArray], Any], *, with_squares: bool) -> Result:
        keys: Result = asdict(fit(z, value))
        if not with_squares:
            del keys["residual_ss"]
        return keys

    return {
        "ols": ("the least-squares line", lambda: asdict(fit_line(z, value))),
        "ols_through_origin": (
            "the least-squares line through the origin",
            lambda: asdict(fit_line_through_origin(z, value)),
        ),
        "orthogonal_ls": (
            "the orthogonal least-squares line",
            lambda: band(fit_line_orthogonally, with_squares=True),
        ),
        "mz_vertical": (
            "the minimum zone along the values",
            lambda: band(minimum_zone_band_along_values, with_squares=False),
        ),
        "mz_perpendicular": (
            "the minimum zone across the line",
            lambda: band(minimum_zone_band, with_squares=False),
        ),
    }
