"""Where the bolts of a joint sit, seen from the side of their heads."""

from dataclasses import dataclass
from math import cos, pi, sin

from seatproof.core.plan.fitting import TorqueStep


@dataclass(frozen=True, slots=True)
class BoltPlace:
    """A bolt; `x` to the right and `y` upwards, from -1 to 1 over the joint."""

    name: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint as it is drawn: its bolts, and its width for a height of one."""

    pattern: str
    places: tuple[BoltPlace, ...]
    aspect: float


def joint_of(step: TorqueStep) -> Joint:
    """Lay out the bolts of a step.

    On a circle the first sits at the top and the others follow clockwise. Of a ring in halves the
    clamping rings stand side by side, with the first joint above and the second below. Two rows lie
    one above the other, the first on top.
    """
    names = step.bolt_names
    if step.pattern == "clamped halves":
        return Joint(step.pattern, tuple(_clamped(names)), 2.0)
    if step.pattern == "two rows":
        return Joint(step.pattern, tuple(_rows(names)), max(2.0, min(5.0, len(names) / 3)))
    return Joint(step.pattern, tuple(_circle(names)), 1.0)


def _circle(names: tuple[str, ...]) -> list[BoltPlace]:
    turn = 2 * pi / len(names)
    return [
        BoltPlace(name, sin(index * turn), cos(index * turn)) for index, name in enumerate(names)
    ]


def _clamped(names: tuple[str, ...]) -> list[BoltPlace]:
    per_joint = len(names) // 4
    places = []
    for index, name in enumerate(names):
        corner, along = divmod(index, per_joint)
        ring, joint = divmod(corner, 2)
        shift = 0.0 if per_joint == 1 else (along / (per_joint - 1) - 0.5) * 0.7
        places.append(BoltPlace(name, (-0.55 if ring == 0 else 0.55) + shift, 1.0 - 2.0 * joint))
    return places


def _rows(names: tuple[str, ...]) -> list[BoltPlace]:
    per_row = len(names) // 2
    places = []
    for index, name in enumerate(names):
        row, along = divmod(index, per_row)
        x = 0.0 if per_row == 1 else 2 * along / (per_row - 1) - 1
        places.append(BoltPlace(name, x, 1.0 if row == 0 else -1.0))
    return places
