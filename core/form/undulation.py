"""Undulations of a profile, and the profile rebuilt from those that are determined.

Everything here is *radial*, in micrometres.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_vector
from seatproof.core.form.quantiles import normal_quantile, student_t_quantile

_GRID_DEG: Final = 0.5
_COARSE: Final = 4


class Seen(StrEnum):
    """Whether an undulation is determined."""

    DETERMINED = "determined"
    INVISIBLE = "no set-up shows it"
    CONFUSED = "too few orientations to tell it from another"


@dataclass(frozen=True, slots=True)
class Undulation:
    """One undulation of the profile, radial.

    Attributes
    ----------
    number : int
        Undulations per revolution.
    seen : Seen
        The figures below are zero, and the errors None, unless it is determined.
    cos_um, sin_um : float
        The part is cos_um · cos nθ + sin_um · sin nθ.
    amplitude_um, phase_deg : float
        The same as amplitude · cos(nθ - phase); peak to valley is twice the amplitude. The first
        crest stands at phase/n.
    se_cos_um, se_sin_um : float or None
        Standard errors.
    gain : float
        √Σ|F_n|² over the set-ups: 1 stands for a radial measurement of the same readings.
    """

    number: int
    seen: Seen
    cos_um: float
    sin_um: float
    amplitude_um: float
    phase_deg: float
    se_cos_um: float | None
    se_sin_um: float | None
    gain: float


@dataclass(frozen=True, slots=True)
class CombinedProfile:
    """The spectrum and profile that the readings together determine.

    Attributes
    ----------
    undulations : tuple of Undulation
        From 2 to `highest`, in order, determined or not.
    highest : int
        Undulations above it are not in the model; what there is of them is in the residuals or,
        beyond half the number of orientations, folded into the lower ones.
    residual_sd_um : float or None
        Root mean square residual per degree of freedom, with stated repeatabilities in units of
        them (then about 1 is as expected, and clearly more means undulations above `highest`, a
        wrong angle or a blunder); None where nothing is left over.
    dof : int
        Readings left over.
    weighted : bool
        Whether repeatabilities were stated; else errors rest on the residuals.
    residuals_um : tuple of tuple of float
        Reading minus model for each set, in the order given.
    covariance_um2 : ndarray, shape (2m, 2m), or None
        Of (cos, sin) of each determined undulation in order; None where neither repeatabilities
        nor residuals are there to say.
    """

    undulations: tuple[Undulation, ...]
    highest: int
    residual_sd_um: float | None
    dof: int
    weighted: bool
    residuals_um: tuple[tuple[float, ...], ...]
    covariance_um2: FloatArray | None = field(compare=False, repr=False)

    @property
    def determined(self) -> tuple[int, ...]:
        """The undulations that are determined."""
        return tuple(one.number for one in self.undulations if one.seen is Seen.DETERMINED)

    @property
    def invisible(self) -> tuple[int, ...]:
        """The undulations that no set-up shows."""
        return tuple(one.number for one in self.undulations if one.seen is Seen.INVISIBLE)

    def profile_um(self, angle_deg: ArrayLike) -> FloatArray:
        """Return the departure of the radius from its mean at angles, without eccentricity."""
        return self._rows(angle_deg) @ self._coefficients()

    def half_width_um(self, angle_deg: ArrayLike, confidence: float = 0.95) -> FloatArray | None:
        """Return the half width of the confidence band of the profile, at each angle by itself.

        None where there is no covariance. It covers the determined undulations only.
        """
        if self.covariance_um2 is None:
            return None
        rows = self._rows(angle_deg)
        variance = np.einsum("ij,jk,ik->i", rows, self.covariance_um2, rows)
        return np.asarray(self.factor(confidence) * np.sqrt(variance), dtype=np.float64)

    def factor(self, confidence: float) -> float:
        """Return the coverage factor: normal with stated repeatabilities, else Student's t."""
        probability = 0.5 + confidence / 2.0
        if self.weighted:
            return normal_quantile(probability)
        return student_t_quantile(probability, self.dof)

    @property
    def roundness_um(self) -> float:
        """Peak to valley of the profile about its least-squares circle (RONt), radial."""
        return float(np.ptp(self.profile_um(_grid())))

    def roundness_interval_um(
        self, confidence: float = 0.95, seed: int = 1, draws: int = 1000
    ) -> tuple[float, float] | None:
        """Return an interval that holds the roundness at least as often as `confidence` says.

        Radial, of the determined undulations. None where there is no covariance. Each end errs
        with half the remaining probability at most:

        - The true extremes stand at two fixed places; the peak to valley found is at least the
          difference found there. So the truth exceeds it by the error of one difference only.
        - The peak to valley found exceeds the truth by no more than the peak to valley of the
          errors themselves, whose quantile is drawn from the covariance with a fixed seed.
        """
        if self.covariance_um2 is None or not len(self.covariance_um2):
            return None
        rows = self._rows(_grid()[::_COARSE])
        covered = rows @ self.covariance_um2 @ rows.T
        variance = np.diag(covered)
        difference = float(np.max(variance[:, None] + variance[None, :] - 2.0 * covered))
        random = np.random.default_rng(seed)
        size = len(self.covariance_um2)
        value, vectors = np.linalg.eigh(self.covariance_um2)
        error = random.normal(size=(draws, size)) * np.sqrt(np.maximum(value, 0.0)) @ vectors.T
        if not self.weighted:
            error /= np.sqrt(random.chisquare(self.dof, size=(draws, 1)) / self.dof)
        noise = np.quantile(np.ptp(error @ rows.T, axis=1), 0.5 + confidence / 2.0)
        found = self.roundness_um
        above = self.factor(confidence) * float(np.sqrt(max(0.0, difference)))
        return max(0.0, found - float(noise)), found + above

    def _coefficients(self) -> FloatArray:
        parts = [(one.cos_um, one.sin_um) for one in self._known()]
        return np.array(parts, dtype=np.float64).ravel()

    def _known(self) -> list[Undulation]:
        return [one for one in self.undulations if one.seen is Seen.DETERMINED]

    def _rows(self, angle_deg: ArrayLike) -> FloatArray:
        turn = np.radians(finite_vector(np.atleast_1d(angle_deg), "angles"))
        numbers = [one.number for one in self._known()]
        if not numbers:
            return np.zeros((turn.size, 0))
        phase = turn[:, None] * np.array(numbers)
        return np.stack([np.cos(phase), np.sin(phase)], axis=2).reshape(turn.size, -1)


def _grid() -> FloatArray:
    return np.arange(0.0, 360.0, _GRID_DEG)
