"""Proposals for the order in which bolts are tightened; a plan's own order always goes first.

Bolts are numbered from 0 here, round the circle or along the rows; names are the caller's.
The rules are the trade's: opposite, then a quarter off, then bisecting what is left.
"""

from fractions import Fraction


def circle_order(bolts: int) -> tuple[int, ...]:
    """Return an order for bolts evenly spaced on a circle.

    An even number is taken in opposite pairs, each pair as far as can be from those before. An odd
    number has no opposite bolts: its order is a star that steps to the next but nearly opposite
    one.

    Raises
    ------
    ValueError
        Fewer than one bolt.

    >>> [bolt + 1 for bolt in circle_order(8)]
    [1, 5, 3, 7, 2, 6, 4, 8]
    >>> [bolt + 1 for bolt in circle_order(5)]
    [1, 3, 5, 2, 4]
    """
    if bolts < 1:
        raise ValueError("a joint has one bolt at least")
    if bolts % 2:
        step = max((bolts - 1) // 2, 1)
        return tuple(index * step % bolts for index in range(bolts))
    order: list[int] = []
    for start in _spread(bolts // 2):
        pair = (start, start + bolts // 2)
        last = order[-1] if order else bolts // 2
        order.extend(sorted(pair, key=lambda bolt: (-_apart(bolt, last, bolts), bolt)))
    return tuple(order)


def clamped_halves_order(per_joint: int) -> tuple[int, ...]:
    """Return an order for a ring in halves under two clamping rings.

    Bolts are numbered by ring, then by joint, then along the joint: with `per_joint` bolts in each,
    ring r at joint j holds bolts from ``(2·r + j)·per_joint`` on. One bolt goes to the next
    diagonally, to the other ring *and* the other joint, so that the joint gaps stay equal.

    Raises
    ------
    ValueError
        Fewer than one bolt at a joint.

    >>> clamped_halves_order(1)
    (0, 3, 1, 2)
    """
    if per_joint < 1:
        raise ValueError("a joint has one bolt at least")
    corners = ((0, 0), (1, 1), (0, 1), (1, 0))
    return tuple(
        (2 * ring + joint) * per_joint + index
        for index in middle_outwards(per_joint)
        for ring, joint in corners
    )


def two_rows_order(per_row: int) -> tuple[int, ...]:
    """Return an order for two rows, from the middle outwards and across from row to row.

    Row one holds bolts 0 to ``per_row - 1``, row two those after it, side by side with them. The
    bolt in the other row is the one mirrored about the middle, so that the cover comes down level.

    Raises
    ------
    ValueError
        Fewer than one bolt in a row.

    >>> two_rows_order(3)
    (1, 4, 2, 3, 0, 5)
    """
    if per_row < 1:
        raise ValueError("a row has one bolt at least")
    order: list[int] = []
    for index in middle_outwards(per_row):
        order.extend((index, 2 * per_row - 1 - index))
    return tuple(order)


def middle_outwards(bolts: int) -> tuple[int, ...]:
    """Return the places of a row, the middle first, then outwards to either side in turn.

    >>> middle_outwards(5), middle_outwards(4)
    ((2, 3, 1, 4, 0), (2, 1, 3, 0))
    """
    middle = Fraction(bolts - 1, 2)
    return tuple(sorted(range(bolts), key=lambda place: (abs(place - middle), -place)))


def _spread(places: int) -> tuple[int, ...]:
    """Take places on a ring one by one, each as far as can be from all taken before.

    Of several that are equally far the one goes first that is farthest from the last.
    """
    taken = [0]
    while len(taken) < places:
        free = [place for place in range(places) if place not in taken]
        taken.append(
            max(
                free,
                key=lambda place: (
                    min(_apart(place, other, places) for other in taken),
                    _apart(place, taken[-1], places),
                    -place,
                ),
            )
        )
    return tuple(taken)


def _apart(one: int, other: int, places: int) -> int:
    """Return how many steps two places on a ring are apart, the shorter way round."""
    steps = abs(one - other) % places
    return min(steps, places - steps)
