"""Labels of a row kept apart: moved aside where they can be, thinned out where they cannot."""

from collections.abc import Sequence
from itertools import pairwise


def spread(
    centres: Sequence[float], widths: Sequence[float], gap: float, low: float, high: float
) -> list[float] | None:
    """Move labels of a row apart, each as little as the others allow, in the sense of squares.

    Parameters
    ----------
    centres, widths : sequence of float, shape (n,)
        Where each label would best be centred, ascending, and how wide it is.
    gap : float
        Least distance between two labels.
    low, high : float
        Where the row begins and ends.

    Returns
    -------
    list of float, shape (n,), or None
        The centres found; None where the row is too short for all.
    """
    if not centres:
        return []
    if sum(widths) + gap * (len(widths) - 1) > high - low:
        return None
    # Measured from a tightly set row, the labels only have to ascend: isotonic regression by
    # pooling adjacent violators, then limited to what the row's ends allow.
    offsets = [0.0]
    for left, right in pairwise(widths):
        offsets.append(offsets[-1] + (left + right) / 2 + gap)
    pools: list[tuple[float, int]] = []
    for centre, offset in zip(centres, offsets, strict=True):
        mean, count = centre - offset, 1
        while pools and pools[-1][0] > mean:
            before, number = pools.pop()
            mean = (mean * count + before * number) / (count + number)
            count += number
        pools.append((mean, count))
    least, most = low + widths[0] / 2, high - widths[-1] / 2 - offsets[-1]
    bases = [min(max(mean, least), most) for mean, count in pools for _ in range(count)]
    return [base + offset for base, offset in zip(bases, offsets, strict=True)]


def every_nth(places: list[tuple[float, int]], pitch: float) -> list[tuple[float, int]]:
    """Thin out a row of (x, number), ascending in x, until it keeps a pitch; the ends stay.

    Where not even the two ends have room beside each other, only the first stays.
    """
    for step in range(1, len(places)):
        kept = places[:-1:step]
        while len(kept) > 1 and places[-1][0] - kept[-1][0] < pitch:
            kept.pop()
        kept = [*kept, places[-1]]
        if all(b[0] - a[0] >= pitch for a, b in pairwise(kept)):
            return kept
    return places[:1]
