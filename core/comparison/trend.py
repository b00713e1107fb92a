"""A seat over the years: what every sealed inspection of it found, with its limits."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from seatproof.core.archive.query import Entry
from seatproof.core.archive.results import SeatResult
from seatproof.core.units import UM_PER_MM, Unit


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One inspection of the seat; departures from `nominal_mm` of the trend, µm, diametral.

    `is_this` marks the inspection that the others are compared with.
    """

    inspection: str
    sheet_number: str
    moment: datetime
    smallest_um: float
    largest_um: float
    mean_um: float
    lower_um: float | None
    upper_um: float | None
    roundness_um: float | None
    ovality_um: float | None
    taper_um: float | None
    verdict: str
    is_this: bool


@dataclass(frozen=True, slots=True)
class Trend:
    """The inspections of one seat, oldest first; those without a size are left out."""

    seat: str
    nominal_mm: float
    unit: Unit
    points: tuple[TrendPoint, ...]

    @property
    def before(self) -> TrendPoint | None:
        """The inspection just before this one; the last but one where none is marked."""
        numbers = [number for number, point in enumerate(self.points) if point.is_this]
        here = numbers[0] if numbers else len(self.points) - 1
        return self.points[here - 1] if here > 0 else None

    @property
    def this(self) -> TrendPoint | None:
        return next((point for point in self.points if point.is_this), None)


def trend_of(
    seat: str, found: Sequence[tuple[Entry, SeatResult]], inspection: str = ""
) -> Trend | None:
    """Make the trend of a seat from what an archive holds of it; None where no size is known.

    Parameters
    ----------
    seat : str
        The seat's id.
    found : sequence of (Entry, SeatResult)
        As `Archive.seat_trend` returns them.
    inspection : str
        Id of the inspection that the others are compared with; "" for none.

    Notes
    -----
    The newest nominal size is the zero of all departures, so that a seat whose plan changed keeps
    its place. Inspections that were superseded are left out: their revision stands for them.
    """
    usable = [
        (entry, result)
        for entry, result in found
        if result.mean_mm is not None and not entry.superseded_by
    ]
    if not usable:
        return None
    newest = usable[-1][1]
    zero_mm = newest.nominal_mm
    return Trend(
        seat=seat,
        nominal_mm=zero_mm,
        unit=Unit(newest.unit),
        points=tuple(_point(entry, result, zero_mm, inspection) for entry, result in usable),
    )


def _point(entry: Entry, result: SeatResult, zero_mm: float, inspection: str) -> TrendPoint:
    def departure(size_mm: float) -> float:
        return (size_mm - zero_mm) * UM_PER_MM

    assert result.mean_mm is not None  # the caller saw to it
    smallest = result.mean_mm if result.smallest_mm is None else result.smallest_mm
    largest = result.mean_mm if result.largest_mm is None else result.largest_mm
    return TrendPoint(
        inspection=entry.inspection,
        sheet_number=entry.sheet_number,
        moment=datetime.fromisoformat(entry.opened_utc),
        smallest_um=departure(smallest),
        largest_um=departure(largest),
        mean_um=departure(result.mean_mm),
        lower_um=None if result.lower_mm is None else departure(result.lower_mm),
        upper_um=None if result.upper_mm is None else departure(result.upper_mm),
        roundness_um=result.roundness_um,
        ovality_um=result.ovality_um,
        taper_um=result.taper_um,
        verdict=result.verdict,
        is_this=entry.inspection == inspection,
    )
