"""A simulated shaft and gauge: the whole measuring model, written apart from the code it tests."""

from dataclasses import dataclass

import numpy as np
import pytest

SHAFT_C, GAUGE_C, STEEL = 26.0, 24.0, 11.5e-6
NOMINAL_UM = 100_000.0
Z_MM = np.array([8.0, 30.0, 52.0])
ANGLES_DEG = np.array([0.0, 45.0, 90.0, 135.0])


@dataclass(frozen=True)
class World:
    """What is true of many seats measured alike: half-widths and deviations, in µm and K."""

    evidence: str = "certificate"
    permissible: float = 5.0
    sigma: float = 0.7
    repeats: int = 2
    step: float = 1.0
    drift: float = 1.0
    faces: float = 1.0
    force: float = 0.6
    alignment: float = 0.75
    kelvin: float = 1.0
    expansion: float = 1e-6
    standard_u: float = 0.5
    certificate_u: float = 0.6

    def read(self, rng, true_um):
        """Return readings of all points at 20 °C, departures in µm, shape (seats, n, repeats)."""
        seats, n = true_um.shape

        def half(width, *shape):
            return rng.uniform(-width, width, (seats, *shape))

        # The shaft as warm as it really is, seen on a gauge as warm as it really is.
        shaft = STEEL + half(self.expansion, 1, 1)
        gauge = STEEL + half(self.expansion, 1, 1)
        grown = 1 + shaft * (SHAFT_C + half(self.kelvin, 1, 1) - 20)
        shown = (NOMINAL_UM + true_um[:, :, None]) * grown / (1 + gauge * (GAUGE_C - 20))
        error = half(self.step / 2, 1, 1)  # the last digit when it was set
        error = error + rng.normal(0, self.standard_u, (seats, 1, 1))
        if self.evidence == "permissible error":
            error = error + half(self.permissible, 1, 1)
        elif self.evidence == "certificate":
            error = error - 2.0 + rng.normal(0, self.certificate_u, (seats, 1, 1))
        else:
            error = error + half(self.step / 2, 1, 1)
        order = np.linspace(0, 1, n)[None, :, None]
        error = error + half(self.drift, 1, 1) * order  # it creeps from one end to the other
        error = error + half(self.faces, 1, 1) + half(self.force, 1, 1)
        error = error + half(self.alignment, n, 1)
        error = error + rng.normal(0, self.sigma, (seats, n, self.repeats))
        read = np.round((shown + error) / self.step) * self.step
        back = read * (1 + STEEL * (GAUGE_C - 20) - STEEL * (SHAFT_C - 20)) - NOMINAL_UM
        return back + (2.0 if self.evidence == "certificate" else 0.0)


def seats_of(rng, count, ovality=2.0, taper=3.0, rough=0.4):
    """Return true sizes of many seats of three stations and four orientations, µm, (count, 12)."""
    swing = rng.uniform(0, ovality, (count, 3, 1)) / 2
    axis = rng.uniform(0, 180, (count, 3, 1))
    oval = swing * np.cos(2 * np.radians(ANGLES_DEG[None, None, :] - axis))
    slope = rng.uniform(-taper, taper, (count, 1, 1)) * ((Z_MM - 30) / 44)[None, :, None]
    return (oval + slope + rng.normal(0, rough, (count, 3, 4))).reshape(count, 12)


@pytest.fixture(scope="session")
def world_of():
    """Return what makes a world: `world_of(evidence="certificate", ...)`."""
    return World


@pytest.fixture(scope="session")
def true_sizes():
    """Return what makes true sizes of many seats: `true_sizes(rng, count)`."""
    return seats_of
