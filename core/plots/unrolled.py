"""The seat unrolled: every point's departure from the seat's mean, as data."""

from dataclasses import dataclass

from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.plan.points import PointKey
from seatproof.core.units import UM_PER_MM


@dataclass(frozen=True, slots=True)
class MapPoint:
    """One point: where it lies, its value in words of the plan, and its departure in µm."""

    key: PointKey
    z_mm: float
    angle_deg: float
    size_mm: float | None
    departure_um: float


@dataclass(frozen=True, slots=True)
class UnrolledMap:
    """The points of a seat over position and angle.

    Departures are from the mean of all that is shown: of diameters for a two-point seat, of
    readings for an indicator's. `span_deg` is how far round the points are laid, 180 or 360.
    """

    from_mm: float
    to_mm: float
    span_deg: float
    points: tuple[MapPoint, ...]
    diametral: bool

    @property
    def largest_um(self) -> float:
        """The largest amount of a departure, at least a tenth of a micrometre."""
        return max([0.1, *(abs(point.departure_um) for point in self.points)])


def unrolled_map(evaluation: SeatEvaluation) -> UnrolledMap:
    """Make the map of a seat."""
    seat = evaluation.seat
    raw: list[tuple[PointKey, float, float, float | None, float]] = [
        (size.key, size.point.z_mm, size.point.angle_deg, size.size_mm, size.size_mm * UM_PER_MM)
        for size in evaluation.sizes
    ]
    for profile in evaluation.profiles:
        raw += [
            (key, profile.z_mm, angle, None, value)
            for key, angle, value in zip(
                profile.keys, profile.angle_deg, profile.reading_um, strict=True
            )
        ]
    mean = sum(value for *_, value in raw) / len(raw) if raw else 0.0
    return UnrolledMap(
        from_mm=float(seat.from_mm),
        to_mm=float(seat.to_mm),
        span_deg=float(seat.turn_deg),
        points=tuple(
            MapPoint(key, z_mm, angle, size_mm, value - mean)
            for key, z_mm, angle, size_mm, value in raw
        ),
        diametral=seat.method == "two-point",
    )
