"""Units of torque: exact factors, and decimals that stay exact until they are a torque."""

from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Final, get_args

from seatproof.core.plan.fitting import TorqueUnit

TORQUE_UNITS: Final[tuple[TorqueUnit, ...]] = get_args(TorqueUnit)

# Exact by definition: 1 lb = 0.453 592 37 kg, g = 9.806 65 m/s², 1 ft = 0.3048 m, 12 in = 1 ft.
_LBF_FT_IN_N_M: Final = Fraction("0.45359237") * Fraction("9.80665") * Fraction("0.3048")
_IN_N_M: Final[dict[TorqueUnit, Fraction]] = {
    "N m": Fraction(1),
    "lbf ft": _LBF_FT_IN_N_M,
    "lbf in": _LBF_FT_IN_N_M / 12,
}
_DIGITS: Final = 12  # significant ones of a quotient that never ends


def convert_torque(value: Decimal, unit: TorqueUnit, to: TorqueUnit) -> Decimal:
    """Convert a torque; exact where its decimals end, otherwise to twelve significant digits.

    >>> convert_torque(Decimal("30"), "lbf ft", "N m")
    Decimal('40.674538449942012')
    >>> convert_torque(Decimal("40.674538449942012"), "N m", "lbf ft")
    Decimal('30')
    >>> convert_torque(Decimal("2.5"), "lbf ft", "lbf in")
    Decimal('30')
    """
    if unit == to:
        return value
    exact = Fraction(value) * _IN_N_M[unit] / _IN_N_M[to]
    with localcontext() as context:
        context.prec = 60
        quotient = Decimal(exact.numerator) / Decimal(exact.denominator)
        if Fraction(quotient) == exact:
            return _plain(quotient)
        context.prec = _DIGITS
        return _plain(+quotient)


def torque_text(value: Decimal) -> str:
    """Write a torque without its unit, to four significant digits behind its whole part.

    >>> torque_text(Decimal("40.674538449942012")), torque_text(Decimal("20.0"))
    ('40.67', '20.0')
    """
    exponent = value.as_tuple().exponent
    few = isinstance(exponent, int) and exponent >= -2
    return f"{value:f}" if few else f"{value:.2f}"


def _plain(value: Decimal) -> Decimal:
    """Take superfluous zeros off, without making an exponent of the others."""
    whole = value.to_integral_value()
    return whole.quantize(Decimal(1)) if value == whole else value.normalize()
