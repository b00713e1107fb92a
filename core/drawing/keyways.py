"""What a keyway looks like from the side and from the end.

A plan gives no shape of a keyway's ends. One that ends within a section is drawn with a round end,
as an end mill leaves it; one that runs out at a shoulder or an end face is drawn open.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from seatproof.core.drawing.shapes import XY
from seatproof.core.plan.shaft import Keyway, Shaft

_ROUND_END_STEPS = 8


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge seen from the side: (z_mm, height above the axis in mm) point by point."""

    points: tuple[XY, ...]
    visible: bool


@dataclass(frozen=True, slots=True)
class Slot:
    """The part of a keyway that lies in one cylindrical section."""

    from_mm: float
    to_mm: float
    radius_mm: float
    half_width_mm: float
    depth_mm: float
    angle_deg: float
    rounded_from_mm: float  # within the rounding of an end, the keyway narrows
    rounded_to_mm: float
    rounding_mm: float

    @property
    def floor_mm(self) -> float:
        """Distance of the keyway's floor from the axis."""
        return self.radius_mm - self.depth_mm

    def half_angle_deg(self, z_mm: float) -> float:
        """Return half the angle that the keyway takes of the circumference at a place."""
        into = max(self.rounded_from_mm - z_mm, z_mm - self.rounded_to_mm, 0.0)
        share = math.sqrt(max(1 - (into / self.rounding_mm) ** 2, 0.0)) if into else 1.0
        return math.degrees(math.asin(self.half_width_mm * share / self.radius_mm))

    def places_mm(self) -> list[float]:
        """Return the places along the shaft at which the keyway's edge is to be drawn."""
        turns = [math.pi / 2 * step / _ROUND_END_STEPS for step in range(_ROUND_END_STEPS + 1)]
        ends = [self.rounded_from_mm - self.rounding_mm * math.cos(turn) for turn in turns]
        ends += [self.rounded_to_mm + self.rounding_mm * math.sin(turn) for turn in turns]
        inside = {z_mm for z_mm in ends if self.from_mm < z_mm < self.to_mm}
        return sorted(inside | {self.from_mm, self.to_mm})

    def edges(self) -> Iterator[Edge]:
        """Yield the edges at the surface, seen from 0°, and the floor where it is in profile."""
        places_mm = self.places_mm()
        for side in (-1, 1):
            run: list[XY] = []
            visible = True
            for z_mm in places_mm:
                angle = math.radians(self.angle_deg + side * self.half_angle_deg(z_mm))
                point = (z_mm, self.radius_mm * math.sin(angle))
                faces = math.cos(angle) > -1e-9
                if run and faces is not visible:
                    yield Edge((*run, point), visible)
                    run = []
                visible = faces
                run.append(point)
            if len(run) > 1:
                yield Edge(tuple(run), visible)
        if self._cuts_contour(1) or self._cuts_contour(-1):
            yield self._floor()

    def contour_mm(self, side: int) -> list[XY]:
        """Return the shaft's contour along the keyway; `side` is 1 above the axis, −1 below it.

        Where the keyway lies in profile, the contour runs along its higher edge instead of along
        the cylinder.
        """
        if not self._cuts_contour(side):
            return []
        contour: list[XY] = []
        for z_mm in self.places_mm():
            half_deg = self.half_angle_deg(z_mm)
            height_mm = side * self.radius_mm
            if self._off_contour_deg(side) < half_deg:
                heights_mm = [
                    self.radius_mm * math.sin(math.radians(self.angle_deg + turn_deg))
                    for turn_deg in (-half_deg, half_deg)
                ]
                height_mm = max(heights_mm) if side > 0 else min(heights_mm)
            contour.append((z_mm, height_mm))
        return contour

    def _off_contour_deg(self, side: int) -> float:
        return abs((self.angle_deg - side * 90 + 180) % 360 - 180)

    def _cuts_contour(self, side: int) -> bool:
        widest_deg = math.degrees(math.asin(self.half_width_mm / self.radius_mm))
        return self._off_contour_deg(side) < widest_deg

    def _floor(self) -> Edge:
        angle = math.radians(self.angle_deg)
        corners_mm = [
            self.floor_mm * math.sin(angle) + across * self.half_width_mm * math.cos(angle)
            for across in (-1, 1)
        ]
        height_mm = min(corners_mm, key=abs)
        return Edge(((self.from_mm, height_mm), (self.to_mm, height_mm)), visible=False)


def slots(shaft: Shaft) -> list[Slot]:
    """Cut every keyway of a shaft at the shaft's shoulders."""
    return [slot for keyway in shaft.keyways for slot in _slots_of(shaft, keyway)]


def _slots_of(shaft: Shaft, keyway: Keyway) -> Iterator[Slot]:
    start, end = keyway.from_mm, keyway.from_mm + keyway.length_mm
    faces = {place for step in shaft.steps() for place in step[:2]}
    half_width = float(keyway.width_mm) / 2
    rounding = min(half_width, float(keyway.length_mm) / 2)
    for section_from, section_to, diameter in shaft.steps():
        if section_from < end and section_to > start:
            yield Slot(
                from_mm=float(max(start, section_from)),
                to_mm=float(min(end, section_to)),
                radius_mm=float(diameter) / 2,
                half_width_mm=half_width,
                depth_mm=float(keyway.depth_mm),
                angle_deg=float(keyway.angle_deg),
                rounded_from_mm=float(start) + (0.0 if start in faces else rounding),
                rounded_to_mm=float(end) - (0.0 if end in faces else rounding),
                rounding_mm=rounding,
            )
