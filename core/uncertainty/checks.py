"""Reference checks: what they found, and what the readings between two of them may be off by."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, IndexArray
from seatproof.core.uncertainty.contribution import Sharing, half_width
from seatproof.core.uncertainty.effect import Effect, moving_between_checks

DRIFT: Final = "reference checks and drift"


@dataclass(frozen=True, slots=True)
class Check:
    """One reference check: when (s, any origin), and by how much the gauge was off (µm)."""

    at_s: float
    error_um: float


@dataclass(frozen=True, slots=True)
class Span:
    """The time between two checks of a gauge, the last of which may be still to come.

    Attributes
    ----------
    begin_s, end_s : float
        Infinite where the span is open.
    half_width_um : float
        What a reading in it may be off by: the larger of the two errors found and of the drift
        between them. Where one of the two checks is missing, the drift is what is allowed.
    drift_um : float
        Difference of the two errors, without sign; what is allowed where a check is missing.
    checked : bool
        Whether both checks were made.
    """

    begin_s: float
    end_s: float
    half_width_um: float
    drift_um: float
    checked: bool

    def holds(self, at_s: float) -> bool:
        return self.begin_s <= at_s < self.end_s


def spans(checks: Sequence[Check], allowed_um: float | None) -> tuple[Span, ...]:
    """Return the spans that the checks of one gauge divide time into.

    Parameters
    ----------
    checks : sequence of Check
        In any order.
    allowed_um : float or None
        What the gauge may drift between two checks; None where nobody says.
    """
    allowed = 0.0 if allowed_um is None else allowed_um
    ordered = sorted(checks, key=lambda check: check.at_s)
    if not ordered:
        return (Span(-inf, inf, allowed, allowed, checked=False),)
    first, last = ordered[0], ordered[-1]
    found = [Span(-inf, first.at_s, abs(first.error_um) + allowed, allowed, checked=False)]
    for before, after in pairwise(ordered):
        drift = abs(after.error_um - before.error_um)
        off = max(abs(before.error_um), abs(after.error_um), drift)
        found.append(Span(before.at_s, after.at_s, off, drift, checked=True))
    found.append(Span(last.at_s, inf, abs(last.error_um) + allowed, allowed, checked=False))
    return tuple(found)


def drift_effect(
    by_gauge: Sequence[Sequence[Span]], gauge: ArrayLike, at_s: ArrayLike
) -> Effect | None:
    """Spread reference errors and drift over the sizes of a seat.

    Parameters
    ----------
    by_gauge : sequence of sequences of Span
        The spans of each gauge.
    gauge : array_like of int, shape (n,)
        Which gauge each size was taken with.
    at_s : array_like, shape (n,)
        When each size was taken.

    Returns
    -------
    Effect or None
        None where nothing was found, and nothing allowed.
    """
    gauges = np.asarray(gauge, dtype=np.intp)
    times = np.asarray(at_s, dtype=np.float64)
    begins = [[span.begin_s for span in of_gauge] for of_gauge in by_gauge]
    found = []
    for which, time in zip(gauges.tolist(), times.tolist(), strict=True):
        number = bisect_right(begins[which], time) - 1
        found.append((number, by_gauge[which][number]))
    half = np.array([span.half_width_um for _, span in found])
    if not np.any(half):
        return None
    drift = np.array([span.drift_um for _, span in found])
    most = max(len(of_gauge) for of_gauge in by_gauge)
    of_all = gauges * most + np.array([number for number, _ in found])
    moments = _moments(of_all, times, [span for _, span in found])
    open_too = any(not span.checked for _, span in found)
    row = half_width(
        DRIFT,
        float(np.max(half)),
        sharing=Sharing.CHECKS,
        basis="allowed, no second check yet" if open_too else "found at the checks",
    )
    return moving_between_checks(row, half, drift, of_all, moments)


def _moments(number: IndexArray, times: FloatArray, of: Sequence[Span]) -> FloatArray:
    """Say when in its span each size was taken; an open span ends with its last size."""
    moments = np.zeros_like(times)
    for one in np.unique(number):
        here = number == one
        span = of[int(np.argmax(here))]
        begin = span.begin_s if np.isfinite(span.begin_s) else float(np.min(times[here]))
        end = span.end_s if np.isfinite(span.end_s) else float(np.max(times[here]))
        if end > begin:
            moments[here] = (times[here] - begin) / (end - begin)
    return moments
