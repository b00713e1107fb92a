"""Which point is selected, and which seat is shown; without Qt."""

from seatproof.core.plan.points import PointKey
from seatproof.core.record.state import InspectionState


class Selection:
    """A point pointed at without doing anything to it, and the seat that drawings show."""

    def __init__(self, state: InspectionState) -> None:
        self.key: PointKey | None = None
        self.seat_id = _seat_in_hand(state)

    def follow(self, state: InspectionState) -> None:
        """Select nothing, and show the seat of the next point, or of the last reading."""
        self.key = None
        self.seat_id = _seat_in_hand(state)

    def choose(self, key: PointKey | None) -> None:
        """Select a point, whose seat is then shown."""
        self.key = key
        if key is not None:
            self.seat_id = key.seat_id

    def choose_number(self, state: InspectionState, number: int) -> None:
        """Select the point of that number in the walk, counted from 1; none where there is none."""
        points = state.walk_points
        self.choose(points[number - 1].key if 1 <= number <= len(points) else None)

    def move(self, state: InspectionState, stations: int, orientations: int) -> None:
        """Move over the seat shown, going round at its edges; begin at the next point."""
        start = self.key or state.cursor
        if start is None or start.seat_id != self.seat_id:
            self.choose(PointKey(self.seat_id, 1, 1))
            return
        seat = state.plan.seat(self.seat_id)
        station = (start.station - 1 + stations) % len(seat.stations_mm) + 1
        orientation = (start.orientation - 1 + orientations) % len(seat.orientations_deg) + 1
        self.choose(PointKey(seat.id, station, orientation))

    def show_next_seat(self, state: InspectionState) -> None:
        """Show the following seat without going there."""
        ids = [seat.id for seat in state.plan.seats]
        self.seat_id = ids[(ids.index(self.seat_id) + 1) % len(ids)]
        self.key = None


def _seat_in_hand(state: InspectionState) -> str:
    if state.cursor is not None:
        return state.cursor.seat_id
    reading = state.last_reading()
    return reading.key.seat_id if reading is not None else state.plan.seats[0].id
