"""What a contribution does to every local size of a seat, and which of them it moves together."""

from dataclasses import dataclass, replace
from typing import Final, Self

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, IndexArray
from seatproof.core.uncertainty.contribution import Contribution, Sharing
from seatproof.core.uncertainty.errors import UncertaintyError


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """The local sizes of a seat, in any order that all arrays about them keep.

    Attributes
    ----------
    station : array of int, shape (n,)
        Which station each belongs to.
    thinning : array of float, shape (n,)
        By how much averaging its readings thins what each reading has for itself: 1/√m for the
        mean of m readings.
    grain_um : float
        The smallest difference that two local sizes can show: the step of the gauge, over the
        number of readings that are averaged.
    """

    station: IndexArray
    thinning: FloatArray
    grain_um: float = 0.0

    @classmethod
    def of(
        cls, station: ArrayLike, thinning: ArrayLike | None = None, grain_um: float = 0.0
    ) -> Self:
        """Check and keep; without `thinning` every size is of one reading."""
        stations = np.asarray(station, dtype=np.intp)
        thin = np.ones(stations.size) if thinning is None else np.asarray(thinning, np.float64)
        if stations.ndim != 1 or stations.shape != thin.shape or stations.size == 0:
            raise UncertaintyError("a layout needs a station and a thinning for every local size")
        return cls(stations, thin, grain_um)

    @property
    def count(self) -> int:
        return int(self.station.size)


@dataclass(frozen=True, slots=True, eq=False)
class Moving:
    """A zero that may have moved between two reference checks.

    At odds of `odds` it did so once in that span, at any moment of it, to any other value that it
    may have; so two sizes taken `x` of the span apart still share their error with a probability of
    1 - odds · x. `moment` is when each size was taken, 0 at the first check and 1 at the second.
    `spans` are the sizes of each span, in the order of time.
    """

    moment: FloatArray
    odds: FloatArray
    spans: tuple[IndexArray, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Effect:
    """A contribution spread over the local sizes of a seat.

    Attributes
    ----------
    contribution : Contribution
        As a budget of one local size shows it.
    amplitude_um : array of float, shape (n,)
        Standard uncertainty that each size has from it; signed, because a shared error may raise
        one size and lower another.
    groups : tuple of arrays of int, shape (n,)
        Sizes with the same number have the same error. Several arrays: it is not known which of
        them holds; the worst counts in the propagation, the first in simulations.
    moving : Moving or None
        Of `Sharing.CHECKS`, with a group for every span between two checks.
    """

    contribution: Contribution
    amplitude_um: FloatArray
    groups: tuple[IndexArray, ...]
    moving: Moving | None = None

    @property
    def is_own(self) -> bool:
        """Whether each size has its error for itself, as far as anyone knows."""
        return self.contribution.sharing in _OWN

    @property
    def is_alike(self) -> bool:
        """Whether all sizes have just the same error."""
        return (
            self.contribution.sharing is Sharing.ALL
            and bool((self.groups[0] == self.groups[0][0]).all())
            and bool((self.amplitude_um == self.amplitude_um[0]).all())
        )

    def variances_um2(self, weights: FloatArray) -> FloatArray:
        """Return the variances of weighted sums of the sizes, µm²; a row of weights for each."""
        pull = weights * self.amplitude_um
        if self.moving is not None:
            return _moving_variances(pull, self.moving)
        found = [_variances(pull, group) for group in self.groups]
        return found[0] if len(found) == 1 else np.max(found, axis=0)

    def difference_um2(self, sizes: IndexArray) -> float:
        """Return what the variance of a difference of two of the sizes cannot exceed, µm²."""
        amplitude = self.amplitude_um[sizes]
        highest, lowest = float(amplitude.max()), float(amplitude.min())
        shared = (highest - lowest) ** 2
        apart = max(2.0 * max(highest**2, lowest**2), shared)
        group = self.groups[0][sizes]
        if self.is_own or not (group == group[0]).all():
            return apart
        if self.moving is None:
            return shared
        moment = self.moving.moment[sizes]
        reach = float(moment.max() - moment.min())
        return apart * float(self.moving.odds[sizes].max()) * reach

    def covariance_um2(self) -> FloatArray:
        """Return the covariance of the sizes, µm², shape (n, n); of the first grouping."""
        same = self.groups[0][:, None] == self.groups[0][None, :]
        shared = same.astype(np.float64)
        if self.moving is not None:
            apart = np.abs(self.moving.moment[:, None] - self.moving.moment[None, :])
            shared = np.where(same, 1.0 - self.moving.odds * apart, 0.0)
        return np.asarray(np.outer(self.amplitude_um, self.amplitude_um) * shared)


def spread(
    contribution: Contribution,
    layout: Layout,
    *,
    sensitivity: ArrayLike | None = None,
    source: ArrayLike | None = None,
) -> Effect:
    """Spread a contribution over the sizes of a layout, as its sharing says.

    Parameters
    ----------
    contribution : Contribution
        Not of `Sharing.CHECKS`, which needs times: see `moving_between_checks`.
    layout : Layout
    sensitivity : array_like, shape (n,), optional
        Sensitivity of each size where it is not that of the contribution.
    source : array_like of int, shape (n,), optional
        Which of several sources (gauges, notes of temperatures) each size has it from; sizes of
        different sources never share an error.
    """
    count = layout.count
    own = np.arange(count)
    sources = np.zeros(count, dtype=np.intp) if source is None else np.asarray(source, np.intp)
    standard = contribution.value / contribution.divisor
    factors = (
        np.full(count, contribution.sensitivity)
        if sensitivity is None
        else np.asarray(sensitivity, dtype=np.float64)
    )
    amplitude = standard * factors
    match contribution.sharing:
        case Sharing.ALL:
            groups: tuple[IndexArray, ...] = (sources,)
        case Sharing.STATION:
            groups = (_pairs(layout.station, sources),)
        case Sharing.POINT:
            groups = (own,)
        case Sharing.READING:
            groups, amplitude = (own,), amplitude * layout.thinning
        case Sharing.UNKNOWN:
            groups = (own, _pairs(layout.station, sources), sources)
        case Sharing.CHECKS:
            raise UncertaintyError("a zero that moves between checks needs their times")
    return Effect(contribution, amplitude, groups)


def moving_between_checks(
    contribution: Contribution,
    half_width_um: ArrayLike,
    drift_um: ArrayLike,
    span: ArrayLike,
    moment: ArrayLike,
) -> Effect:
    """Spread a zero that moves between reference checks over the sizes of a seat.

    Its variance at each size is that of a rectangular distribution of `half_width_um`; that of the
    difference between the beginning and the end of a span is that of one of `drift_um`.

    Parameters
    ----------
    contribution : Contribution
        The row of the budget; its value is the largest half-width.
    half_width_um, drift_um : array_like, shape (n,)
        Of the span in which each size was taken; the half-width is not below the drift.
    span : array_like of int, shape (n,)
        Number of that span.
    moment : array_like, shape (n,)
        When in the span, from 0 to 1.
    """
    half, drift = (np.asarray(a, dtype=np.float64) for a in (half_width_um, drift_um))
    odds = 0.5 * np.divide(drift, half, out=np.zeros_like(half), where=half > 0.0) ** 2
    if np.any(odds > _MOST_ODDS) or np.any(drift < 0.0):
        raise UncertaintyError("a zero cannot have drifted by more than it may be off")
    amplitude = half / contribution.distribution.divisor * contribution.sensitivity
    moments, number = np.asarray(moment, dtype=np.float64), np.asarray(span, dtype=np.intp)
    in_time = np.argsort(moments, kind="stable")
    of_span = tuple(in_time[number[in_time] == one] for one in np.unique(number))
    shared = replace(contribution, sharing=Sharing.CHECKS)
    return Effect(shared, amplitude, (number,), Moving(moments, odds, of_span))


_MOST_ODDS: Final = 0.5 + 1e-12  # half-width not below the drift, with rounding
_OWN: Final = (Sharing.POINT, Sharing.READING, Sharing.UNKNOWN)


def _pairs(first: IndexArray, second: IndexArray) -> IndexArray:
    """Return a number for every pair, the same for equal pairs."""
    return np.asarray(first * (int(np.max(second)) + 1) + second, dtype=np.intp)


def _variances(pull: FloatArray, group: IndexArray) -> FloatArray:
    """Add up each row by groups, and the squares of the sums."""
    if (group == group[0]).all():
        return np.asarray(np.sum(pull, axis=1) ** 2, dtype=np.float64)
    if group.size == int(group.max()) + 1 and (np.diff(group) == 1).all():
        return np.asarray(np.sum(pull**2, axis=1), dtype=np.float64)
    member = (group[:, None] == np.unique(group)).astype(np.float64)
    return np.asarray(np.sum((pull @ member) ** 2, axis=1), dtype=np.float64)


def _moving_variances(pull: FloatArray, moving: Moving) -> FloatArray:
    """Sum over pairs of a span of pull·pull·(1 - odds·|difference of moments|), in time's order."""
    total = np.zeros(pull.shape[0])
    for span in moving.spans:
        steps = np.diff(moving.moment[span])
        before = np.cumsum(pull[:, span], axis=1)
        whole = before[:, -1]
        apart = 2.0 * (before[:, :-1] * (whole[:, None] - before[:, :-1])) @ steps
        total += whole**2 - float(moving.odds[span[0]]) * apart
    return np.maximum(total, 0.0)
