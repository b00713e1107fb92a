"""Points of a walk: where a gauge is put, one after the other."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Literal, NamedTuple

Walk = Literal["station by station", "orientation by orientation"]


class PointKey(NamedTuple):
    """The name of a point: its seat, and its station and orientation counted from 1."""

    seat_id: str
    station: int
    orientation: int

    def __str__(self) -> str:
        return f"{self.seat_id} {self.station}/{self.orientation}"


@dataclass(frozen=True, slots=True)
class Point:
    """One station at one orientation: `z_mm` from the datum face, `angle_deg` from the datum."""

    key: PointKey
    z_mm: float
    angle_deg: float

    @property
    def seat_id(self) -> str:
        return self.key.seat_id

    @property
    def station(self) -> int:
        return self.key.station

    @property
    def orientation(self) -> int:
        return self.key.orientation


def in_walking_order(
    points: Iterable[Point], walk: Walk, there_and_back: bool
) -> tuple[Point, ...]:
    """Put the points of a seat in the order in which they are visited.

    `there_and_back` turns round at the end of every station (or orientation) instead of beginning
    again at its start, so that the hand travels least.
    """

    def along(point: Point) -> tuple[int, int]:
        if walk == "orientation by orientation":
            return point.orientation, point.station
        return point.station, point.orientation

    ordered: list[Point] = []
    rows = groupby(sorted(points, key=along), key=lambda point: along(point)[0])
    for count, (_, row) in enumerate(rows):
        here = list(row)
        ordered.extend(reversed(here) if there_and_back and count % 2 else here)
    return tuple(ordered)
