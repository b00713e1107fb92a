"""What would settle a requirement, in sentences for screen and sheet."""

from typing import Final

from seatproof.core import figures
from seatproof.core.units import Unit
from seatproof.core.verdict.rule import Verdict
from seatproof.core.verdict.settling import Remedy, Settlement, Way

MOST_WAYS: Final = 3


def settlement_sentences(settlement: Settlement, unit: Unit) -> tuple[str, ...]:
    """Say what would settle a requirement that is not proven, or that nothing would.

    Parameters
    ----------
    settlement : Settlement
        With its uncertainties in µm.
    unit : Unit
        In which they are written.

    Returns
    -------
    tuple of str
        Whole sentences, the most telling first.
    """
    if settlement.would_prove is None:
        return ("The value lies on the limit itself: no uncertainty, however small, settles that.",)
    proof = "conforms" if settlement.would_prove is Verdict.CONFORMS else "does not conform"
    needed = figures.small(settlement.needed, unit)
    present = figures.small(settlement.present, unit)
    sentences = [
        f"If the value stays where it is, a standard uncertainty of {needed} or less would prove "
        f"that it {proof}; now it is {present}."
    ]
    ways = settlement.settling
    if ways:
        return (*sentences, *(_way(way, unit) for way in ways[:MOST_WAYS]))
    sentences.append(_why_nothing(settlement, unit))
    best = min(settlement.ways, key=lambda way: way.standard_uncertainty, default=None)
    if best is not None and best.standard_uncertainty < 0.95 * settlement.present:
        reached = figures.small(best.standard_uncertainty, unit)
        sentences.append(f"The most that can be gained: {_what(best)} brings it to {reached}.")
    return tuple(sentences)


def _way(way: Way, unit: Unit) -> str:
    reached = figures.small(way.standard_uncertainty, unit)
    sentence = f"{_what(way)} would settle it ({reached})."
    return sentence[:1].upper() + sentence[1:]


def _what(way: Way) -> str:
    readings = f"{way.more_readings} more reading{'' if way.more_readings == 1 else 's'}"
    if way.remedy is Remedy.REPEATS:
        return f"{way.effort.repeats} repeats at each point in question, {readings} each"
    if way.remedy is Remedy.ORIENTATIONS:
        return f"{way.effort.orientations} orientations at each station, {readings} in all"
    if way.remedy is Remedy.STATIONS:
        return f"{way.effort.stations} stations, {readings} in all"
    return f"{way.name} and {readings}" if way.more_readings else way.name


def _why_nothing(settlement: Settlement, unit: Unit) -> str:
    if settlement.remainder > settlement.needed:
        remainder = figures.small(settlement.remainder, unit)
        share = f"{100.0 * settlement.largest_share:.0f} %"
        return (
            f"No number of readings does: they share {remainder}, {share} of its variance from "
            f"{settlement.largest_part}."
        )
    return "The value lies too near the limit for any number of readings that is practicable."
