"""The one gate through which numbers enter the form computations: shape, finiteness, pairing."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from seatproof.core.form.errors import InputError

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

# Products of six lengths stay numbers between these, in whatever unit the lengths are.
LARGEST: Final = 1e50
SMALLEST: Final = 1e-50


def finite_vector(values: ArrayLike, name: str) -> FloatArray:
    """Return `values` as a float64 vector, or say which value cannot be used.

    Parameters
    ----------
    values : array_like, shape (n,)
        Numbers in any unit.
    name : str
        What they are, for the message.

    Raises
    ------
    InputError
        Not a one-dimensional sequence of numbers, or one of them is not finite, or they are out
        of all proportion (beyond 1e50, or none as large as 1e-50 and not all zero).
    """
    try:
        vector = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise InputError(f"{name} must be numbers") from error
    if vector.ndim != 1:
        raise InputError(f"{name} must be a plain list of numbers, not {vector.ndim}-dimensional")
    finite = np.isfinite(vector)
    if not finite.all():
        bad = np.flatnonzero(~finite)
        raise InputError(
            f"{name}: value number {bad[0] + 1} is {vector[bad[0]]}, which is not a finite number"
        )
    _check_size(vector, name)
    return vector


def paired_vectors(
    first: ArrayLike, first_name: str, second: ArrayLike, second_name: str
) -> tuple[FloatArray, FloatArray]:
    """Return both as finite vectors of one length.

    Raises
    ------
    InputError
        As `finite_vector`, or the lengths differ.
    """
    one = finite_vector(first, first_name)
    two = finite_vector(second, second_name)
    if one.size != two.size:
        raise InputError(
            f"there are {one.size} values of {first_name} but {two.size} of {second_name}; "
            "each needs its partner"
        )
    return one, two


def finite_points(points: ArrayLike, dimensions: int, name: str = "points") -> FloatArray:
    """Return `points` as a float64 array of shape (n, dimensions), all finite.

    Raises
    ------
    InputError
        Wrong shape, or a coordinate is not finite, or they are out of all proportion (beyond
        1e50, or none as large as 1e-50 and not all zero).
    """
    try:
        array = np.asarray(points, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise InputError(f"{name} must be numbers, {dimensions} for each point") from error
    if array.ndim != 2 or array.shape[1] != dimensions:
        raise InputError(
            f"{name} must have {dimensions} coordinates each; the shape given is {array.shape}"
        )
    finite = np.isfinite(array)
    if not finite.all():
        bad = np.flatnonzero(~finite.all(axis=1))
        raise InputError(f"{name}: point number {bad[0] + 1} has a coordinate that is not finite")
    _check_size(array, name)
    return array


def _check_size(values: FloatArray, name: str) -> None:
    largest = float(np.abs(values).max()) if values.size else 0.0
    if largest > LARGEST:
        raise InputError(f"{name}: {largest:g} is too large for a length in any unit")
    if 0.0 < largest < SMALLEST:
        raise InputError(f"{name}: none is larger than {largest:g}, too small for any unit")
