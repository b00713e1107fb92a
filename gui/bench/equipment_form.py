"""A gauge or a setting standard as typed at the bench, checked field by field; without Qt."""

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any, Final, TypeVar

from pydantic import ValidationError

from seatproof.core.record.calibration import due_date
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.core.units import Unit, to_mm
from seatproof.devices.declared.known import find_format
from seatproof.devices.errors import DeviceError
from seatproof.gui.shared.saying import again, say, typed_number, wording

GAUGE_FIELDS: Final = (
    ("inventory_number", wording("Inventory number")),
    ("description", wording("Description")),
    ("resolution", wording("Step")),
    ("range_from", wording("Measures from")),
    ("range_to", wording("to")),
    ("permissible_error", wording("Permissible error, ±")),
    ("calibration_due", wording("Calibration due (2027-03-31)")),
    ("certificate", wording("Certificate")),
)
STANDARD_FIELDS: Final = (
    ("inventory_number", wording("Inventory number")),
    ("size", wording("Actual size at 20 °C")),
    ("expanded", wording("U of it (k = 2)")),
    ("calibration_due", wording("Calibration due (2027-03-31)")),
    ("certificate", wording("Certificate")),
)
T = TypeVar("T")
_NUMBER: Final = re.compile(r"\d{1,5}(\.\d{1,7})?", re.ASCII)


class EquipmentFormError(Exception):
    """What is typed cannot be used; the message, in the window's language, says what to do."""


def gauge_of(
    values: Mapping[str, str], unit: Unit, *, source: str, format_name: str, seats: tuple[str, ...]
) -> GaugeInService:
    """Return the gauge that is typed, lengths in the plan's unit; raises `EquipmentFormError`."""
    resolution = _length(values, "resolution", wording("step"), needed=True)
    assert resolution is not None
    if not source.strip():
        raise EquipmentFormError(say("Choose the port that the gauge is plugged into."))
    try:
        find_format(format_name)
    except DeviceError as error:
        raise EquipmentFormError(again(str(error))) from error
    mm = _in_mm(values, unit)
    return _made(
        lambda: GaugeInService(
            inventory_number=_named(values),
            description=values["description"],
            unit="in" if unit is Unit.INCH else "mm",
            resolution=str(resolution),
            source=source.strip(),
            format=format_name,
            range_from_mm=mm("range_from", wording("beginning of its range")),
            range_to_mm=mm("range_to", wording("end of its range")),
            permissible_error_mm=mm("permissible_error", wording("permissible error")),
            calibration_due=_due(values),
            certificate=values["certificate"],
            seats=seats,
        )
    )


def standard_of(values: Mapping[str, str], unit: Unit, seats: tuple[str, ...]) -> StandardInService:
    """Return the setting standard that is typed; raises `EquipmentFormError`."""
    mm = _in_mm(values, unit, needed=True)
    return _made(
        lambda: StandardInService(
            inventory_number=_named(values),
            size_mm=mm("size", wording("actual size")),
            expanded_mm=mm("expanded", "U"),
            calibration_due=_due(values),
            certificate=values["certificate"],
            seats=seats,
        )
    )


def _made(make: Callable[[], T]) -> T:
    try:
        return make()
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"]).replace("_", " ")
        raise EquipmentFormError(
            say("Mend the {where}: {finding}.", where=where, finding=again(first["msg"]))
        ) from error


def _named(values: Mapping[str, str]) -> str:
    if not values["inventory_number"]:
        raise EquipmentFormError(say("Give the inventory number."))
    return values["inventory_number"]


def _due(values: Mapping[str, str]) -> str:
    text = values["calibration_due"]
    if text and due_date(text) is None:
        raise EquipmentFormError(say("Write the date as 2027-03-31, or 2027-03."))
    return text


def _length(
    values: Mapping[str, str], name: str, words: str, *, needed: bool = False
) -> Decimal | None:
    text = typed_number(values[name])
    if not text and not needed:
        return None
    if _NUMBER.fullmatch(text) is None:
        raise EquipmentFormError(
            say(
                "Give the {what} as a number with a decimal point, in the plan's unit.",
                what=say(words),
            )
        )
    return Decimal(text)


def _in_mm(
    values: Mapping[str, str], unit: Unit, *, needed: bool = False
) -> Callable[[str, str], Any]:
    def mm(name: str, words: str) -> str | None:
        length = _length(values, name, words, needed=needed)
        return None if length is None else f"{to_mm(length, unit).normalize():f}"

    return mm
