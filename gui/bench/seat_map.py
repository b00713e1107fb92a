"""What the map of a seat says of every point, kept: its value, its departure, its fate; no Qt."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from seatproof.core import figures
from seatproof.core.evaluation.sizes import REPEAT_VALUES, local_size_at
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.record.state import InspectionState
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.gui.bench.points import PointMark, PointView
from seatproof.gui.shared.saying import again, say


class DepartureFrom(StrEnum):
    """Against what a size is held; the value is its word."""

    NOMINAL = "from the nominal size"
    MIDDLE = "from the middle of the tolerance"


@dataclass(frozen=True, slots=True)
class MapCell:
    """One point as the map shows it.

    Attributes
    ----------
    view : PointView
    value : str
        The size from the readings that count; empty where there is none, or where it is no size.
    departure : str
        That size against what was chosen, or what an indicator shows; small lengths, no unit.
    note : str
        What else there is to say: skipped, how many readings of how many, taken back.
    was_redone : bool
        Whether a reading of it was taken back, or counts no longer for another reason.
    """

    view: PointView
    value: str
    departure: str
    note: str
    was_redone: bool


class SeatMap:
    """The cells of one seat; a change costs as much as the points it touches."""

    def __init__(self) -> None:
        self._seat: Seat | None = None
        self._from = DepartureFrom.NOMINAL
        self.cells: dict[PointKey, MapCell] = {}

    def show(
        self,
        state: InspectionState,
        seat: Seat,
        views: Iterable[PointView],
        departure_from: DepartureFrom,
    ) -> set[PointKey]:
        """Bring the cells up to a state; return the points whose cells are new.

        `views` may be those of all seats.
        """
        if seat is not self._seat or departure_from is not self._from:
            self._seat, self._from = seat, departure_from
            self.cells = {}
        changed = set()
        redone: set[PointKey] | None = None
        for view in views:
            key = view.point.key
            if key.seat_id != seat.id:
                continue
            cell = self.cells.get(key)
            if cell is None or cell.view is not view:
                if redone is None:
                    redone = {one.key for one in state.readings.values() if not one.counts}
                self.cells[key] = _cell(state, seat, view, departure_from, key in redone)
                changed.add(key)
        return changed

    @property
    def following(self) -> MapCell | None:
        """The cell of the point that is next, if it is on this seat."""
        return next((cell for cell in self.cells.values() if cell.view.is_next), None)

    @property
    def selected(self) -> MapCell | None:
        """The cell of the selected point, if it is on this seat."""
        return next((cell for cell in self.cells.values() if cell.view.is_selected), None)


def captions(seat: Seat, state: InspectionState, departure_from: DepartureFrom) -> tuple[str, ...]:
    """Say what the figures of a map are, the longest wording first."""
    unit = say("inches") if state.plan.unit is Unit.INCH else figures.small_unit(state.plan.unit)
    if not _has_diameters(seat):
        return (
            say(
                "Seat {seat} unrolled; what the indicator shows, in {unit}; its zero means nothing",
                seat=seat.id,
                unit=unit,
            ),
            say("Seat {seat} unrolled; readings in {unit}", seat=seat.id, unit=unit),
            say("readings in {unit}", unit=unit),
        )
    words = {"seat": seat.id, "wording": again(departure_from.value), "unit": unit}
    return (
        say(
            "Seat {seat} unrolled; departures {wording} {size} (diametral), in {unit}",
            size=figures.size_unit(reference_mm(seat, departure_from), state.plan.unit),
            **words,
        ),
        say("Seat {seat}; departures {wording}, in {unit}", **words),
        say("departures, in {unit}", unit=unit),
    )


def reference_mm(seat: Seat, departure_from: DepartureFrom) -> float:
    """Return the size against which a seat's sizes are held."""
    if departure_from is DepartureFrom.NOMINAL or not seat.has_size:
        return float(seat.nominal_mm)
    lower_mm, upper_mm = seat.limits_mm
    return float((lower_mm + upper_mm) / 2)


def can_choose_reference(seat: Seat) -> bool:
    """Tell whether a seat has both a nominal size and a tolerance to be held against."""
    return seat.has_size


def _cell(
    state: InspectionState,
    seat: Seat,
    view: PointView,
    departure_from: DepartureFrom,
    was_redone: bool,
) -> MapCell:
    key, unit = view.point.key, state.plan.unit
    value, departure = "", ""
    size = local_size_at(state, key)
    readings = state.readings_at(key)
    if size is not None:
        value = figures.size(size.size_mm, unit)
        away_um = (size.size_mm - reference_mm(seat, departure_from)) * UM_PER_MM
        departure = figures.small_number(away_um, unit, sign=True)
    elif readings and not _has_diameters(seat):
        shown_mm = REPEAT_VALUES[seat.repeat_value]([one.value_mm for one in readings])
        departure = figures.small_number(float(shown_mm) * UM_PER_MM, unit, sign=True)
    return MapCell(
        view, value, departure, _note(state, view, len(readings), was_redone), was_redone
    )


def _note(state: InspectionState, view: PointView, count: int, was_redone: bool) -> str:
    if view.mark is PointMark.SKIPPED:
        return again(PointMark.SKIPPED.value)
    if view.mark is not PointMark.OPEN:
        return ""
    if count:
        return say("{done} of {wanted}", done=str(count), wanted=str(state.wanted(view.point.key)))
    return say("taken back") if was_redone else ""


def _has_diameters(seat: Seat) -> bool:
    return seat.method == "two-point"
