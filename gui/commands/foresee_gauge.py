"""The gauge that ``seatproof foresee`` is told of on the command line."""

import argparse
from decimal import Decimal
from typing import Final

from seatproof.core.foresight.ahead import GaugeAhead
from seatproof.core.quantities import parse_length
from seatproof.core.uncertainty.gauge import CurvePoint, Evidence, GaugeFacts, SettingStandard
from seatproof.core.units import UM_PER_MM, Unit, to_mm
from seatproof.gui.commands.errors import CommandError

_FACTOR: Final = 2.0  # coverage factor of certificates


def add_gauge_options(parser: argparse.ArgumentParser) -> None:
    """Add what can be said of the gauge and of the temperatures."""
    group = parser.add_argument_group(
        "the gauge (for a plan that works with a budget; a record names its own)"
    )
    group.add_argument("--step", metavar="LENGTH", help="the gauge's smallest step")
    group.add_argument(
        "--permissible-error", metavar="LENGTH", help="the maker's limit of its error, one side"
    )
    group.add_argument(
        "--certificate",
        nargs=2,
        metavar=("SIZE", "U"),
        action="append",
        help="a calibrated size and its U (k = 2), the error curve being applied; repeatable",
    )
    group.add_argument(
        "--standard", nargs=2, metavar=("SIZE", "U"), help="a setting standard and its U (k = 2)"
    )
    group.add_argument(
        "--evidence",
        choices=[evidence.value for evidence in Evidence],
        help="what the gauge's error is taken from; the best that is stated unless named",
    )
    group.add_argument(
        "--temperatures",
        nargs=2,
        metavar=("SHAFT_C", "GAUGE_C"),
        default=("20", "20"),
        help="of shaft and gauge while measuring, °C (20 and 20 unless stated)",
    )
    group.add_argument(
        "--gauge-expansion",
        metavar="PER_K",
        default="11.5e-6",
        help="expansion of the gauge per kelvin (steel unless stated)",
    )


def gauge_from(args: argparse.Namespace, unit: Unit) -> GaugeAhead | None:
    """Return the gauge as described; None where nothing was said of it.

    Raises
    ------
    CommandError
        What was said is not enough, or no number.
    """
    said = (args.permissible_error, args.certificate, args.standard, args.evidence)
    if args.step is None:
        if any(one is not None for one in said):
            raise CommandError("State the gauge's smallest step too, with --step.")
        return None
    step_mm = _mm(args.step, unit)
    if step_mm <= 0:
        raise CommandError("--step: the step of a gauge is above zero.")
    curve = tuple(
        CurvePoint(float(_mm(size, unit)), 0.0, float(_mm(u, unit)) * UM_PER_MM, _FACTOR)
        for size, u in args.certificate or ()
    )
    standard = None
    if args.standard is not None:
        size, u = args.standard
        standard = SettingStandard(float(_mm(size, unit)), float(_mm(u, unit)) * UM_PER_MM, _FACTOR)
    limit = args.permissible_error
    shaft_c, gauge_c = (_number(text, "--temperatures") for text in args.temperatures)
    return GaugeAhead(
        GaugeFacts(
            step_um=float(step_mm) * UM_PER_MM,
            permissible_error_um=None if limit is None else float(_mm(limit, unit)) * UM_PER_MM,
            curve=curve,
            standard=standard,
            evidence=_evidence(args.evidence, curve, standard),
        ),
        expansion_per_kelvin=_number(args.gauge_expansion, "--gauge-expansion"),
        shaft_c=shaft_c,
        gauge_c=gauge_c,
    )


def _evidence(
    named: str | None, curve: tuple[CurvePoint, ...], standard: SettingStandard | None
) -> Evidence:
    if named is not None:
        return Evidence(named)
    if curve:
        return Evidence.CERTIFICATE
    return Evidence.PERMISSIBLE_ERROR if standard is None else Evidence.SETTING_STANDARD


def _mm(text: str, unit: Unit) -> Decimal:
    return to_mm(parse_length(text), unit)


def _number(text: str, option: str) -> float:
    try:
        value = float(text)
    except ValueError as error:
        raise CommandError(f'{option}: "{text}" is not a number.') from error
    if not -300.0 < value < 1000.0:
        raise CommandError(f'{option}: "{text}" cannot be meant.')
    return value
