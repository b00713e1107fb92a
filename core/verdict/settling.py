"""What would settle a requirement that is not proven, in numbers, and when nothing would."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf
from typing import Final

from seatproof.core.verdict.limits import Limits, Number
from seatproof.core.verdict.parts import Effort, Part, Shared, Statistic, standard_uncertainty
from seatproof.core.verdict.rule import Rule, Verdict

MOST_REPEATS: Final = 20
MOST_ORIENTATIONS: Final = 12
MOST_STATIONS: Final = 12
_BISECTIONS: Final = 60


class Remedy(StrEnum):
    """What can be done about a requirement that is not proven."""

    REPEATS = "more repeats at the same point"
    ORIENTATIONS = "more orientations at each station"
    STATIONS = "more stations"
    BETTER_PART = "a smaller contribution"


@dataclass(frozen=True, slots=True)
class Alternative:
    """The same budget with something about it improved.

    Attributes
    ----------
    name : str
        What would be done, such as "use a setting standard near the size".
    parts : tuple of Part
        All contributions as they would be then.
    """

    name: str
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """One way out, and what it would come to if the value stayed what it is.

    Attributes
    ----------
    remedy : Remedy
    name : str
        The alternative's name; empty for more readings.
    effort : Effort
        Readings in all, those already taken included; the fewest that settle it, or where the way
        does not settle it the most that were looked at.
    more_readings : int
        How many readings more than now would stand behind the value: for a local size those at its
        point, for a mean those at its station or on the whole seat.
    standard_uncertainty : float
        Of the value then.
    settles : bool
        Whether a verdict would be proved.
    """

    remedy: Remedy
    name: str
    effort: Effort
    more_readings: int
    standard_uncertainty: float
    settles: bool


@dataclass(frozen=True, slots=True)
class Settlement:
    """What stands between a value and a proof.

    Attributes
    ----------
    would_prove : Verdict or None
        What a small enough uncertainty would prove of this value; None where it lies on the limit,
        so that no uncertainty at all would prove anything.
    needed : float
        The largest standard uncertainty that would do.
    present : float
        The standard uncertainty now.
    remainder : float
        What would be left of it however many readings were taken.
    largest_part : str
        The contribution that weighs most in that remainder; empty where there is none.
    largest_share : float
        Its share of the remainder's variance, 0 to 1.
    ways : tuple of Way
        Everything that was looked at: what settles first, the fewest readings first.
    """

    would_prove: Verdict | None
    needed: float
    present: float
    remainder: float
    largest_part: str
    largest_share: float
    ways: tuple[Way, ...]

    @property
    def settling(self) -> tuple[Way, ...]:
        """The ways that would settle it."""
        return tuple(way for way in self.ways if way.settles)


def needed_uncertainty(
    value: Number, limits: Limits, rule: Rule, degrees_of_freedom: float = inf
) -> tuple[Verdict | None, float]:
    """Return what could be proved of a value, and the largest standard uncertainty that proves it.

    Parameters
    ----------
    value : Decimal or float
    limits : Limits
        In the unit of the value.
    rule : Rule
        Simple acceptance needs no proof and gives infinity.
    degrees_of_freedom : float
        Of the standard uncertainty.

    Returns
    -------
    (Verdict or None, float)
        None and 0 for a value on a limit.
    """
    lower, upper = limits.as_floats
    at = float(value)
    margin = min(at - lower, upper - at)
    if not rule.guarded:
        return (Verdict.CONFORMS if limits.holds(value) else Verdict.DOES_NOT_CONFORM), inf
    factor = rule.guard_band(1.0, degrees_of_freedom)
    if margin == 0.0:
        return None, 0.0
    if factor == 0.0:
        return (Verdict.CONFORMS if margin > 0.0 else Verdict.DOES_NOT_CONFORM), inf
    if margin < 0.0:
        return Verdict.DOES_NOT_CONFORM, -margin / factor
    tolerance = None if limits.tolerance is None else float(limits.tolerance)
    enough, too_much = 0.0, margin / factor
    if rule.inner_guard(too_much, tolerance, degrees_of_freedom) <= margin:
        return Verdict.CONFORMS, too_much
    for _ in range(_BISECTIONS):
        middle = 0.5 * (enough + too_much)
        if rule.inner_guard(middle, tolerance, degrees_of_freedom) <= margin:
            enough = middle
        else:
            too_much = middle
    return Verdict.CONFORMS, enough


def what_would_settle(
    value: Number,
    limits: Limits,
    rule: Rule,
    parts: Sequence[Part],
    effort: Effort,
    statistic: Statistic,
    *,
    alternatives: Sequence[Alternative] = (),
    degrees_of_freedom: float = inf,
) -> Settlement:
    """Say what would prove a verdict on a value that is not proven.

    Looked at are more repeats, more orientations and more stations, as far as the statistic
    averages over them, and each alternative budget, with as few repeats beside it as it takes. All
    of it supposes that the value stays where it is; a new reading moves it.

    Parameters
    ----------
    value : Decimal or float
        As judged.
    limits : Limits
    rule : Rule
    parts : sequence of Part
        Contributions to one reading, in the unit of the value.
    effort : Effort
        What was measured.
    statistic : Statistic
    alternatives : sequence of Alternative
        The budget with a better gauge, a better known temperature and so on.
    degrees_of_freedom : float
        Of the value now; taken to stay so, which is cautious for more readings.
    """
    would_prove, needed = needed_uncertainty(value, limits, rule, degrees_of_freedom)

    def way(remedy: Remedy, name: str, those: Sequence[Part], efforts: Sequence[Effort]) -> Way:
        for tried in efforts:
            reached = standard_uncertainty(those, tried, statistic)
            if would_prove is not None and reached <= needed:
                break
        else:
            tried = efforts[-1]
            reached = standard_uncertainty(those, tried, statistic)
        more = max(0, tried.behind(statistic)[1] - effort.behind(statistic)[1])
        settles = would_prove is not None and reached <= needed
        return Way(remedy, name, tried, more, reached, settles)

    repeats = _more(effort, "repeats", MOST_REPEATS)
    ways = [way(Remedy.REPEATS, "", parts, repeats[1:] or repeats)]
    if statistic is not Statistic.LOCAL_SIZES:
        orientations = _more(effort, "orientations", MOST_ORIENTATIONS)
        ways.append(way(Remedy.ORIENTATIONS, "", parts, orientations[1:] or orientations))
    if statistic is Statistic.OVERALL_MEAN:
        stations = _more(effort, "stations", MOST_STATIONS)
        ways.append(way(Remedy.STATIONS, "", parts, stations[1:] or stations))
    ways += [
        way(Remedy.BETTER_PART, alternative.name, alternative.parts, repeats)
        for alternative in alternatives
    ]
    ways.sort(key=lambda one: (not one.settles, one.more_readings, one.standard_uncertainty))
    remainder = standard_uncertainty(_lasting(parts, statistic), effort, Statistic.LOCAL_SIZES)
    name, share = _heaviest(_lasting(parts, statistic))
    return Settlement(
        would_prove=would_prove,
        needed=needed,
        present=standard_uncertainty(parts, effort, statistic),
        remainder=remainder,
        largest_part=name,
        largest_share=share,
        ways=tuple(ways),
    )


def _more(effort: Effort, name: str, most: int) -> list[Effort]:
    present = getattr(effort, name)
    return [replace(effort, **{name: number}) for number in range(present, max(present, most) + 1)]


def _lasting(parts: Sequence[Part], statistic: Statistic) -> list[Part]:
    """Return the parts that no number of readings thins."""
    lasting = {Shared.COMMON}
    if statistic is not Statistic.OVERALL_MEAN:
        lasting.add(Shared.STATION)
    return [part for part in parts if part.shared in lasting]


def _heaviest(parts: Sequence[Part]) -> tuple[str, float]:
    total = sum(part.standard_uncertainty**2 for part in parts)
    if total == 0.0:
        return "", 0.0
    heaviest = max(parts, key=lambda part: part.standard_uncertainty)
    return heaviest.name, heaviest.standard_uncertainty**2 / total
