"""Points of a walk: where a gauge is put, one after the other."""

from dataclasses import dataclass
from typing import NamedTuple


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
