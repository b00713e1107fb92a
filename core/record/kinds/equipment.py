"""Events about what is measured with: gauges, setting standards, checks, temperatures."""

from typing import Annotated, Final, Literal

from pydantic import Field, model_validator

from seatproof.core.record.kinds.parts import (
    DecimalText,
    Label,
    Note,
    Number,
    Part,
    Payload,
    PositiveText,
    Received,
)

Occasion = Literal[
    "start", "time", "temperature", "knock", "battery", "gauge", "person", "end", "other"
]


class CalibrationPoint(Part):
    """One line of a calibration certificate: error of indication at a size, with its uncertainty.

    `error_mm` is indication minus true size; `expanded_mm` is U with `coverage_factor`.
    """

    size_mm: DecimalText
    error_mm: DecimalText
    expanded_mm: PositiveText
    coverage_factor: PositiveText = "2"


# The source of a gauge without a wire; its values are typed by hand.
NO_LINE: Final = "none"


class GaugeInService(Payload):
    """The gauge that the following readings come from.

    `seats` are the ids of those that it serves; empty for all. `permissible_error_mm` is a
    half-width. `taking` says how its presses become readings: each one, or one value of a stretch
    of `window_s` seconds; `asked` what asks a gauge that sends only on request.
    """

    kind = "gauge in service"
    inventory_number: Number
    description: str = ""
    serial_number: str = ""
    unit: Literal["mm", "in"]
    resolution: DecimalText
    expansion_per_kelvin: DecimalText = "0.0000115"
    source: str
    format: str
    calibration_due: str = ""
    certificate: str = ""
    simulated: bool = False
    seats: tuple[str, ...] = ()
    range_from_mm: DecimalText | None = None
    range_to_mm: DecimalText | None = None
    permissible_error_mm: PositiveText | None = None
    error_curve: Annotated[tuple[CalibrationPoint, ...], Field(max_length=200)] = ()
    evidence: Literal["permissible error", "certificate", "setting standard"] = "permissible error"
    calibration_date: str = ""
    override_reason: Note = ""
    taking: Literal["each", "confirmed", "last", "maximum", "minimum", "stable"] = "each"
    window_s: PositiveText = "5"
    asked: Literal["", "key", "timer"] = ""
    ask_every_s: PositiveText = "2"


class StandardInService(Payload):
    """A setting standard on which gauges are checked; `size_mm` is its actual size at 20 °C."""

    kind = "standard in service"
    inventory_number: Number
    description: Label = ""
    serial_number: Label = ""
    size_mm: PositiveText
    expanded_mm: PositiveText
    coverage_factor: PositiveText = "2"
    expansion_per_kelvin: DecimalText = "0.0000115"
    calibration_date: Label = ""
    calibration_due: Label = ""
    certificate: Label = ""
    seats: tuple[str, ...] = ()
    override_reason: Note = ""


class ReferenceCheck(Payload):
    """A gauge was checked on a setting standard, or at zero where `standard` is empty.

    `expected_mm` is what it should show there and then; `received` what it showed, press by press.
    """

    kind = "reference check"
    phase: Literal["opening", "between", "closing"]
    occasion: Occasion
    gauge: Number
    standard: Label = ""
    expected_mm: DecimalText
    received: Annotated[tuple[Received, ...], Field(min_length=1, max_length=100)]
    shaft_c: DecimalText | None = None
    gauge_c: DecimalText | None = None
    standard_c: DecimalText | None = None
    note: Note = ""


class Temperatures(Payload):
    """Temperatures of shaft and gauge, and of the setting standard where it was taken, in °C."""

    kind = "temperatures"
    shaft_c: DecimalText
    gauge_c: DecimalText
    standard_c: DecimalText | None = None


class Attention(Payload):
    """Something happened to a gauge (all of them where it is not named) that asks for a check."""

    kind = "attention"
    what: Occasion
    gauge: Label = ""
    note: Note = ""

    @model_validator(mode="after")
    def _other_things_are_told(self) -> "Attention":
        if self.what == "other" and not self.note.strip():
            raise ValueError("say in the note what happened")
        return self
