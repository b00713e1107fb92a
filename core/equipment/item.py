"""A piece of equipment as its papers describe it."""

from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Final, Literal

from pydantic import AfterValidator, Field, model_validator

from seatproof.core.record.kinds.equipment import (
    CalibrationPoint,
    GaugeInService,
    StandardInService,
)
from seatproof.core.record.kinds.parts import (
    DecimalText,
    Label,
    Note,
    Number,
    Part,
    PositiveText,
)

DEFAULT_WARNING_DAYS: Final = 30


class ItemKind(StrEnum):
    """What a piece of equipment is."""

    MICROMETER = "micrometer"
    INDICATOR = "indicator"
    STANDARD = "setting standard"
    VEE_BLOCK = "vee block"
    THERMOMETER = "thermometer"
    TORQUE_TOOL = "torque tool"

    @property
    def sends_lengths(self) -> bool:
        """Whether its values are lengths that readings are made of."""
        return self in (ItemKind.MICROMETER, ItemKind.INDICATOR)


def _iso_date(text: str) -> str:
    if text:
        date.fromisoformat(text)
    return text


DateText = Annotated[str, AfterValidator(_iso_date)]


class Certificate(Part):
    """A calibration certificate; `sha256` is that of its file, where the archive keeps it."""

    number: Label = ""
    laboratory: Label = ""
    calibrated: DateText = ""
    due: DateText = ""
    error_curve: Annotated[tuple[CalibrationPoint, ...], Field(max_length=200)] = ()
    sha256: Annotated[str, Field(pattern=r"^([0-9a-f]{64})?$")] = ""

    @model_validator(mode="after")
    def _due_comes_after_calibrated(self) -> "Certificate":
        if self.calibrated and self.due and self.due < self.calibrated:
            raise ValueError("the calibration is due before it was made; correct one of the dates")
        return self


class LineOfGauge(Part):
    """How a gauge is connected: its adapter, and how it writes its values.

    `adapter` is the USB identity of the adapter (vendor:product:serial) by which a renumbered port
    is found again; `format_name` or `format_toml` say how values are read, `settings` the line's
    speed and frame such as ``9600 8N1``.
    """

    source: Label = ""
    adapter: Label = ""
    settings: Label = ""
    format_name: Label = "auto"
    format_toml: Annotated[str, Field(max_length=20_000)] = ""


class Item(Part):
    """One piece of equipment, known by its inventory number.

    Lengths are millimetres as exact decimal text. `permissible_error_mm` is a half-width.
    `actual_mm` with `expanded_mm` (U, `coverage_factor`) is the actual size of a setting standard
    at 20 °C. `repeatability_mm` is the standard deviation of one reading that a test of `repeats`
    presses found.
    """

    kind: ItemKind
    inventory_number: Number
    description: Label = ""
    serial_number: Label = ""
    unit: Literal["mm", "in"] = "mm"
    resolution: PositiveText | None = None
    range_from_mm: DecimalText | None = None
    range_to_mm: DecimalText | None = None
    permissible_error_mm: PositiveText | None = None
    evidence: Literal["permissible error", "certificate", "setting standard"] = "permissible error"
    expansion_per_kelvin: DecimalText = "0.0000115"
    actual_mm: PositiveText | None = None
    expanded_mm: PositiveText | None = None
    coverage_factor: PositiveText = "2"
    repeatability_mm: PositiveText | None = None
    repeats: Annotated[int, Field(ge=0, le=100_000)] = 0
    vee_angle_deg: PositiveText | None = None
    torque_class: Label = ""
    torque_unit: Literal["N m", "lbf ft", "lbf in"] = "N m"
    certificate: Certificate = Certificate()
    warning_days: Annotated[int, Field(ge=0, le=3650)] = DEFAULT_WARNING_DAYS
    line: LineOfGauge = LineOfGauge()
    note: Note = ""

    @model_validator(mode="after")
    def _what_it_is_for_is_known(self) -> "Item":
        if self.kind.sends_lengths and self.resolution is None:
            raise ValueError(f"a {self.kind} has a resolution, such as 0.001; enter it")
        if self.kind is ItemKind.STANDARD and None in (self.actual_mm, self.expanded_mm):
            raise ValueError(
                "a setting standard has an actual size with its uncertainty U; take both from its "
                "certificate"
            )
        if self.kind is ItemKind.VEE_BLOCK and not (
            self.vee_angle_deg is not None and Decimal(self.vee_angle_deg) < 180
        ):
            raise ValueError("a vee block has an included angle below 180°, such as 90; enter it")
        ends = (self.range_from_mm, self.range_to_mm)
        if ends[0] is not None and ends[1] is not None and Decimal(ends[0]) >= Decimal(ends[1]):
            raise ValueError("the range ends before it begins; exchange its two ends")
        if self.evidence == "certificate" and not self.certificate.error_curve:
            raise ValueError(
                "the certificate is to be used, but it has no errors entered; enter at least one "
                "size with its error and U, or use the permissible error"
            )
        return self

    def covers(self, nominal_mm: Decimal) -> bool:
        """Tell whether a size lies in the range, as far as the range is known."""
        above = self.range_from_mm is None or Decimal(self.range_from_mm) <= nominal_mm
        return above and (self.range_to_mm is None or nominal_mm <= Decimal(self.range_to_mm))

    def in_service(
        self, *, seats: tuple[str, ...] = (), override_reason: str = "", source: str = ""
    ) -> GaugeInService:
        """Return the event by which this gauge goes into service in an inspection.

        Raises
        ------
        ValueError
            It is no gauge whose values are lengths.
        """
        if not self.kind.sends_lengths or self.resolution is None:
            raise ValueError(f"a {self.kind} gives no readings")
        return GaugeInService(
            inventory_number=self.inventory_number,
            description=self.description,
            serial_number=self.serial_number,
            unit=self.unit,
            resolution=self.resolution,
            expansion_per_kelvin=self.expansion_per_kelvin,
            source=source or self.line.source,
            format=self.line.format_name,
            calibration_date=self.certificate.calibrated,
            calibration_due=self.certificate.due,
            certificate=self.certificate.number,
            seats=seats,
            range_from_mm=self.range_from_mm,
            range_to_mm=self.range_to_mm,
            permissible_error_mm=self.permissible_error_mm,
            error_curve=self.certificate.error_curve,
            evidence=self.evidence,
            override_reason=override_reason,
        )

    def as_standard(
        self, *, seats: tuple[str, ...] = (), override_reason: str = ""
    ) -> StandardInService:
        """Return the event by which this setting standard goes into service.

        Raises
        ------
        ValueError
            It is no setting standard.
        """
        if self.actual_mm is None or self.expanded_mm is None:
            raise ValueError(f"a {self.kind} is no setting standard")
        return StandardInService(
            inventory_number=self.inventory_number,
            description=self.description,
            serial_number=self.serial_number,
            size_mm=self.actual_mm,
            expanded_mm=self.expanded_mm,
            coverage_factor=self.coverage_factor,
            expansion_per_kelvin=self.expansion_per_kelvin,
            calibration_date=self.certificate.calibrated,
            calibration_due=self.certificate.due,
            certificate=self.certificate.number,
            seats=seats,
            override_reason=override_reason,
        )
