"""The gauge's own part, in three grades of evidence, and what a better one would gain."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import hypot
from typing import Final

from seatproof.core.uncertainty.contribution import (
    Contribution,
    Distribution,
    expanded,
    half_width,
)
from seatproof.core.uncertainty.errors import CurveRangeError, UncertaintyError

STANDARD_NEAR_MM: Final = 1.0  # farther away a setting standard says little of the screw's error
_USUAL_TRAVEL_MM: Final = 25.0
# What a certificate usually reaches against the maker's limit; an assumption, and named as one.
_CERTIFICATE_SHARE: Final = 0.25

INDICATION: Final = "error of indication"
STANDARD: Final = "setting standard"


class Evidence(StrEnum):
    """What the error of a gauge is known from."""

    PERMISSIBLE_ERROR = "permissible error"
    CERTIFICATE = "certificate"
    SETTING_STANDARD = "setting standard"


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One line of a calibration certificate: error = indication - true size, and its U and k."""

    size_mm: float
    error_um: float
    expanded_um: float
    coverage_factor: float


@dataclass(frozen=True, slots=True)
class SettingStandard:
    """The standard on which a gauge was set or checked: actual size, U and k."""

    size_mm: float
    expanded_um: float
    coverage_factor: float = 2.0


@dataclass(frozen=True, slots=True)
class GaugeFacts:
    """What is known of a gauge.

    Attributes
    ----------
    step_um : float
        Its resolution.
    permissible_error_um : float or None
        The maker's limit, half-width.
    travel_mm : float or None
        Length of its range; 25 mm where not stated.
    curve : tuple of CurvePoint
        Of its certificate.
    standard : SettingStandard or None
        On which it was set or checked.
    evidence : Evidence
        What is to be used, where it is there.
    """

    step_um: float
    permissible_error_um: float | None = None
    travel_mm: float | None = None
    curve: tuple[CurvePoint, ...] = ()
    standard: SettingStandard | None = None
    evidence: Evidence = Evidence.PERMISSIBLE_ERROR


@dataclass(frozen=True, slots=True)
class Indication:
    """The error of a gauge at a size: a correction to add, and how well it is known.

    `evidence` is what was really used; `lacking` says why the one asked for was not, or what is
    missing altogether. Without `contribution` nothing bounds the error.
    """

    contribution: Contribution | None
    correction_um: float
    evidence: Evidence
    lacking: str = ""


@dataclass(frozen=True, slots=True)
class Grade:
    """What U of a local size is, or would be, with one grade of evidence.

    `assumption` is empty where the grade is at hand.
    """

    evidence: Evidence
    standard_um: float
    expanded_um: float
    in_use: bool
    assumption: str


def interpolated(curve: Sequence[CurvePoint], size_mm: float) -> tuple[float, float]:
    """Return error and standard uncertainty, both µm, at a size between two calibrated ones.

    Both are interpolated linearly; the errors at the two ends are not averaged, so that neither
    shrinks the other's uncertainty.

    Raises
    ------
    CurveRangeError
        The size lies outside the calibrated ones.
    UncertaintyError
        No points, or one size twice.
    """
    points = sorted(curve, key=lambda point: point.size_mm)
    if not points:
        raise UncertaintyError("the certificate has no points; enter its errors of indication")
    if any(a.size_mm == b.size_mm for a, b in pairwise(points)):
        raise UncertaintyError("the certificate has one size twice; keep one of the two")
    if not points[0].size_mm <= size_mm <= points[-1].size_mm:
        raise CurveRangeError(size_mm, points[0].size_mm, points[-1].size_mm)
    for low, high in pairwise(points):
        if size_mm <= high.size_mm:
            part = (size_mm - low.size_mm) / (high.size_mm - low.size_mm)
            error = low.error_um + part * (high.error_um - low.error_um)
            u_low, u_high = (p.expanded_um / p.coverage_factor for p in (low, high))
            return error, u_low + part * (u_high - u_low)
    only = points[0]
    return only.error_um, only.expanded_um / only.coverage_factor


def indication(facts: GaugeFacts, size_mm: float) -> Indication:
    """Return the error of indication at a size, from the best evidence asked for and at hand."""
    match facts.evidence:
        case Evidence.CERTIFICATE:
            try:
                error_um, standard_um = interpolated(facts.curve, size_mm)
            except UncertaintyError as error:
                return _permissible(facts, str(error))
            row = Contribution(
                INDICATION,
                standard_um,
                "µm",
                Distribution.NORMAL,
                1.0,
                basis="error curve of the certificate, applied",
            )
            return Indication(row, -error_um, Evidence.CERTIFICATE)
        case Evidence.SETTING_STANDARD:
            if facts.standard is None:
                return _permissible(facts, "The gauge was not checked on a setting standard.")
            distance_mm = abs(facts.standard.size_mm - size_mm)
            if distance_mm > STANDARD_NEAR_MM:
                return _permissible(
                    facts,
                    f"The setting standard is {distance_mm:g} mm away from the size; only one "
                    f"within {STANDARD_NEAR_MM:g} mm stands for the error there.",
                )
            return Indication(_near_standard(facts, distance_mm), 0.0, Evidence.SETTING_STANDARD)
        case _:
            return _permissible(facts, "")


def standard_contribution(standard: SettingStandard) -> Contribution:
    """Return the part of the standard's own certificate."""
    return expanded(
        STANDARD,
        standard.expanded_um,
        standard.coverage_factor,
        basis="certificate of the standard",
    )


def grades(
    facts: GaugeFacts,
    size_mm: float,
    rest_um: float,
    factor: float,
    used: Indication | None = None,
) -> tuple[Grade, ...]:
    """Compare the three grades of evidence at one size.

    Parameters
    ----------
    facts : GaugeFacts
    size_mm : float
    rest_um : float
        Standard uncertainty of a local size from everything but the error of indication.
    factor : float
        Coverage factor with which U is stated.
    used : Indication, optional
        What was really used, where it is not what follows from the size alone.

    Returns
    -------
    tuple of Grade
        Those that can be had or estimated; what has to be assumed for it stands beside it.
    """
    used = used or indication(facts, size_mm)
    found = []
    for evidence in Evidence:
        tried = indication(_with_evidence(facts, evidence), size_mm)
        assumption = ""
        row = tried.contribution if tried.evidence is evidence else None
        if evidence is facts.evidence and evidence is not used.evidence:
            row = None  # asked for, but not to be had at all the sizes that were read
        if row is None:
            row, assumption = _assumed(facts, evidence)
        if row is None:
            continue
        standard_um = hypot(rest_um, row.standard_um)
        in_use = used.contribution is not None and used.evidence is evidence
        found.append(Grade(evidence, standard_um, factor * standard_um, in_use, assumption))
    return tuple(found)


def _assumed(facts: GaugeFacts, evidence: Evidence) -> tuple[Contribution | None, str]:
    limit_um = facts.permissible_error_um
    if evidence is Evidence.CERTIFICATE and limit_um is not None:
        value_um = _CERTIFICATE_SHARE * limit_um
        return (
            expanded(INDICATION, value_um, 2.0),
            f"a certificate with U of {_CERTIFICATE_SHARE:.0%} of the permissible error, k = 2",
        )
    if evidence is Evidence.SETTING_STANDARD:
        return (
            _near_standard(facts, STANDARD_NEAR_MM),
            f"a setting standard within {STANDARD_NEAR_MM:g} mm of the size",
        )
    return None, ""


def _with_evidence(facts: GaugeFacts, evidence: Evidence) -> GaugeFacts:
    return GaugeFacts(
        facts.step_um,
        facts.permissible_error_um,
        facts.travel_mm,
        facts.curve,
        facts.standard,
        evidence,
    )


def _permissible(facts: GaugeFacts, lacking: str) -> Indication:
    if facts.permissible_error_um is None:
        missing = (
            "Nothing bounds the error of the gauge; enter its permissible error, or its "
            "certificate's errors."
        )
        return Indication(None, 0.0, Evidence.PERMISSIBLE_ERROR, f"{lacking} {missing}".strip())
    row = half_width(
        INDICATION, facts.permissible_error_um, basis="maker's permissible error, not corrected"
    )
    return Indication(row, 0.0, Evidence.PERMISSIBLE_ERROR, lacking)


def _near_standard(facts: GaugeFacts, distance_mm: float) -> Contribution:
    """Return what the screw may add between the standard and the size.

    Its permissible error is taken to build up evenly over its travel; below half a step of the
    gauge nothing could be seen of it.
    """
    share = distance_mm / (facts.travel_mm or _USUAL_TRAVEL_MM)
    limit_um = (facts.permissible_error_um or 0.0) * share
    return half_width(
        INDICATION,
        max(limit_um, facts.step_um / 2.0),
        basis=f"set on a standard {distance_mm:g} mm from the size",
    )
