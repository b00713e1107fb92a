"""``seatproof limits``: the limits of a tolerance class at a nominal size, by ISO 286."""

import argparse
import json
import re
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import TYPE_CHECKING, Final

from seatproof.core.limits.iso286 import ClassLimits, class_limits
from seatproof.core.quantities import QuantityError, parse_length, plain_text
from seatproof.core.units import Unit, from_mm, to_mm
from seatproof.gui.commands.errors import CommandError

if TYPE_CHECKING:
    # argparse gives the type of its own return value no public name.
    from argparse import _SubParsersAction

# 0.000001 in = 0.0254 µm: finer than any zone of the tables, the narrowest of which has 0.3 µm.
_INCH_STEP: Final = Decimal("0.000001")

_ONE_WORD: Final = re.compile(r"([\d\s./,]+)([A-Za-z]+\d+)")

_DESCRIPTION: Final = "Print the limits of a tolerance class at a nominal size, by ISO 286."
_CAUTION: Final = (
    "Which class a bearing seat needs is stated by its drawing or by the bearing maker's "
    "instructions. Inch tables of bearing makers may differ from ISO 286."
)


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "limits",
        help="print the limits of a tolerance class",
        description=_DESCRIPTION,
        epilog=_CAUTION,
    )
    parser.add_argument(
        "nominal",
        metavar="NOMINAL",
        help='nominal size, such as 110; with --unit in also a fraction, in quotes: "3 15/16"',
    )
    parser.add_argument(
        "tolerance_class",
        metavar="CLASS",
        nargs="?",
        help="tolerance class: small letters for a shaft (k6), capital ones for a hole (H7)",
    )
    parser.add_argument(
        "--unit",
        choices=(Unit.MM.value, Unit.INCH.value),
        default=Unit.MM.value,
        help="unit of the nominal size (mm unless stated)",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON document, in mm and µm")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the limits asked for and return the exit status.

    Raises
    ------
    QuantityError
        The nominal size cannot be read.
    LimitsError
        ISO 286 has no such class at this size.
    """
    unit = Unit(args.unit)
    if unit is Unit.MM and "/" in args.nominal:
        # Read as millimetres it would give the limits of a part 25 times smaller, and say nothing.
        raise QuantityError(args.nominal, "a fraction is a size in inches; add --unit in")
    nominal, tolerance_class = _split(args.nominal, args.tolerance_class)
    limits = class_limits(to_mm(parse_length(nominal), unit), tolerance_class)
    print(json.dumps(_as_json(limits)) if args.json else _as_text(limits, unit))
    return 0


def _split(nominal: str, tolerance_class: str | None) -> tuple[str, str]:
    """Return size and class, which drawings write as one word: 110k6."""
    if tolerance_class is not None:
        return nominal, tolerance_class
    found = _ONE_WORD.fullmatch(nominal)
    if found is None:
        raise CommandError(f'"{nominal}" names no tolerance class: write 110 k6 or 110k6.')
    return found[1], found[2]


def _as_json(limits: ClassLimits) -> dict[str, str | float]:
    # A float prints as the decimal it was made of, up to 15 digits: far below a nanometre here.
    return {
        "nominal_mm": float(limits.nominal_mm),
        "class": limits.tolerance_class,
        "upper_um": float(limits.upper_um),
        "lower_um": float(limits.lower_um),
        "max_mm": float(limits.max_mm),
        "min_mm": float(limits.min_mm),
    }


def _as_text(limits: ClassLimits, unit: Unit) -> str:
    nominal = f"{plain_text(limits.nominal_mm)} mm"
    # Both sizes keep the zeros of their sum, so that their points stand below each other.
    upper_size, lower_size = (f"{size:>12f} mm" for size in (limits.max_mm, limits.min_mm))
    if unit is Unit.INCH:
        nominal = f"{plain_text(from_mm(limits.nominal_mm, unit))} in ({nominal})"
        upper_size += f"  ({_inches(limits.max_mm, ROUND_FLOOR)})"
        lower_size += f"  ({_inches(limits.min_mm, ROUND_CEILING)})"
    kind = "shaft" if limits.tolerance_class.islower() else "hole"
    lines = [
        f"{nominal}, {kind} {limits.tolerance_class}, ISO 286",
        f"  upper limit deviation  {_signed(limits.upper_um):>12} µm",
        f"  lower limit deviation  {_signed(limits.lower_um):>12} µm",
        f"  tolerance              {plain_text(limits.tolerance_um):>12} µm",
        f"  upper limit of size    {upper_size}",
        f"  lower limit of size    {lower_size}",
    ]
    if unit is Unit.INCH:
        lines.append("Inch limits are rounded into the tolerance zone; those in mm are exact.")
    return "\n".join(lines)


def _signed(deviation_um: Decimal) -> str:
    return f"{'+' if deviation_um > 0 else ''}{plain_text(deviation_um)}"


def _inches(size_mm: Decimal, rounding: str) -> str:
    return f"{from_mm(size_mm, Unit.INCH).quantize(_INCH_STEP, rounding=rounding)} in"
