"""Which set-up to add next, so that the undulations still unseen show."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

from seatproof.core.form.errors import InputError
from seatproof.core.form.setup import TWO_POINT, Indicator, Setup

# Vee blocks a workshop is likely to have or to be able to make, with the indicator upright or
# leaning; together with a micrometer the leaning ones reach farthest.
USUAL_SETUPS: Final = (
    TWO_POINT,
    *(Setup.vee(angle) for angle in (60.0, 72.0, 90.0, 108.0, 120.0)),
    *(Setup.vee(angle, Indicator.INSIDE) for angle in (60.0, 72.0, 90.0, 108.0, 120.0)),
    Setup.vee(60.0, tilt_deg=30.0),
    Setup.vee(120.0, tilt_deg=60.0),
    Setup.vee(90.0, tilt_deg=22.5),
    Setup.vee(108.0, tilt_deg=27.0),
)


@dataclass(frozen=True, slots=True)
class NextSetup:
    """What one further set-up would show.

    Attributes
    ----------
    setup : Setup
    least_gain : float
        Least √Σ|F_n|² over the undulations asked for, with this set-up added; 1 stands for a
        radial measurement.
    weakest : int
        The undulation at which it is least.
    still_invisible : tuple of int
        Undulations that would still not show.
    newly_seen : tuple of int
        Undulations that would show for the first time.
    """

    setup: Setup
    least_gain: float
    weakest: int
    still_invisible: tuple[int, ...]
    newly_seen: tuple[int, ...]


def gain(setups: Sequence[Setup], undulations: int) -> float:
    """Return √Σ|F_n|² of some set-ups together: 0 where none of them shows the undulation."""
    return sqrt(sum(setup.magnification(undulations) ** 2 for setup in setups))


def rank_next_setups(
    present: Sequence[Setup],
    candidates: Sequence[Setup] = USUAL_SETUPS,
    highest: int = 15,
) -> tuple[NextSetup, ...]:
    """Rank further set-ups by what they add to those at hand, the best first.

    First counts how few undulations stay invisible, then how well the weakest shows.

    Parameters
    ----------
    present : sequence of Setup
        Those that measured the section already; may be empty.
    candidates : sequence of Setup
        Those that could be added, for example the blocks at hand.
    highest : int
        Undulations from 2 to this count.

    Raises
    ------
    InputError
        No candidate, or `highest` below 2.
    """
    if not candidates:
        raise InputError("name at least one set-up that could be added")
    if highest < 2:
        raise InputError(f"the highest undulation must be 2 or more, not {highest}")
    numbers = range(2, highest + 1)
    before = {n: gain(present, n) for n in numbers}
    ranked = []
    for setup in candidates:
        after = {n: gain([*present, setup], n) for n in numbers}
        weakest = min(after, key=after.__getitem__)
        ranked.append(
            NextSetup(
                setup=setup,
                least_gain=after[weakest],
                weakest=weakest,
                still_invisible=tuple(n for n in numbers if after[n] == 0.0),
                newly_seen=tuple(n for n in numbers if before[n] == 0.0 and after[n] > 0.0),
            )
        )
    return tuple(sorted(ranked, key=lambda one: (len(one.still_invisible), -one.least_gain)))
