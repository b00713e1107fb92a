"""Round numbers for scales: steps of 1, 2 and 5 times a power of ten."""

from math import ceil, floor, log10
from typing import Final

_FACTORS: Final = (1.0, 2.0, 5.0)


def step_below(value: float) -> float:
    """Return the largest round step that is not above a positive value.

    >>> step_below(49.9), step_below(50.0), step_below(0.03)
    (20.0, 50.0, 0.02)
    """
    exponent = floor(log10(value))
    # One power lower as well: rounding may have lifted the exponent over an exact power.
    candidates = [_power(factor, exponent + shift) for shift in (-1, 0, 1) for factor in _FACTORS]
    return max(candidate for candidate in candidates if candidate <= value * (1 + 1e-12))


def step_above(value: float) -> float:
    """Return the smallest round step that is not below a positive value.

    >>> step_above(20.1), step_above(20.0)
    (50.0, 20.0)
    """
    exponent = floor(log10(value))
    candidates = [_power(factor, exponent + shift) for shift in (-1, 0, 1) for factor in _FACTORS]
    return min(candidate for candidate in candidates if candidate >= value * (1 - 1e-12))


def ticks(lowest: float, highest: float, about: int) -> tuple[float, ...]:
    """Return round numbers that cover an interval, about so many; equal ends give them room too.

    >>> ticks(3.0, 25.0, 5)
    (0.0, 5.0, 10.0, 15.0, 20.0, 25.0)
    >>> ticks(7.0, 7.0, 4)
    (6.5, 7.0, 7.5)
    """
    if highest <= lowest:
        lowest, highest = lowest - 0.5, lowest + 0.5
    step = step_above((highest - lowest) / about)
    first, last = floor(lowest / step + 1e-9), ceil(highest / step - 1e-9)
    return tuple(round(step * index, 12) for index in range(first, last + 1))


def _power(factor: float, exponent: int) -> float:
    return float(f"{factor:g}e{exponent}")
