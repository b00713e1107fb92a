"""The proof that a minimum zone is least: interlacing contacts, and how firmly they hold."""

from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray
from seatproof.core.form.circle import ROUNDING, CircleFit

_MOST_CONTACTS: Final = 16  # ties beyond these add nothing to a proof


@dataclass(frozen=True, slots=True)
class ZoneProof:
    """Why no annulus round these points is narrower.

    Attributes
    ----------
    outer, inner : tuple of int
        Two points on the outer and two on the inner circle that interlace in angle; empty where
        the zone is zero, which needs no proof.
    outer_weights, inner_weights : tuple of float
        Positive weights, each pair adding to 1, for which the weighted mean direction to the
        outer points equals that to the inner ones: no small move of the centre narrows the zone.
    balance : float
        Length of the difference of these two mean directions; rounding only.
    working_set : tuple of int
        The points whose own narrowest annulus is the one found. All their annuli were tried.
    lower_bound : float
        Zone of that narrowest annulus; no centre anywhere gives all points a smaller zone.
    is_global : bool
        The zone found equals that bound. False only where the search was given up, which leaves
        a least zone near its centre.
    """

    outer: tuple[int, ...]
    inner: tuple[int, ...]
    outer_weights: tuple[float, ...]
    inner_weights: tuple[float, ...]
    balance: float
    working_set: tuple[int, ...]
    lower_bound: float
    is_global: bool


def _directions(local: FloatArray, indices: tuple[int, ...], centre: FloatArray) -> FloatArray:
    away = local[list(indices)] - centre
    unit: FloatArray = away / np.hypot(away[:, 0], away[:, 1])[:, None]
    return unit


def interlacing_contacts(
    local: FloatArray, fit: CircleFit, centre: FloatArray
) -> tuple[tuple[int, ...], tuple[int, ...], tuple[float, ...], float]:
    """Find two outer and two inner contacts whose chords cross, with the weights of the proof."""
    best: tuple[tuple[int, ...], tuple[int, ...], tuple[float, ...], float] = ((), (), (), 0.0)
    if fit.zone <= ROUNDING * fit.radius:
        return best
    margin = -1.0
    for outer in combinations(fit.contacts_out[:_MOST_CONTACTS], 2):
        u = _directions(local, outer, centre)
        for inner in combinations(fit.contacts_in[:_MOST_CONTACTS], 2):
            v = _directions(local, inner, centre)
            matrix = np.column_stack([u[0] - u[1], v[1] - v[0]])
            if abs(np.linalg.det(matrix)) < 1e-14:
                continue
            p, q = (float(value) for value in np.linalg.solve(matrix, v[1] - u[1]))
            weights = (p, 1.0 - p, q, 1.0 - q)
            if min(weights) > margin:
                margin = min(weights)
                balance = float(np.hypot(*(p * u[0] + (1 - p) * u[1] - q * v[0] - (1 - q) * v[1])))
                best = (outer, inner, weights, balance)
    return best if margin >= 0.0 else ((), (), (), 0.0)


def zone_growth(local: FloatArray, fit: CircleFit, centre: FloatArray) -> float:
    """Least directional derivative of the zone at the centre.

    Moving by the unit vector w changes the zone by max(v_j · w) + max(-u_i · w) over the outer
    directions u_i and the inner ones v_j. Between the normals of neighbouring directions that is
    one sinusoid, which is least at an end where it is positive; so the normals are all to try.
    """
    u = _directions(local, fit.contacts_out, centre)
    v = _directions(local, fit.contacts_in, centre)
    chords = np.concatenate([some - np.roll(some, 1, axis=0) for some in (u, v)])
    length = np.hypot(chords[:, 0], chords[:, 1])
    chords = chords[length > 1e-12] / length[length > 1e-12, None]
    if len(chords) == 0:
        return 0.0
    normal = np.column_stack([-chords[:, 1], chords[:, 0]])
    least = min(
        float(np.min((way @ v.T).max(axis=1) - (way @ u.T).min(axis=1)))
        for way in (normal, -normal)
    )
    return max(0.0, least)
