"""The stream of random numbers: from a seed, the same on every machine and in every release.

The generator is NumPy's PCG64 (O'Neill's PCG XSL RR 128/64), seeded by ``SeedSequence(seed)``; the
streams of NumPy's bit generators do not change between releases, unlike its distributions. Of each
64-bit word the upper 53 bits w give the uniform value (w + 1/2) · 2⁻⁵³. All distributions are made
from these by their inverse distribution functions, so that only last bits can differ between
machines.
"""

import hashlib
from math import prod

import numpy as np

from seatproof.core.form.arrays import FloatArray
from seatproof.core.uncertainty.normal import normal_deviates

_EXACT_UP_TO = 30


def seed_of(*parts: str) -> int:
    """Return the seed that belongs to a record: 64 bits of the SHA-256 of the parts, in order.

    >>> seed_of("K-1", "A") == seed_of("K-1", "A") != seed_of("K-1", "B")
    True
    """
    digest = hashlib.sha256("\n".join(parts).encode("utf-8")).digest()
    return int.from_bytes(digest[:8], "big")


class Stream:
    """Random numbers from one seed."""

    def __init__(self, seed: int) -> None:
        self._generator = np.random.PCG64(seed)

    def uniform(self, *shape: int) -> FloatArray:
        """Return uniform values, never 0 and never 1."""
        words = self._generator.random_raw(prod(shape)).reshape(shape)
        return np.asarray(((words >> np.uint64(11)) + 0.5) * 2.0**-53, dtype=np.float64)

    def spread_factor(self, dof: float, trials: int) -> FloatArray:
        """Return √(ν/χ²) for every trial: it turns a normal value into one of Student's t.

        For many degrees of freedom χ² is taken after Wilson and Hilferty, which is then good to
        one part in ten thousand.
        """
        if dof < _EXACT_UP_TO:
            normal = normal_deviates(self.uniform(trials, int(dof)))
            return np.asarray(np.sqrt(int(dof) / np.sum(normal**2, axis=1)), dtype=np.float64)
        step = 2.0 / (9.0 * dof)
        normal = normal_deviates(self.uniform(trials))
        return np.asarray((1.0 - step + normal * np.sqrt(step)) ** -1.5, dtype=np.float64)
