"""Field types of a plan: lengths written in the plan's own unit, held in millimetres, exact.

The unit travels as pydantic's validation context (``{"unit": Unit}``), so that every length in a
validated plan is already in millimetres and no other code has to ask how the plan was written.
"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, Any

from pydantic import (
    BeforeValidator,
    SerializationInfo,
    StringConstraints,
    ValidationInfo,
    WrapSerializer,
)
from pydantic_core import PydanticCustomError

from seatproof.core.quantities import QuantityError, parse_length
from seatproof.core.units import Unit, from_mm, to_mm

MAX_LENGTH_MM = Decimal(100_000)  # a shaft of 100 m is a slip of the pen, not a shaft


def plan_unit(context: Any) -> Unit:
    """Return the unit that the context names; millimetres where it names none."""
    return context.get("unit", Unit.MM) if isinstance(context, Mapping) else Unit.MM


def refusal(sentence: str) -> PydanticCustomError:
    """Return the error by which a validator refuses a value: what is wrong, and the mend."""
    return PydanticCustomError("plan", "{sentence}", {"sentence": sentence})


def length_text(length_mm: Decimal, unit: Unit) -> str:
    """Say a length in the plan's unit, without superfluous zeros.

    >>> length_text(Decimal("100.0125"), Unit.INCH)
    '3.9375 in'
    """
    return f"{from_mm(length_mm, unit).normalize():f} {unit}"


def number(value: Any) -> Decimal:
    """Read a number as TOML gives it (integer, exact decimal) or as text such as ``3 15/16``."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal | str):
        raise refusal("is not a number; write it as 110 or 110.5")
    if isinstance(value, str):
        try:
            return parse_length(value)
        except QuantityError as error:
            raise refusal(str(error)) from error
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    if not exact.is_finite():
        raise refusal("is not a finite number; write it as 110 or 110.5")
    return exact


def _length_in_mm(value: Any, info: ValidationInfo) -> Decimal:
    length_mm = to_mm(number(value), plan_unit(info.context))
    if abs(length_mm) > MAX_LENGTH_MM:
        raise refusal(f"is beyond {MAX_LENGTH_MM} mm; check the number and the plan's unit")
    return length_mm


def _length_in_plan_unit(value: Any, handler: Any, info: SerializationInfo) -> Any:
    del handler
    return from_mm(value, plan_unit(info.context)) if isinstance(value, Decimal) else value


LengthMm = Annotated[Decimal, BeforeValidator(_length_in_mm), WrapSerializer(_length_in_plan_unit)]
Number = Annotated[Decimal, BeforeValidator(number)]
Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)]
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]
Remark = Annotated[str, StringConstraints(strip_whitespace=True, max_length=10_000)]
