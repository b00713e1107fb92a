"""Field types of a plan: lengths written in the plan's own unit, held in millimetres, exact.

The unit travels as pydantic's validation context (``{"unit": Unit}``), so that every length in a
validated plan is already in millimetres and no other code has to ask how the plan was written.
"""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, Any, Final

from pydantic import (
    AfterValidator,
    BeforeValidator,
    SerializationInfo,
    StringConstraints,
    ValidationInfo,
    WrapSerializer,
)
from pydantic_core import PydanticCustomError

from seatproof.core.quantities import QuantityError, parse_length
from seatproof.core.units import Unit, from_mm, to_mm

MAX_LENGTH_MM: Final = Decimal(100_000)  # a shaft of 100 m is a slip of the pen, not a shaft

# What is more than any drawing has could not be kept exact within 28 digits of decimal arithmetic.
_MOST_DIGITS_BEFORE: Final = 9
_MOST_DIGITS_AFTER: Final = 12


def plan_unit(context: Any) -> Unit:
    """Return the unit that the context names; millimetres where it names none."""
    return context.get("unit", Unit.MM) if isinstance(context, Mapping) else Unit.MM


def refusal(sentence: str) -> PydanticCustomError:
    """Return the error by which a validator refuses a value: what is wrong, and the mend."""
    return PydanticCustomError("plan", "{sentence}", {"sentence": sentence})


def length_text(length_mm: Decimal, unit: Unit) -> str:
    """Say a length in the plan's unit, without superfluous zeros.

    A metric length without a short inch decimal is rounded to a billionth of an inch.

    >>> length_text(Decimal("100.0125"), Unit.INCH), length_text(Decimal(1), Unit.INCH)
    ('3.9375 in', '0.039370079 in')
    """
    length = from_mm(length_mm, unit)
    if unit is not Unit.MM:
        length = round(length, 9)
    return f"{length.normalize():f} {unit}"


def number(value: Any) -> Decimal:
    """Read a number as TOML gives it (integer, exact decimal) or as text such as ``3 15/16``."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal | str):
        raise refusal("is not a number; write it as 110 or 110.5")
    if isinstance(value, str):
        try:
            return parse_length(value)
        except QuantityError as error:
            raise refusal(str(error)) from error
    # An integer goes in as it is: Python refuses to write one of thousands of digits as text.
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not exact.is_finite():
        raise refusal("is not a finite number; write it as 110 or 110.5")
    _, digits, exponent = exact.as_tuple()
    assert isinstance(exponent, int)  # a finite number has no letter for its exponent
    if exact and (len(digits) + exponent > _MOST_DIGITS_BEFORE or exponent < -_MOST_DIGITS_AFTER):
        raise refusal(
            f"has too many digits; at most {_MOST_DIGITS_BEFORE} before and {_MOST_DIGITS_AFTER} "
            "after the point can be used"
        )
    return exact or Decimal(0)


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


_CONTROL: Final = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")


def _on_one_line(text: str) -> str:
    if _CONTROL.search(text):
        raise refusal("holds a line break or a control character; write it on one line")
    return text


def _without_controls(text: str) -> str:
    if _CONTROL.search(text.replace("\n", "").replace("\t", "")):
        raise refusal("holds a control character; take it out")
    return text


Text = Annotated[
    str, StringConstraints(strip_whitespace=True, max_length=200), AfterValidator(_on_one_line)
]
Name = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=200),
    AfterValidator(_on_one_line),
]
Remark = Annotated[
    str,
    StringConstraints(strip_whitespace=True, max_length=10_000),
    AfterValidator(_without_controls),
]
