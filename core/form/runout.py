"""Run-out, circular and total, about a datum axis (ISO 1101). Radial, in the unit of the points.

The shaft is turned by hand with the drive locked out, and every value is taken at rest.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_points, finite_vector, paired_vectors
from seatproof.core.form.cylinder import Vector, axis_distances
from seatproof.core.form.errors import InputError, TooFewError


@dataclass(frozen=True, slots=True)
class SectionRunOut:
    """Circular radial run-out of one section.

    Attributes
    ----------
    z : float
        Where the section is.
    run_out : float
        Largest minus smallest distance from the datum axis.
    count : int
        Readings in the section; a few miss the extremes, so it is a lower bound beside noise.
    """

    z: float
    run_out: float
    count: int


@dataclass(frozen=True, slots=True)
class RunOut:
    """Run-out of a seat about a datum axis.

    Attributes
    ----------
    sections : tuple of SectionRunOut
        In the order of z.
    circular : float
        Largest circular run-out of the sections.
    total : float
        Largest minus smallest distance over the whole seat; never below `circular`.
    """

    sections: tuple[SectionRunOut, ...]
    circular: float
    total: float


def run_out(z: ArrayLike, distance: ArrayLike) -> RunOut:
    """Evaluate radial readings about the axis on which the shaft is turned.

    Parameters
    ----------
    z : array_like, shape (n,)
        Station of each reading; equal values form a section.
    distance : array_like, shape (n,)
        Distance from the datum axis, or the indicator reading with one zero for all sections.

    Raises
    ------
    InputError
        Lengths differ or a value is not finite.
    TooFewError
        No section with two readings.
    """
    position, radial = paired_vectors(z, "axial positions", distance, "readings")
    sections = []
    for one in np.unique(position):
        here = radial[position == one]
        if here.size >= 2:
            sections.append(SectionRunOut(float(one), float(np.ptp(here)), int(here.size)))
    if not sections:
        raise TooFewError("run-out", "readings in a section", 2, int(radial.size > 0))
    return RunOut(
        sections=tuple(sections),
        circular=max(section.run_out for section in sections),
        total=float(np.ptp(radial)),
    )


def run_out_about(
    points: ArrayLike, station: ArrayLike, axis_point: Vector, axis_direction: Vector
) -> RunOut:
    """Evaluate points (n, 3) about a datum axis found elsewhere, for example on two other seats.

    Parameters
    ----------
    points : array_like, shape (n, 3)
    station : array_like, shape (n,)
        Which section each point belongs to, as its nominal z.
    axis_point, axis_direction : tuple of three floats
        The datum axis; the direction need not be a unit vector.

    Raises
    ------
    InputError
        Shapes differ, a value is not finite, or the direction has no length.
    TooFewError
        As `run_out`.
    """
    array = finite_points(points, 3)
    direction: FloatArray = finite_vector(axis_direction, "axis direction")
    length = float(np.linalg.norm(direction))
    if direction.size != 3 or length == 0.0:
        raise InputError("a datum axis needs a direction of three numbers, not all zero")
    place = finite_vector(axis_point, "axis point")
    return run_out(station, axis_distances(array, place, direction / length))
