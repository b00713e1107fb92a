"""Above the shaft: the numbers of the stations, and a bracket with each seat's name and size."""

from dataclasses import dataclass
from itertools import pairwise

from seatproof.core.drawing.lettering import size_figure, text_width
from seatproof.core.drawing.placement import Placement
from seatproof.core.drawing.shapes import Align, Anchor, Pen
from seatproof.core.drawing.sketch import Sketch
from seatproof.core.drawing.spacing import every_nth, spread
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.units import Unit


def seat_text(seat: Seat, unit: Unit) -> str:
    """Name a seat as drawings do: its id, then nominal size and class, or its limits of size.

    One that is measured for its form alone has its nominal size in brackets: a theoretical size.
    """
    if not seat.has_size:
        return f"{seat.id}  (⌀{size_figure(seat.nominal_mm, unit)})"
    if seat.tolerance_class is not None:
        return f"{seat.id}  ⌀{size_figure(seat.nominal_mm, unit)} {seat.tolerance_class}"
    lower_mm, upper_mm = seat.limits_mm
    return f"{seat.id}  ⌀{size_figure(upper_mm, unit)} / {size_figure(lower_mm, unit)}"


@dataclass(frozen=True, slots=True)
class Labelling:
    """One way of lettering the seats: what is written over each, along the shaft or across it.

    Attributes
    ----------
    seats : tuple of Seat
        From the datum face onwards.
    texts : tuple of str
        The label of each seat.
    upright : bool
        Whether the labels stand on end, where they take more height and less length.
    size : float
        Height of the lettering in points.
    """

    seats: tuple[Seat, ...]
    texts: tuple[str, ...]
    upright: bool
    size: float

    @property
    def height(self) -> float:
        """Room above the largest diameter, in points."""
        longest = max(text_width(text, self.size) for text in self.texts)
        lead, lettering = (6 / 7, longest) if self.upright else (1.8 / 7, self.size)
        return (12 / 7 + 0.76 + lead) * self.size + lettering

    @property
    def seat_lengths(self) -> tuple[float, ...]:
        """How long each seat would be drawn if its label and station numbers decided, in points."""
        wanted: list[float] = []
        for seat, text in zip(self.seats, self.texts, strict=True):
            label = 1.2 * self.size if self.upright else text_width(text, self.size)
            places = sorted(seat.stations_mm)
            steps = [after - before for before, after in pairwise(places)]
            pitch = max(self._number_width(seat) + 0.3 * self.size, 1.1 * self.size)
            by_stations = pitch * float(seat.length_mm / min(steps)) if steps else 0.0
            wanted.append(max(label, by_stations))
        return tuple(wanted)

    def centres(self, placement: Placement, width: float) -> list[float] | None:
        """Return where along the paper each label is centred; None where they would be jammed."""
        ideal = [_middle(seat, placement) for seat in self.seats]
        if self.upright:
            widths = [1.05 * self.size] * len(ideal)
            return spread(ideal, widths, 0.15 * self.size, 0.0, width)
        widths = [text_width(text, self.size) for text in self.texts]
        found = spread(ideal, widths, 0.8 * self.size, 0.0, width)
        if found is None or any(
            abs(centre - wanted) > length / 2
            for centre, wanted, length in zip(found, ideal, widths, strict=True)
        ):
            return None  # a label would no longer stand over its own bracket
        return found

    def draw(self, sketch: Sketch, placement: Placement, width: float, top_y: float) -> None:
        """Draw the stations' numbers, the brackets and the labels above `top_y`.

        Raises
        ------
        ValueError
            The labels do not fit; `centres` tells beforehand.
        """
        centres = self.centres(placement, width)
        if centres is None:
            raise ValueError("the labels of the seats do not fit into the width")
        unit = self.size / 7
        number_y = top_y + 6.5 * unit
        bracket_y = number_y + 0.76 * self.size + 3 * unit
        taken: list[tuple[float, float]] = []
        for seat in self.seats:
            self._draw_numbers(sketch, placement, seat, number_y, taken)
        for seat, text, centre in zip(self.seats, self.texts, centres, strict=True):
            left, right = (placement.x(float(z)) for z in (seat.from_mm, seat.to_mm))
            bracket = ((left, bracket_y - 2 * unit), (left, bracket_y))
            sketch.polyline((*bracket, (right, bracket_y), (right, bracket_y - 2 * unit)), Pen.THIN)
            middle = (left + right) / 2
            if self.upright:
                foot_y = bracket_y + 6 * unit
                sketch.polyline(
                    ((middle, bracket_y), (middle, bracket_y + unit), (centre, foot_y - unit)),
                    Pen.THIN,
                )
                sketch.text(
                    centre, foot_y, text, self.size, Pen.OUTLINE, align=Align.MIDDLE, angle_deg=90
                )
            else:
                sketch.line(middle, bracket_y, middle, bracket_y + 1.5 * unit, Pen.THIN)
                baseline = bracket_y + 1.8 * unit + 0.24 * self.size
                sketch.text(centre, baseline, text, self.size, Pen.OUTLINE, anchor=Anchor.MIDDLE)

    def _draw_numbers(
        self,
        sketch: Sketch,
        placement: Placement,
        seat: Seat,
        number_y: float,
        taken: list[tuple[float, float]],
    ) -> None:
        numbered = sorted(
            (placement.x(float(z_mm)), number) for number, z_mm in enumerate(seat.stations_mm, 1)
        )
        pitch = self._number_width(seat) + 0.25 * self.size
        for x, number in every_nth(numbered, pitch):
            half = text_width(str(number), self.size) / 2 + 0.1 * self.size
            if any(x - half < right and left < x + half for left, right in taken):
                continue  # the last station of one seat and the first of the next may coincide
            taken.append((x - half, x + half))
            sketch.text(x, number_y, str(number), self.size, Pen.STATION, anchor=Anchor.MIDDLE)

    def _number_width(self, seat: Seat) -> float:
        return text_width(str(len(seat.stations_mm)), self.size)


def labellings(plan: Plan, size: float) -> tuple[Labelling, ...]:
    """Return the ways of lettering a plan's seats, the best first."""
    seats = tuple(sorted(plan.seats_apart, key=lambda seat: seat.from_mm))
    full = tuple(seat_text(seat, plan.unit) for seat in seats)
    short = tuple(seat.id for seat in seats)
    return tuple(
        Labelling(seats, texts, upright, size)
        for texts in (full, short)
        for upright in (False, True)
    )


def _middle(seat: Seat, placement: Placement) -> float:
    return (placement.x(float(seat.from_mm)) + placement.x(float(seat.to_mm))) / 2
