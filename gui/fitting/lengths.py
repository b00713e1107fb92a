"""Lengths of a fitting as they come from a gauge or are typed, and limits in words; no Qt."""

from seatproof.core.plan.fields import length_text
from seatproof.core.plan.fitting import QuantityStep, ValueStep
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import GaugeInService, MeasuredValue, Received
from seatproof.core.units import Unit, to_mm
from seatproof.devices.formats import Reading
from seatproof.gui.intake import typed_value
from seatproof.gui.shared.saying import again, say, typed_number


def typed_length(text: str, unit: Unit) -> MeasuredValue:
    """Return a length that somebody read off, in the plan's unit.

    Raises
    ------
    CommandRefusedError
        It is no number with a decimal sign.
    """
    value = typed_value(typed_number(text))
    if value is None:
        raise CommandRefusedError(
            say(
                "“{typed}” is no length; write it with a decimal point, in {unit}.",
                typed=text,
                unit=unit,
            )
        )
    return MeasuredValue(
        value=str(value), unit=unit.value, value_mm=f"{to_mm(value, unit):f}", by_hand=True
    )


def sent_length(reading: Reading, arrival: int, gauge: GaugeInService) -> MeasuredValue:
    """Return a length that a gauge sent, with its bytes."""
    unit = reading.unit or Unit(gauge.unit)
    value_mm = f"{to_mm(reading.value, unit):f}"
    received = Received(
        value=reading.value_text,
        unit=unit.value,
        value_mm=value_mm,
        text=reading.text,
        raw_hex=reading.raw.hex(),
        format=reading.format,
        channel=reading.channel,
        gauge=gauge.inventory_number,
        arrival=arrival,
    )
    return MeasuredValue(
        value=reading.value_text, unit=unit.value, value_mm=value_mm, received=received
    )


def limits_words(step: ValueStep | QuantityStep, unit: Unit) -> str:
    """Say the limits of a step; empty where there are none."""
    if isinstance(step, ValueStep):
        low, high = (
            None if end is None else length_text(end, unit)
            for end in (step.lower_mm, step.upper_mm)
        )
    else:
        low, high = (
            None if end is None else f"{end} {step.unit}" for end in (step.lower, step.upper)
        )
    if low and high:
        return say("{low} to {high}", low=low, high=high)
    return again(f"≥ {low}") if low else again(f"≤ {high}") if high else ""
