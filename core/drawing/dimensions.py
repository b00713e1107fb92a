"""Below the shaft: dimensions from the datum face, in the manner of ISO 129-1.

Seats are dimensioned in parallel, one dimension line a seat. Stations share one dimension line that
runs from a common origin (superimposed running dimensioning); where a shaft has more seats than
there is room for lines, the seats move onto that line too.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from seatproof.core.drawing.lettering import figure, text_width
from seatproof.core.drawing.placement import Placement
from seatproof.core.drawing.shapes import Align, Anchor, Pen
from seatproof.core.drawing.sketch import Sketch
from seatproof.core.drawing.spacing import every_nth
from seatproof.core.plan.model import Plan

Span = tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class Dimensioning:
    """One choice of what is dimensioned below the shaft; lengths on paper are points.

    Attributes
    ----------
    plan : Plan
    size : float
        Height of the lettering.
    seats_parallel : bool
        Seats on dimension lines of their own; otherwise on the running line.
    stations : bool
        Stations on the running line, where they have room.
    overall : bool
        The shaft's length on a line of its own.
    """

    plan: Plan
    size: float
    seats_parallel: bool
    stations: bool
    overall: bool

    @property
    def height(self) -> float:
        """Room below the largest diameter."""
        clearance = 9 if self._is_running else 11
        return self._running_height + len(self._rows()) * self._pitch + clearance * self._unit

    def fits(self, placement: Placement, width: float) -> bool:
        """Tell whether every figure has a place of its own."""
        rows = self._rows()
        places = (
            self._figure_place(rows, index, span, placement, width)
            for index, row in enumerate(rows)
            for span in row
        )
        return None not in places and (not self._is_running or bool(self._running(placement)))

    def draw(self, sketch: Sketch, placement: Placement, width: float, bottom_y: float) -> None:
        """Draw the dimensions below `bottom_y`, where the largest diameter ends."""
        # Clear of the datum's frame, which on a slim shaft hangs below it.
        line_y = bottom_y - 5 * self._unit
        ends_y: dict[Decimal, float] = {}  # how far down the extension line of each place goes
        if self._is_running:
            running = self._running(placement)
            running_y = bottom_y - 6 * self._unit
            self._draw_running(sketch, placement, running, running_y)
            ends_y |= dict.fromkeys(self._seat_edges(), running_y)
            ends_y[Decimal(0)] = running_y
            line_y = running_y + self._unit * 6 - self._running_height
        rows = self._rows()
        for index, row in enumerate(rows):
            line_y -= self._pitch
            for place in {place for span in row for place in span} | {Decimal(0)}:
                ends_y[place] = line_y - 1.5 * self._unit
            self._draw_row(sketch, placement, rows, index, line_y, width)
        for z_mm, end_y in ends_y.items():
            x = placement.x(float(z_mm))
            start_y = placement.y(-self._radius_mm(z_mm)) - 1.5 * self._unit
            sketch.line(x, start_y, x, end_y, Pen.DIMENSION)

    # --- parallel dimension lines ------------------------------------------------------------

    def _rows(self) -> list[list[Span]]:
        rows: list[list[Span]] = []
        if self.seats_parallel:
            for seat in sorted(self.plan.seats_apart, key=lambda seat: seat.from_mm):
                start = [(Decimal(0), seat.from_mm)] if seat.from_mm > 0 else []
                rows.append([*start, (seat.from_mm, seat.to_mm)])
        if self.overall:
            whole = (Decimal(0), self.plan.shaft.length_mm)
            if [whole] not in rows:
                rows.append([whole])
        return rows

    def _figure_place(
        self, rows: list[list[Span]], index: int, span: Span, placement: Placement, width: float
    ) -> tuple[float, Anchor] | None:
        """Find room for a span's figure: over its line, else beyond its outer end."""
        start, end = (placement.x(float(z_mm)) for z_mm in span)
        needed = text_width(self._figure(span[1] - span[0]), self.size)
        if needed + self._unit <= end - start:
            return (start + end) / 2, Anchor.MIDDLE
        beyond = self._overhang + needed
        if span == rows[index][-1]:
            # Extension lines of the lines further out come down beside it.
            passing = [
                placement.x(float(z_mm)) for row in rows[index + 1 :] for s in row for z_mm in s
            ]
            limit = min((x - self._unit for x in passing if x >= end - self._unit), default=width)
            return (end + self._overhang, Anchor.START) if end + beyond <= limit else None
        return (start - self._overhang, Anchor.END) if start - beyond >= 0 else None

    def _draw_row(
        self,
        sketch: Sketch,
        placement: Placement,
        rows: list[list[Span]],
        index: int,
        line_y: float,
        width: float,
    ) -> None:
        row = rows[index]
        edges = [tuple(placement.x(float(z_mm)) for z_mm in span) for span in row]
        arrows = all(end - start >= 2.2 * self._arrow for start, end in edges)
        for span, (start, end) in zip(row, edges, strict=True):
            place = self._figure_place(rows, index, span, placement, width)
            assert place is not None, "fits() was asked before"
            x, anchor = place
            text = self._figure(span[1] - span[0])
            line_start, line_end = start, end
            if anchor is Anchor.START:
                line_end = x + text_width(text, self.size)
            elif anchor is Anchor.END:
                line_start = x - text_width(text, self.size)
            sketch.line(line_start, line_y, line_end, line_y, Pen.DIMENSION)
            sketch.text(x, line_y + 1.6 * self._unit, text, self.size, Pen.DIMENSION, anchor=anchor)
            if arrows:
                sketch.arrowhead(start, line_y, 180, self._arrow, Pen.DIMENSION)
                sketch.arrowhead(end, line_y, 0, self._arrow, Pen.DIMENSION)
            else:
                for x in (start, end):  # too short for arrowheads: oblique strokes
                    half = 1.6 * self._unit
                    sketch.line(x - half, line_y - half, x + half, line_y + half, Pen.DIMENSION)

    # --- the running dimension line ----------------------------------------------------------

    @property
    def _is_running(self) -> bool:
        return self.stations or not self.seats_parallel

    @property
    def _running_height(self) -> float:
        if not self._is_running:
            return 0.0
        places = [] if self.seats_parallel else self._seat_edges()
        if self.stations:
            places += [z_mm for seat in self.plan.seats_apart for z_mm in seat.stations_mm]
        longest = max(text_width(self._figure(z_mm), self.size) for z_mm in places)
        return 9 * self._unit + longest

    def _running(self, placement: Placement) -> list[tuple[float, Decimal]]:
        """Return (x, z_mm) of what the running line gives: first the seats' ends, then stations."""
        chosen: list[tuple[float, Decimal]] = []
        edges = [(placement.x(float(z_mm)), z_mm) for z_mm in self._seat_edges()]
        if self.seats_parallel:
            ends = [*edges, (placement.x(0.0), Decimal(0))]
            if self.overall:
                length_mm = self.plan.shaft.length_mm
                ends.append((placement.x(float(length_mm)), length_mm))
            lines = [x for x, _ in ends]
        else:
            lines = []
            for x, z_mm in edges:
                if z_mm > 0 and all(abs(x - other) >= self.size for other, _ in chosen):
                    chosen.append((x, z_mm))
            lines = [x for x, _ in edges if x not in {place for place, _ in chosen}]
        if self.stations:
            for seat in self.plan.seats_apart:
                stations = seat.stations_mm
                free = sorted(
                    (placement.x(float(z_mm)), number)
                    for number, z_mm in enumerate(stations)
                    if z_mm > 0 and self._is_free(placement.x(float(z_mm)), chosen, lines)
                )
                chosen += [(x, stations[number]) for x, number in every_nth(free, self.size)]
        return sorted(chosen)

    def _is_free(
        self, x: float, figures: Sequence[tuple[float, Decimal]], lines: Sequence[float]
    ) -> bool:
        return all(abs(x - other) >= self.size for other, _ in figures) and all(
            abs(x - line) >= 0.52 * self.size for line in lines
        )

    def _draw_running(
        self,
        sketch: Sketch,
        placement: Placement,
        running: list[tuple[float, Decimal]],
        line_y: float,
    ) -> None:
        origin_x = placement.x(0.0)
        if not running:
            return
        radius = 1.3 * self._unit
        sketch.circle(origin_x, line_y, radius, Pen.DIMENSION)
        sketch.line(origin_x + radius, line_y, running[-1][0], line_y, Pen.DIMENSION)
        for x, z_mm in running:
            sketch.arrowhead(x, line_y, 0, 0.7 * self._arrow, Pen.DIMENSION)
            sketch.text(
                x,
                line_y - 2 * self._unit,
                self._figure(z_mm),
                self.size,
                Pen.DIMENSION,
                anchor=Anchor.END,
                align=Align.MIDDLE,
                angle_deg=90,
            )

    # --- measures ----------------------------------------------------------------------------

    @property
    def _unit(self) -> float:
        return self.size / 7

    @property
    def _pitch(self) -> float:
        return 1.45 * self.size

    @property
    def _arrow(self) -> float:
        return 0.75 * self.size

    @property
    def _overhang(self) -> float:
        return 3 * self._unit

    def _seat_edges(self) -> list[Decimal]:
        starts = [seat.from_mm for seat in self.plan.seats_apart]
        return list(dict.fromkeys([*starts, *(seat.to_mm for seat in self.plan.seats_apart)]))

    def _figure(self, length_mm: Decimal) -> str:
        return figure(length_mm, self.plan.unit)

    def _radius_mm(self, z_mm: Decimal) -> float:
        """Return the larger radius of the sections that meet at a place."""
        steps = self.plan.shaft.steps()
        return max(float(diameter) / 2 for start, end, diameter in steps if start <= z_mm <= end)


def dimensionings(plan: Plan, size: float) -> tuple[Dimensioning, ...]:
    """Return the choices of dimensions for a plan, the fullest first; the last fits always."""
    choices = (
        (True, True, True),
        (True, True, False),
        (True, False, False),
        (False, True, False),
        (False, False, False),
    )
    return tuple(Dimensioning(plan, size, *choice) for choice in choices)
