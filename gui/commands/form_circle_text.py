"""The results of ``seatproof form`` for one section, as text for people."""

from typing import Final

import numpy as np

from seatproof.core.form.caveats import form_caveats
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.form.errors import FormError
from seatproof.core.form.noise import noise_floor
from seatproof.core.form.profile import find_outliers
from seatproof.core.form.setup import RADIAL
from seatproof.core.form.spectrum import radial_spectrum
from seatproof.core.form.undulation import Seen
from seatproof.core.units import UM_PER_MM
from seatproof.gui.commands.form_lengths import NAMES, Lengths, Result, heading, listed
from seatproof.gui.commands.form_points import FloatArray, FormFile

# More readings than this are no hand readings; sampling then no longer limits what is seen.
_FEW: Final = 400
_SHOWN_UNDULATIONS: Final = 6
_SHOWN_SUSPECTS: Final = 3
_WIDEST_GAP_DEG: Final = 91.0
_MZC_DRAWS: Final = 300


def circle_text(
    name: str, file: FormFile, found: Result, lengths: Lengths, repeatability: float | None
) -> list[str]:
    """Lay out the reference circles of a section, and what its readings can show."""
    small = f" {lengths.small_unit}" if lengths.small_unit else ""
    lines = [
        heading(name, file, "points of one section"),
        "",
        f"{'reference circle':<28}{'centre x':>13}{'centre y':>13}{'radius':>14}"
        f"{'roundness' + small:>18}{'peak':>12}{'valley':>12}",
    ]
    for key, label in NAMES.items():
        fit = found[key]
        if fit is None:
            lines.append(f"{label:<28}none: {found['reasons'][key]}")
            continue
        lines.append(
            f"{label:<28}{lengths.large(fit['cx']):>13}{lengths.large(fit['cy']):>13}"
            f"{lengths.large(fit['r']):>14}{lengths.small(fit['zone']):>18}"
            f"{lengths.small(fit['ronp']):>12}{lengths.small(fit['ronv']):>12}"
        )
    lines += ["", "Roundness is radial: a difference of radii. Unfiltered; every point counts."]
    lines += _proof(found["mzc"], lengths)
    if found["mic"] is not None and not found["mic"]["centre_unique"]:
        lines.append("The maximum inscribed circle has an equal one elsewhere.")
    if found["lsc"] is not None:
        lines += _about_readings(file.points, found, lengths, repeatability)
    return lines


def _proof(mzc: Result | None, lengths: Lengths) -> list[str]:
    if mzc is None:
        return []
    if mzc["growth"] is None:
        return ["The points lie on one circle to rounding: that is arithmetic, not roundness."]
    outer, inner = mzc["contacts_out"], mzc["contacts_in"]
    bound = lengths.with_unit(mzc["lower_bound"])
    proven = (
        f"no two circles anywhere are closer together than {bound}"
        if mzc["proven"]
        else "no smaller zone was found near this centre"
    )
    slack = 0.1 * mzc["zone"] / mzc["growth"] if mzc["growth"] > 0.0 else float("inf")
    return [
        f"Minimum zone: held by points {listed(outer)} outside and {listed(inner)} inside; "
        f"{proven}.",
        f"With a zone a tenth larger its centre could lie up to {lengths.with_unit(slack)} aside.",
    ]


def _about_readings(
    points: FloatArray, found: Result, lengths: Lengths, repeatability: float | None
) -> list[str]:
    centre = np.array([found["lsc"]["cx"], found["lsc"]["cy"]])
    away = points - centre
    angle = np.degrees(np.arctan2(away[:, 1], away[:, 0])) % 360.0
    radius = np.hypot(away[:, 0], away[:, 1])
    lines = [""]
    if len(points) <= _FEW:
        gap = _widest_gap(angle)
        if gap <= _WIDEST_GAP_DEG:
            lines += _undulations(angle, radius, lengths)
            lines += _outliers(angle, radius, lengths)
        else:
            lines.append(f"{gap:.0f}° of the section were not measured; no undulations are stated.")
        lines += _caveats(angle, radius, found, lengths, repeatability)
    return lines if len(lines) > 1 else []


def _undulations(angle: FloatArray, radius: FloatArray, lengths: Lengths) -> list[str]:
    try:
        spectrum = radial_spectrum(angle, radius)
    except FormError:
        return []  # fewer readings than the second undulation needs
    seen = [one for one in spectrum.undulations if one.seen is Seen.DETERMINED]
    seen = sorted(seen, key=lambda one: -one.amplitude_um)[:_SHOWN_UNDULATIONS]
    if not seen or not sum(one.amplitude_um for one in seen) > 0.0:
        return []
    parts = [f"{one.number}: {lengths.with_unit(2 * one.amplitude_um / UM_PER_MM)}" for one in seen]
    return [
        f"Undulations per turn, largest first, peak to valley (of 2 to {spectrum.highest}): "
        + ", ".join(parts)
    ]


def _caveats(
    angle: FloatArray,
    radius: FloatArray,
    found: Result,
    lengths: Lengths,
    repeatability: float | None,
) -> list[str]:
    reference = ReferenceCircle.LSC if found["mzc"] is None else ReferenceCircle.MZC
    try:
        caveats = form_caveats(angle, radius, RADIAL, repeatability, reference)
        floors = [
            noise_floor(angle, 1.0),
            noise_floor(angle, 1.0, ReferenceCircle.MZC, draws=_MZC_DRAWS),
        ]
    except FormError as error:
        return [f"What these readings can show: {error}."]
    lines = list(caveats.sentences(lengths.with_unit))
    if repeatability is None:
        lines.append(
            "Noise reads high: on a perfect circle, 1 in 20 sections shows more than "
            f"{floors[0].upper:.1f} s (LSC) or {floors[1].upper:.1f} s (MZC), s the standard "
            "deviation of one reading."
        )
    return lines


def _widest_gap(angle: FloatArray) -> float:
    ordered = np.sort(angle)
    return float(np.max(np.diff(ordered, append=ordered[0] + 360.0)))


def _outliers(angle: FloatArray, radius: FloatArray, lengths: Lengths) -> list[str]:
    try:
        suspects = find_outliers(angle, radius)
    except FormError:
        return []  # too few readings to single one out
    return [
        f"Look at point {one.index + 1}: it departs by {lengths.with_unit(one.departure)} from a "
        "smooth profile through the others. It is counted in all results above."
        for one in suspects[:_SHOWN_SUSPECTS]
    ]
