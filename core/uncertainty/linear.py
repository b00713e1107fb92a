"""Uncertainties of all that is linear in the local sizes of a seat: means, taper, barrel."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from seatproof.core.form.arrays import FloatArray
from seatproof.core.uncertainty.propagation import Combined, Propagation


@dataclass(frozen=True, slots=True)
class LinearResults:
    """The uncertainties of everything that is linear in the local sizes of a seat.

    `weakest` is the local size known least well, `size` its uncertainty. `scatter_um` is what the
    worst size has for itself, `station_errors_um` what every station's mean has.
    """

    weakest: int
    size: Combined
    mean: Combined
    stations: tuple[Combined, ...]
    taper: Combined | None
    barrel: Combined | None
    scatter_um: float
    station_errors_um: tuple[float, ...]

    @classmethod
    def of(cls, propagation: Propagation, z_mm: list[float], length_mm: float) -> Self:
        """Propagate to all results; `z_mm` are the positions of the stations."""
        station = propagation.layout.station
        weakest = int(np.argmax(propagation.standard_um))
        own = propagation.own_um
        # Row s has the weights of the mean of station s.
        means = (station[None, :] == np.arange(len(z_mm))[:, None]).astype(np.float64)
        means /= np.sum(means, axis=1, keepdims=True)
        errors = np.sqrt(means**2 @ own**2)
        rows = [np.eye(1, propagation.layout.count, weakest)[0], np.mean(means, axis=0), *means]
        for degree in (1, 2):
            if len(z_mm) > degree:
                rows.append(_fit_weights(z_mm, errors, length_mm, degree) @ means)
        found = propagation.of_several(rows)
        fits = found[2 + len(z_mm) :]
        return cls(
            weakest=weakest,
            size=found[0],
            mean=found[1],
            stations=found[2 : 2 + len(z_mm)],
            taper=fits[0] if fits else None,
            barrel=fits[1] if len(fits) > 1 else None,
            scatter_um=float(np.max(own)),
            station_errors_um=tuple(errors.tolist()),
        )


def _fit_weights(
    z_mm: list[float], errors_um: FloatArray, length_mm: float, degree: int
) -> FloatArray:
    """Return the weights of station means in the last coefficient of a weighted polynomial.

    With the position in units of half the seat's length the change over the length is twice the
    slope (`degree` 1), and the bulge of the parabola is minus its curvature (2).
    """
    place = (np.array(z_mm) - np.mean(z_mm)) / (0.5 * length_mm)
    design = np.vander(place, degree + 1, increasing=True) / errors_um[:, None]
    solved = np.linalg.solve(design.T @ design, design.T)[degree] / errors_um
    return np.asarray((2.0 if degree == 1 else -1.0) * solved, dtype=np.float64)
