"""The proof that a minimum zone is least: interlacing contacts, and how firmly they hold."""

from dataclasses import dataclass
from itertools import combinations, groupby
from math import atan2, hypot
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray
from seatproof.core.form.circle import ROUNDING, CircleFit

_MOST_CONTACTS: Final = 16  # of each side: ties beyond these add nothing to a proof


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


def interlacing_contacts(
    local: FloatArray, fit: CircleFit, centre: FloatArray
) -> tuple[tuple[int, ...], tuple[int, ...], tuple[float, ...], float]:
    """Find two outer and two inner contacts whose chords cross, with the weights of the proof.

    Return the outer ones, the inner ones, the four weights, and the length left over; all empty
    where the zone is zero or no such contacts exist.
    """
    best: tuple[tuple[int, ...], tuple[int, ...], tuple[float, ...], float] = ((), (), (), 0.0)
    if fit.zone <= ROUNDING * fit.radius:
        return best
    outside, inside = _one_of_each_run(
        _ways(local, fit.contacts_out, centre), _ways(local, fit.contacts_in, centre)
    )
    margin = -1.0
    for one, other in combinations(outside, 2):
        (ax, ay), (bx, by) = one.way, other.way
        for third, fourth in combinations(inside, 2):
            (cx, cy), (dx, dy) = third.way, fourth.way
            # p·a + (1 - p)·b = q·c + (1 - q)·d
            area = (ax - bx) * (dy - cy) - (ay - by) * (dx - cx)
            if abs(area) < 1e-14:
                continue
            p = ((dx - bx) * (dy - cy) - (dy - by) * (dx - cx)) / area
            q = ((ax - bx) * (dy - by) - (ay - by) * (dx - bx)) / area
            weights = (p, 1.0 - p, q, 1.0 - q)
            if min(weights) > margin:
                margin = min(weights)
                balance = hypot(
                    p * ax + (1 - p) * bx - q * cx - (1 - q) * dx,
                    p * ay + (1 - p) * by - q * cy - (1 - q) * dy,
                )
                best = (one.index, other.index), (third.index, fourth.index), weights, balance
    return best if margin >= 0.0 else ((), (), (), 0.0)


@dataclass(frozen=True, slots=True)
class _Contact:
    """A contact, the direction to it from the centre, and its angle in radians."""

    index: int
    way: tuple[float, float]
    angle: float


def _ways(local: FloatArray, indices: tuple[int, ...], centre: FloatArray) -> list[_Contact]:
    away = (local[list(indices)] - centre).tolist()
    contacts = []
    for index, (x, y) in zip(indices, away, strict=True):
        length = hypot(x, y)
        if length > 0.0:  # a point at the centre itself lies in no direction
            contacts.append(_Contact(index, (x / length, y / length), atan2(y, x)))
    return contacts


def _one_of_each_run(
    outer: list[_Contact], inner: list[_Contact]
) -> tuple[list[_Contact], list[_Contact]]:
    """Of many tied contacts keep, going round, one of each run of outer and of inner ones."""
    if len(outer) <= _MOST_CONTACTS and len(inner) <= _MOST_CONTACTS:
        return outer, inner
    round_it = sorted(
        [(one.angle, True, one) for one in outer] + [(one.angle, False, one) for one in inner],
        key=lambda one: one[:2],
    )
    kept: tuple[list[_Contact], list[_Contact]] = ([], [])
    for _, run in groupby(round_it, key=lambda one: one[1]):
        members = list(run)
        _, is_outer, middle = members[len(members) // 2]
        kept[0 if is_outer else 1].append(middle)
    return _spread(kept[0]), _spread(kept[1])


def _spread(contacts: list[_Contact]) -> list[_Contact]:
    """At most so many as a proof can use, spread over all."""
    if len(contacts) <= _MOST_CONTACTS:
        return contacts
    return [contacts[place * len(contacts) // _MOST_CONTACTS] for place in range(_MOST_CONTACTS)]


def zone_growth(local: FloatArray, fit: CircleFit, centre: FloatArray) -> float:
    """Least directional derivative of the zone at the centre.

    Moving by the unit vector w changes the zone by max(v_j · w) + max(-u_i · w) over the outer
    directions u_i and the inner ones v_j. Each is the cosine of the angle from w to the nearest of
    these vectors; between two places where the nearest changes the sum is one sinusoid, which is
    least at an end where it is positive, so those places are all to try.
    """
    if fit.zone <= ROUNDING * fit.radius:
        return 0.0
    opposite, inner = (
        np.sort(_angles(local, indices, centre) + turn)
        for indices, turn in ((fit.contacts_out, np.pi), (fit.contacts_in, 0.0))
    )
    halves = [one + 0.5 * np.diff(one, append=one[0] + 2.0 * np.pi) for one in (opposite, inner)]
    way = np.concatenate(halves)
    return max(0.0, float(np.min(_nearest_cosine(way, opposite) + _nearest_cosine(way, inner))))


def _angles(local: FloatArray, indices: tuple[int, ...], centre: FloatArray) -> FloatArray:
    away = local[list(indices)] - centre
    return np.asarray(np.arctan2(away[:, 1], away[:, 0]), dtype=np.float64)


def _nearest_cosine(way: FloatArray, ordered: FloatArray) -> FloatArray:
    """Cosine of the angle from each way to the nearest of some ordered angles, all in radians."""
    turn = ordered[0] + (way - ordered[0]) % (2.0 * np.pi)
    after = np.searchsorted(ordered, turn)
    closed = np.append(ordered, ordered[0] + 2.0 * np.pi)
    apart = np.minimum(closed[after] - turn, turn - closed[np.maximum(after - 1, 0)])
    return np.asarray(np.cos(np.maximum(apart, 0.0)), dtype=np.float64)
