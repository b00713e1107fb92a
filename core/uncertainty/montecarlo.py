"""Monte Carlo propagation of distributions (JCGM 101): draws, and how many of them are enough."""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray
from seatproof.core.uncertainty.contribution import Contribution
from seatproof.core.uncertainty.effect import Effect
from seatproof.core.uncertainty.errors import CancelledError
from seatproof.core.uncertainty.propagation import Propagation
from seatproof.core.uncertainty.stream import Stream

OnProgress = Callable[[float], None]
IsCancelled = Callable[[], bool]

# Half a unit of the second digit of u is 0.5 % to 5 % of it, as its first digits happen to be, and
# as the unit happens to be; a fixed part in between is the same for millimetres and inches.
_TOLERANCE: Final = 0.025
_SHARE_TOLERANCE: Final = 0.005  # of a probability
_MOST_BLOCKS: Final = 60
_MOST_TRIALS: Final = 3_000_000  # all of them are kept, for their quantiles: a few 100 MB
_NUMBERS_AT_ONCE: Final = 2_000_000  # 16 MB of errors


@dataclass(frozen=True, slots=True)
class Settings:
    """How a simulation is run.

    Attributes
    ----------
    seed : int
    trials : int
        To begin with.
    probability : float
        Of coverage of the intervals.
    """

    seed: int
    trials: int = 20_000
    probability: float = 0.9545

    @property
    def block(self) -> int:
        """Trials between two looks at whether the results are stable, JCGM 101, 7.9.4."""
        return max(self.trials // 2, ceil(100.0 / (1.0 - self.probability)))


@dataclass(frozen=True, slots=True, eq=False)
class Simulation:
    """All trials of a simulation, shape (trials, outputs), and whether they were enough."""

    samples: FloatArray
    stable: bool

    @property
    def trials(self) -> int:
        return int(self.samples.shape[0])

    def mean(self, output: int) -> float:
        return float(np.mean(self.samples[:, output]))

    def quantile(self, output: int, probability: float) -> float:
        return float(np.quantile(self.samples[:, output], probability))


def simulate(
    model: Callable[[FloatArray], FloatArray],
    propagation: Propagation,
    settings: Settings,
    *,
    shares: int = 0,
    on_progress: OnProgress | None = None,
    is_cancelled: IsCancelled | None = None,
) -> Simulation:
    """Run trials until mean, standard uncertainty and both ends of every interval are stable.

    Parameters
    ----------
    model : callable
        Takes errors of the local sizes, µm, shape (m, n), and returns outputs, shape (m, outputs).
    propagation : Propagation
        Where the errors come from, with all their correlations.
    shares : int
        How many of the outputs, from the first on, are 0 or 1 and of interest by their mean alone.
    on_progress : callable, optional
        Told the part done, from 0 to 1, never less than before.
    is_cancelled : callable, optional
        Asked between portions.

    Raises
    ------
    CancelledError
        As soon as `is_cancelled` says so.

    References
    ----------
    .. [1] JCGM 101:2008, 7.9: adaptive procedure; 7.7: probabilistically symmetric intervals.
    """
    stream = Stream(settings.seed)
    portion = max(1, _NUMBERS_AT_ONCE // propagation.layout.count)
    blocks: list[FloatArray] = []
    figures: list[FloatArray] = []
    stable = False
    most = max(2, min(_MOST_BLOCKS, _MOST_TRIALS // settings.block))
    while not stable and len(blocks) < most:
        parts = []
        for begin in range(0, settings.block, portion):
            if is_cancelled is not None and is_cancelled():
                raise CancelledError(len(blocks) * settings.block + begin)
            number = min(portion, settings.block - begin)
            parts.append(model(draw_errors(propagation, stream, number)))
            if on_progress is not None:
                # Nobody knows how many blocks it will take: each brings the end nearer by less.
                done = len(blocks) + (begin + number) / settings.block
                on_progress(done / (done + 1.0))
        block = np.concatenate(parts)
        blocks.append(block)
        figures.append(_figures(block, settings.probability))
        stable = len(blocks) >= 2 and _is_stable(np.array(figures), shares)
    if on_progress is not None:
        on_progress(1.0)
    return Simulation(np.concatenate(blocks), stable)


def draw_errors(propagation: Propagation, stream: Stream, trials: int) -> FloatArray:
    """Return errors of all local sizes, µm, shape (trials, n), as the effects correlate them."""
    errors = np.zeros((trials, propagation.layout.count))
    drawn: list[FloatArray] = []
    spread: list[FloatArray] = []
    for effect in propagation.effects:
        if effect.moving is not None:
            errors += _moving(effect, stream, trials)
            continue
        numbers, place = np.unique(effect.groups[0], return_inverse=True)
        values = _values(effect.contribution, stream, (trials, numbers.size))
        if numbers.size < place.size:
            # How each value goes to the sizes of its group; all such effects are added at once.
            shares = np.zeros((numbers.size, place.size))
            shares[place, np.arange(place.size)] = effect.amplitude_um
            drawn.append(values)
            spread.append(shares)
        else:
            if not np.array_equal(place, np.arange(place.size)):
                values = values[:, place]
            values *= effect.amplitude_um
            errors += values
    if drawn:
        errors += np.hstack(drawn) @ np.vstack(spread)
    return errors


def _values(contribution: Contribution, stream: Stream, shape: tuple[int, int]) -> FloatArray:
    values = contribution.distribution.from_uniform(stream.uniform(*shape))
    if np.isfinite(contribution.dof):
        # All sizes have their scatter from one estimate: it is wrong for all of them alike.
        values *= stream.spread_factor(contribution.dof, shape[0])[:, None]
    return values


def _moving(effect: Effect, stream: Stream, trials: int) -> FloatArray:
    assert effect.moving is not None  # the caller looked
    errors = np.zeros((trials, effect.amplitude_um.size))
    shape = effect.contribution.distribution
    for number in np.unique(effect.groups[0]):
        here = effect.groups[0] == number
        before, after = (shape.from_uniform(stream.uniform(trials, 1)) for _ in range(2))
        odds = float(np.max(effect.moving.odds[here]))
        # Beyond the end of the span (1) where it does not move at all.
        when = stream.uniform(trials, 1) / odds if odds else np.full((trials, 1), np.inf)
        moved = np.where(effect.moving.moment[here][None, :] < when, before, after)
        errors[:, here] = moved * effect.amplitude_um[here]
    return errors


def _figures(block: FloatArray, probability: float) -> FloatArray:
    """Mean, standard deviation and both ends of the interval of every output of one block."""
    ends = np.quantile(block, [0.5 - probability / 2.0, 0.5 + probability / 2.0], axis=0)
    return np.vstack([np.mean(block, axis=0), np.std(block, axis=0, ddof=1), ends])


def _is_stable(figures: FloatArray, shares: int) -> bool:
    """Compare twice the standard error of each figure with its tolerance, JCGM 101, 7.9.4."""
    doubled = 2.0 * np.std(figures, axis=0, ddof=1) / np.sqrt(len(figures))
    standard = np.mean(figures[:, 1, shares:], axis=0)
    return bool(
        np.all(doubled[0, :shares] <= _SHARE_TOLERANCE)
        and np.all(doubled[:, shares:] <= _TOLERANCE * standard)
    )
