"""What ``seatproof fit`` was asked for: command line and plan, read into a fit."""

import argparse
from decimal import Decimal
from math import inf

from seatproof.core.fit.bore import Bore, bore_by_class, measured_bore
from seatproof.core.fit.closed import ClosedFit, ClosedRing, OuterRing
from seatproof.core.fit.estimate import fit_closed
from seatproof.core.fit.halves import HalvesFit, fit_halves
from seatproof.core.fit.interference import SeatSize, Warmth
from seatproof.core.fit.of_plan import bore_of
from seatproof.core.fit.press import STEEL_MODULUS_MPA, STEEL_POISSON, Cylinder
from seatproof.core.plan.file import load_plan
from seatproof.core.plan.ring import RingFit
from seatproof.core.plan.seat import Seat
from seatproof.core.quantities import parse_length
from seatproof.core.units import UM_PER_MM, Unit, to_mm
from seatproof.gui.commands.errors import CommandError


def seat_of_plan(args: argparse.Namespace) -> tuple[Seat | None, Unit]:
    """Return the seat of the plan that was named, None without a plan, and the unit of lengths."""
    if args.plan is None:
        if args.seat is not None:
            raise CommandError("--seat names a seat of a plan; name the plan with --plan.")
        return None, Unit(args.unit or "mm")
    plan = load_plan(args.plan)
    unit = Unit(args.unit) if args.unit else plan.unit
    ids = ", ".join(seat.id for seat in plan.seats)
    if args.seat is None:
        if len(plan.seats) > 1:
            raise CommandError(f"The plan has several seats; name one with --seat: {ids}.")
        return plan.seats[0], unit
    for seat in plan.seats:
        if seat.id == args.seat:
            return seat, unit
    raise CommandError(f'The plan has no seat "{args.seat}"; it has {ids}.')


class Request:
    """What was asked for on the command line, read in its unit; a plan fills what was not."""

    def __init__(self, args: argparse.Namespace, seat: Seat | None, unit: Unit) -> None:
        self._args = args
        self._seat = seat
        self._unit = unit
        self._told = RingFit() if seat is None or seat.fit is None else seat.fit

    def fit(self) -> ClosedFit | HalvesFit:
        """Work out the fit; `CommandError` or `FitError` where what was said is not enough."""
        args = self._args
        sizes = [self._mm(text) for text in args.sizes]
        size = SeatSize(
            smallest_mm=float(min(sizes)),
            largest_mm=float(max(sizes)),
            mean_mm=float(sum(sizes, Decimal(0)) / len(sizes)),
            expanded_mm=float(self._mm(args.uncertainty)),
        )
        closing = self._mm_or(args.closing_diameter, self._told.closing_diameter_mm)
        in_halves = self._seat is not None and self._seat.ring == "halves"
        if args.closing_diameter is not None or in_halves:
            if closing is None:
                raise CommandError(
                    "A ring in halves needs its closing diameter: give --closing-diameter from the "
                    "bearing maker's papers."
                )
            return self._halves(size, float(closing))
        if args.gaps is not None:
            raise CommandError("Joint gaps belong to a ring in halves; give --closing-diameter.")
        return self._closed(size)

    def _halves(self, size: SeatSize, closing_mm: float) -> HalvesFit:
        outer = self._mm_or(self._args.ring_outer, self._told.ring_outer_mm)
        gaps = self._args.gaps
        return fit_halves(
            size,
            closing_mm,
            ring_outer_mm=None if outer is None else float(outer),
            shaft_bore_mm=self._shaft_bore_mm(),
            gaps_mm=None if gaps is None else (float(self._mm(gaps[0])), float(self._mm(gaps[1]))),
        )

    def _closed(self, size: SeatSize) -> ClosedFit:
        args = self._args
        ring = self._ring()
        shaft = None
        if ring.section is not None:
            modulus = self._number(args.shaft_modulus, "--shaft-modulus", STEEL_MODULUS_MPA)
            shaft = Cylinder(self._shaft_bore_mm(), ring.section.inner_mm, modulus, STEEL_POISSON)
        shaft_k, ring_k = (self._number(text, "--expansion") for text in args.expansion)
        running = None
        if args.running is not None:
            shaft_c, ring_c = (self._number(text, "--running") for text in args.running)
            running = Warmth(shaft_c, ring_c, shaft_k, ring_k)
        outer = None
        if args.outer_raceway is not None:
            raceway, outer_c = args.outer_raceway
            outer = OuterRing(
                float(self._mm(raceway)), self._number(outer_c, "--outer-raceway"), ring_k
            )
        mounting_c = self._number(args.shaft_at, "--shaft-at", 20.0)
        limit = args.heat_limit
        return fit_closed(
            size,
            ring,
            shaft=shaft,
            running=running,
            outer=outer,
            roughness_um=self._pair(args.roughness, "--roughness"),
            friction=None if args.friction is None else self._number(args.friction, "--friction"),
            gap_um=None if args.gap is None else float(self._mm(args.gap)) * UM_PER_MM,
            mounting=Warmth(mounting_c, 20.0, shaft_k, ring_k),
            heat_limit_c=None if limit is None else self._number(limit, "--heat-limit"),
        )

    def _ring(self) -> ClosedRing:
        args, told = self._args, self._told
        bore = self._bore()
        if bore is None and self._seat is not None:
            bore = bore_of(self._seat, told)
        if bore is None:
            raise CommandError(
                "The ring's bore is not known; give --bore-class with --nominal, --bore with its "
                "limits, --measured-bore, or a --plan that names it."
            )
        outer = self._mm_or(args.ring_outer, told.ring_outer_mm)
        section = None
        if outer is not None:
            nominal = self._nominal()
            inner_mm = bore.middle_mm if nominal is None else float(nominal)
            modulus = self._number(args.ring_modulus, "--ring-modulus", STEEL_MODULUS_MPA)
            section = Cylinder(inner_mm, float(outer), modulus, STEEL_POISSON)
        clearance = (told.clearance_lower_mm, told.clearance_upper_mm)
        if args.clearance is not None:
            clearance = (self._mm(args.clearance[0]), self._mm(args.clearance[1]))
        low, high = clearance
        return ClosedRing(
            bore,
            section,
            None
            if low is None or high is None
            else (float(low) * UM_PER_MM, float(high) * UM_PER_MM),
            None if args.yield_mpa is None else self._number(args.yield_mpa, "--yield"),
            None if args.width is None else float(self._mm(args.width)),
        )

    def _bore(self) -> Bore | None:
        args = self._args
        given = [args.bore_class, args.bore, args.measured_bore]
        if sum(one is not None for one in given) > 1:
            raise CommandError("Give the bore once: by class, by limits, or as measured.")
        if args.bore_class is not None:
            nominal = self._nominal()
            if nominal is None:
                raise CommandError("--bore-class needs the nominal bore; give --nominal.")
            return bore_by_class(nominal, args.bore_class)
        if args.bore is not None:
            lower, upper = (self._mm(text) for text in args.bore)
            return Bore(lower, upper, "limits of the bore as stated")
        if args.measured_bore is not None:
            size, expanded = (self._mm(text) for text in args.measured_bore)
            return measured_bore(size, expanded)
        return None

    def _nominal(self) -> Decimal | None:
        if self._args.nominal is not None:
            return self._mm(self._args.nominal)
        return None if self._seat is None else self._seat.nominal_mm

    def _shaft_bore_mm(self) -> float:
        bore = self._mm_or(self._args.shaft_bore, self._told.shaft_bore_mm)
        return 0.0 if bore is None else float(bore)

    def _mm_or(self, text: str | None, planned: Decimal | None) -> Decimal | None:
        return planned if text is None else self._mm(text)

    def _mm(self, text: str) -> Decimal:
        return to_mm(parse_length(text), self._unit)

    def _pair(self, texts: list[str] | None, option: str) -> tuple[float, float] | None:
        if texts is None:
            return None
        return self._number(texts[0], option), self._number(texts[1], option)

    @staticmethod
    def _number(text: str | None, option: str, default: float | None = None) -> float:
        if text is None:
            assert default is not None  # options without a default are asked for when given
            return default
        try:
            value = float(text)
        except ValueError as error:
            raise CommandError(f'{option}: "{text}" is not a number.') from error
        if not -inf < value < inf:
            raise CommandError(f'{option}: "{text}" is not a finite number.')
        return value
