"""Linear propagation: from effects on the local sizes of a seat to anything linear in them.

A mean, a taper or a barrel is a weighted sum of local sizes; its variance is the sum over the
contributions of what each makes of those weights. What all sizes share is multiplied by the sum of
the weights, which is nothing for a taper: a zero error cancels by itself.
"""

from dataclasses import dataclass, field
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, IndexArray
from seatproof.core.uncertainty.coverage import Coverage, combined_um, effective_dof
from seatproof.core.uncertainty.effect import Effect, Layout
from seatproof.core.uncertainty.errors import UncertaintyError

_DENSE: Final = 2_000  # beyond so many sizes their covariance would fill the memory


@dataclass(frozen=True, slots=True)
class Combined:
    """The uncertainty of one result, with what each contribution has in it.

    Attributes
    ----------
    standard_um : float
        Combined standard uncertainty.
    dof : float
        Effective degrees of freedom.
    parts_um : tuple of float
        Standard uncertainty from each effect, in their order.
    """

    standard_um: float
    dof: float
    parts_um: tuple[float, ...]

    def factor(self, coverage: Coverage) -> float:
        return coverage.factor(self.dof)

    def expanded_um(self, coverage: Coverage) -> float:
        return self.factor(coverage) * self.standard_um


@dataclass(frozen=True, slots=True, eq=False)
class Propagation:
    """All effects on the local sizes of one seat.

    Attributes
    ----------
    layout : Layout
    effects : tuple of Effect
    standard_um : array of float, shape (n,)
        Standard uncertainty of every local size.
    own_um : array of float, shape (n,)
        What each size has for itself: it does not cancel between sizes.
    """

    layout: Layout
    effects: tuple[Effect, ...]
    standard_um: FloatArray = field(init=False)
    own_um: FloatArray = field(init=False)
    _between: tuple[Effect, ...] = field(init=False)

    def __post_init__(self) -> None:
        squares = np.array([effect.amplitude_um**2 for effect in self.effects])
        own = np.array([effect.is_own for effect in self.effects])
        object.__setattr__(self, "standard_um", np.sqrt(np.sum(squares, axis=0)))
        object.__setattr__(self, "own_um", np.sqrt(np.sum(squares[own], axis=0)))
        # What all sizes have alike is in no difference of two of them.
        object.__setattr__(
            self,
            "_between",
            tuple(effect for effect in self.effects if not (effect.is_own or effect.is_alike)),
        )

    def of(self, weights: ArrayLike) -> Combined:
        """Return the uncertainty of a weighted sum of the sizes; see `of_several`."""
        return self.of_several(np.atleast_2d(np.asarray(weights, dtype=np.float64)))[0]

    def of_several(self, weights: ArrayLike) -> tuple[Combined, ...]:
        """Return the uncertainties of weighted sums of the sizes.

        Parameters
        ----------
        weights : array_like, shape (m, n)
            A row for each result: 1/n each for the mean of all, for instance.

        References
        ----------
        .. [1] JCGM 100:2008 (GUM), 5.2.2, formula 13: the law of propagation with correlations.
        """
        rows = np.asarray(weights, dtype=np.float64)
        if rows.ndim != 2 or rows.shape[1] != self.layout.count:
            raise UncertaintyError(
                f"there are {self.layout.count} sizes but {rows.shape[-1]} weights"
            )
        parts = np.sqrt([effect.variances_um2(rows) for effect in self.effects]).T.tolist()
        freedoms = [effect.contribution.dof for effect in self.effects]
        return tuple(
            Combined(
                combined_um(of_one),
                effective_dof(zip(of_one, freedoms, strict=True)),
                tuple(of_one),
            )
            for of_one in parts
        )

    def of_size(self, index: int) -> Combined:
        """Return the uncertainty of one local size."""
        weights = np.zeros(self.layout.count)
        weights[index] = 1.0
        return self.of(weights)

    def difference_um(self, sizes: IndexArray | None = None) -> float:
        """Return a bound of the standard uncertainty of the difference of any two of the sizes."""
        among = np.arange(self.layout.count) if sizes is None else sizes
        if among.size < 2:
            return 0.0
        own = 2.0 * float(self.own_um[among].max()) ** 2
        return sqrt(own + sum(effect.difference_um2(among) for effect in self._between))

    def covariance_um2(self) -> FloatArray:
        """Return the covariance of all local sizes, µm², shape (n, n).

        Raises
        ------
        UncertaintyError
            So many sizes that the matrix would not fit; `of` needs no matrix.
        """
        if self.layout.count > _DENSE:
            raise UncertaintyError(f"the covariance of {self.layout.count} sizes is too large")
        total = np.zeros((self.layout.count, self.layout.count))
        for effect in self.effects:
            total += effect.covariance_um2()
        return total
