"""``seatproof fit``: how a bearing ring will sit on a seat as it was measured."""

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from seatproof.core.fit.bore import BORE_CLASSES
from seatproof.core.fit.closed import ClosedFit
from seatproof.core.fit.errors import FitError
from seatproof.core.fit.halves import HalvesFit
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.fit_request import Request, seat_of_plan
from seatproof.gui.commands.fit_text import as_text

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_DESCRIPTION: Final = (
    "Estimate how a bearing ring will sit on a seat as it was measured: interference, pressure, "
    "stress, what is left of the internal clearance, heat for slipping on; for a ring in halves "
    "the opening at its joints."
)
_CAUTION: Final = (
    "An estimate, never an acceptance. Bore, section, clearance, stress and heat limits belong to "
    "the bearing's maker, whose instructions come first. Lengths are in the stated unit."
)
_STEEL_EXPANSION: Final = "11.5e-6"


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "fit",
        help="estimate how a ring will sit on a seat as measured",
        description=_DESCRIPTION,
        epilog=_CAUTION,
    )
    add = parser.add_argument
    add("sizes", metavar="SIZE", nargs="+", help="local sizes of the seat as measured, at 20 °C")
    add("--uncertainty", metavar="U", required=True, help="expanded uncertainty of a size")
    add("--unit", choices=("mm", "in"), help="unit of every length (the plan's, or mm)")
    add("--plan", type=Path, metavar="PLAN", help="a plan that describes the ring")
    add("--seat", metavar="ID", help="with --plan: which seat of it")
    bore = parser.add_argument_group("the ring's bore (one of these, or a plan)")
    bore.add_argument("--nominal", metavar="SIZE", help="nominal bore")
    bore.add_argument(
        "--bore-class", metavar="CLASS", help=f"ISO 492: {', '.join(BORE_CLASSES)}; needs --nominal"
    )
    bore.add_argument("--bore", nargs=2, metavar=("LOWER", "UPPER"), help="limits of the bore")
    bore.add_argument("--measured-bore", nargs=2, metavar=("SIZE", "U"), help="bore as measured")
    ring = parser.add_argument_group("the ring and the shaft")
    ring.add_argument(
        "--ring-outer", metavar="SIZE", help="outside diameter of a ring of equal stiffness"
    )
    ring.add_argument("--shaft-bore", metavar="SIZE", help="bore of a hollow shaft")
    ring.add_argument(
        "--clearance", nargs=2, metavar=("LEAST", "MOST"), help="internal clearance before fitting"
    )
    ring.add_argument("--yield", dest="yield_mpa", metavar="MPA", help="yield strength of the ring")
    ring.add_argument("--ring-modulus", metavar="MPA", help="modulus of elasticity of the ring")
    ring.add_argument("--shaft-modulus", metavar="MPA", help="modulus of elasticity of the shaft")
    ring.add_argument(
        "--roughness", nargs=2, metavar=("SHAFT", "BORE"), help="Ra of both, always in µm"
    )
    ring.add_argument("--width", metavar="SIZE", help="width of the ring, for the axial grip")
    ring.add_argument("--friction", metavar="MU", help="coefficient of friction, for the grip")
    warm = parser.add_argument_group("temperatures")
    warm.add_argument(
        "--running", nargs=2, metavar=("SHAFT_C", "RING_C"), help="shaft and ring while running, °C"
    )
    warm.add_argument(
        "--expansion",
        nargs=2,
        metavar=("SHAFT", "RING"),
        default=(_STEEL_EXPANSION, _STEEL_EXPANSION),
        help="expansion of shaft and ring per kelvin (steel, 11.5e-6, unless stated)",
    )
    warm.add_argument(
        "--outer-raceway",
        nargs=2,
        metavar=("SIZE", "C"),
        help="raceway diameter of the outer ring and its temperature while running",
    )
    warm.add_argument("--gap", metavar="SIZE", help="diametral gap for slipping the warm ring on")
    warm.add_argument("--shaft-at", metavar="C", help="shaft's temperature while mounting (20)")
    warm.add_argument("--heat-limit", metavar="C", help="the maker's limit for warming the ring")
    halves = parser.add_argument_group("a ring in halves")
    halves.add_argument(
        "--closing-diameter", metavar="SIZE", help="shaft diameter on which the joints just close"
    )
    halves.add_argument(
        "--gaps", nargs=2, metavar=("ONE", "OTHER"), help="joint gaps found after clamping"
    )
    add("--json", action="store_true", help="print one JSON document, in mm, µm, MPa and °C")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the estimate and return the exit status.

    Raises
    ------
    CommandError
        The ring is not described well enough, or what is described cannot be.
    """
    try:
        seat, unit = seat_of_plan(args)
        found = Request(args, seat, unit).fit()
    except FitError as error:
        raise CommandError(str(error)) from error
    print(json.dumps(_as_json(found)) if args.json else as_text(found, unit))
    return 0


def _as_json(found: ClosedFit | HalvesFit) -> dict[str, Any]:
    if isinstance(found, HalvesFit):
        return {
            "ring": "halves",
            "closing_mm": found.closing_mm,
            "smallest": asdict(found.smallest),
            "probable": asdict(found.probable),
            "largest": asdict(found.largest),
            "told_by_gaps_mm": found.told_by_gaps_mm,
            "warnings": list(found.warnings),
        }
    return {
        "ring": "closed",
        "bore_lower_mm": float(found.ring.bore.lower_mm),
        "bore_upper_mm": float(found.ring.bore.upper_mm),
        "bore_source": found.ring.bore.source,
        "room": asdict(found.room),
        "running": None if found.running is None else asdict(found.running),
        "smoothing": [asdict(one) for one in found.smoothing],
        "grip_n": found.grip_n,
        "mounting": None if found.mounting is None else asdict(found.mounting),
        "warnings": list(found.warnings),
    }
