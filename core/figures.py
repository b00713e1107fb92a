"""Numbers as people read them: the one place where a result is rounded and given its unit.

Every number that a screen, a table or a sheet shows goes through here, so that they agree. Signs
are typographic (− and not -); rounding is half to even on the exact binary value.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Final

from seatproof.core.units import UM_PER_MM, Unit, from_mm

MINUS: Final = "−"
NOTHING: Final = "–"  # stands where there is no value

_SIZE_DECIMALS: Final = {Unit.MM: 4, Unit.INCH: 6}
_LIMIT_DECIMALS: Final = 7  # a limit that is set in inches has no more
_POSITION_DECIMALS: Final = {Unit.MM: 3, Unit.INCH: 4}
_SMALL_DECIMALS: Final = {Unit.MM: 1, Unit.INCH: 6}  # of µm, of in


def size(size_mm: float | Decimal | None, unit: Unit) -> str:
    """Write a size in the plan's unit, one digit finer than the gauge's step, without the unit.

    >>> size(110.01234, Unit.MM), size(100.0125, Unit.INCH), size(None, Unit.MM)
    ('110.0123', '3.937500', '–')
    """
    if size_mm is None:
        return NOTHING
    return _signed(f"{_in_unit(size_mm, unit):.{_SIZE_DECIMALS[unit]}f}")


def size_unit(size_mm: float | Decimal | None, unit: Unit) -> str:
    """Write a size with its unit."""
    return NOTHING if size_mm is None else f"{size(size_mm, unit)} {unit}"


def limits(lower_mm: Decimal, upper_mm: Decimal, unit: Unit) -> tuple[str, str]:
    """Write the limits of size exactly as they are set, without the unit.

    A metric limit without a short inch decimal is rounded into the tolerance zone, never out of it.

    >>> limits(Decimal("110.003"), Decimal("110.025"), Unit.MM)
    ('110.003', '110.025')
    >>> limits(Decimal("99.9775"), Decimal("100.0125"), Unit.INCH)
    ('3.936123', '3.9375')
    """
    lower, upper = (
        _limit(size_mm, unit, rounding)
        for size_mm, rounding in ((lower_mm, ROUND_CEILING), (upper_mm, ROUND_FLOOR))
    )
    return lower, upper


def small(length_um: float | None, unit: Unit, *, sign: bool = False) -> str:
    """Write a small length: in µm for a metric plan, in inches for an inch plan.

    >>> small(2.345, Unit.MM), small(-2.54, Unit.INCH), small(3.0, Unit.MM, sign=True)
    ('2.3 µm', '−0.000100 in', '+3.0 µm')
    """
    if length_um is None:
        return NOTHING
    return f"{small_number(length_um, unit, sign=sign)} {small_unit(unit)}"


def small_number(length_um: float | None, unit: Unit, *, sign: bool = False) -> str:
    """Write a small length without its unit; see `small_unit`."""
    if length_um is None:
        return NOTHING
    value = length_um if unit is Unit.MM else _in_unit(length_um / UM_PER_MM, unit)
    text = f"{value:{'+' if sign else ''}.{_SMALL_DECIMALS[unit]}f}"
    return _signed(_without_negative_zero(text))


def small_unit(unit: Unit) -> str:
    """Return the unit that small lengths have in a plan of this unit."""
    return Unit.UM.sign if unit is Unit.MM else Unit.INCH.value


def tolerance(limit_um: float, unit: Unit) -> str:
    """Write a tolerance or a scale exactly as it was set, without superfluous zeros.

    >>> tolerance(7.5, Unit.MM), tolerance(15.24, Unit.INCH)
    ('7.5 µm', '0.0006 in')
    """
    value = limit_um if unit is Unit.MM else _in_unit(limit_um / UM_PER_MM, unit)
    return f"{Decimal(f'{value:.7f}').normalize():f} {small_unit(unit)}"


def uncertainty(expanded_um: float | None, unit: Unit) -> str:
    """Write an expanded uncertainty, rounded up so that it is never understated.

    >>> uncertainty(2.01, Unit.MM), uncertainty(3.0, Unit.MM)
    ('2.1 µm', '3.0 µm')
    """
    if expanded_um is None:
        return NOTHING
    value = expanded_um if unit is Unit.MM else _in_unit(expanded_um / UM_PER_MM, unit)
    step = Decimal(1).scaleb(-_SMALL_DECIMALS[unit])
    # A binary 3.0000000000000004 is meant as 3: shave off what is below any figure's meaning.
    exact = Decimal(f"{value:.9f}")
    return f"{exact.quantize(step, rounding=ROUND_CEILING):f} {small_unit(unit)}"


def angle(angle_deg: float | Decimal) -> str:
    """Write an angle without superfluous zeros.

    >>> angle(30.0), angle(22.5)
    ('30°', '22.5°')
    """
    return f"{Decimal(f'{float(angle_deg):.2f}').normalize():f}°"


def position(z_mm: float | Decimal, unit: Unit) -> str:
    """Write an axial position in the plan's unit, without the unit.

    >>> position(158.0, Unit.MM), position(39.6875, Unit.INCH)
    ('158', '1.5625')
    """
    text = f"{_in_unit(z_mm, unit):.{_POSITION_DECIMALS[unit]}f}"
    return f"{Decimal(text).normalize():f}"


def received(text: str) -> str:
    """Write a value as the gauge sent it: every digit kept, only the minus sign made readable."""
    return _signed(text)


def _in_unit(length_mm: float | Decimal, unit: Unit) -> float:
    return float(length_mm) if unit is Unit.MM else float(from_mm(length_mm, unit))


def _limit(size_mm: Decimal, unit: Unit, rounding: str) -> str:
    exact = from_mm(size_mm, unit).normalize()
    exponent = exact.as_tuple().exponent
    if unit is not Unit.MM and isinstance(exponent, int) and -exponent > _LIMIT_DECIMALS:
        exact = exact.quantize(Decimal(1).scaleb(-_SIZE_DECIMALS[unit]), rounding=rounding)
    return f"{exact:f}"


def _without_negative_zero(text: str) -> str:
    """Write a value that rounds to zero without a sign that would say it is not."""
    return text.lstrip("+-") if not text.strip("+-0.") else text


def _signed(text: str) -> str:
    return text.replace("-", MINUS)
