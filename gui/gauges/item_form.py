"""A piece of equipment while it is written down: as typed, lengths in its own unit; no Qt."""

import copy
import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any, Final

from pydantic import ValidationError

from seatproof.core.equipment.item import Item, ItemKind
from seatproof.core.units import Unit, from_mm, to_mm
from seatproof.gui.gauges.entries import item_entries
from seatproof.gui.shared.entry_spec import Remark, Tone
from seatproof.gui.shared.saying import again, say, typed_number, wording

_LENGTHS: Final = (
    "range_from_mm", "range_to_mm", "permissible_error_mm", "actual_mm", "expanded_mm",
    "repeatability_mm", "size_mm", "error_mm",
)  # fmt: skip
# What is a number, in the words of people whose decimal sign may be a comma.
_NUMBERS: Final = (
    *_LENGTHS, "resolution", "expansion_per_kelvin", "coverage_factor", "vee_angle_deg",
)  # fmt: skip
_PLAIN: Final = re.compile(r"[-−]?\d{1,6}(\.\d{1,9})?", re.ASCII)
_COUNTS: Final = ("repeats", "warning_days")
_DATES: Final = ("certificate.calibrated", "certificate.due")
_CURVE: Final = "certificate.error_curve"
# What the model says of an item as a whole, and the field where it is mended.
_WHERE: Final = (
    ("has a resolution", "resolution"),
    ("a setting standard has", "actual_mm"),
    ("a vee block has", "vee_angle_deg"),
    ("the range ends", "range_to_mm"),
    ("the certificate is to be used", "evidence"),
    ("due before it was made", "certificate.due"),
)
_TO_FILL_IN: Final = Remark(wording("Still to be filled in."), Tone.MISSING)


class ItemForm:
    """The form of one piece; `on_change` is called after every change."""

    def __init__(self, item: Item | None = None, kind: ItemKind = ItemKind.MICROMETER) -> None:
        self.on_change: Callable[[], None] = lambda: None
        self._values: dict[str, str] = {}
        self.curve: list[dict[str, str]] = []
        self._before = item
        self._touched = False
        self._kept: Mapping[str, Any] = {} if item is None else item.model_dump(mode="json")
        if item is None:
            blank = Item(kind=ItemKind.THERMOMETER, inventory_number="-")
            self._read(blank)
            self._values |= {"kind": kind.value, "inventory_number": "", "repeats": ""}
        else:
            self._read(item)
        self.item: Item | None = None
        self.remarks: dict[str, Remark] = {}
        self.curve_remarks: dict[int, Remark] = {}
        self._settle()

    @property
    def kind(self) -> ItemKind:
        return ItemKind(self._values["kind"])

    @property
    def unit(self) -> Unit:
        return Unit.INCH if self._values.get("unit") == Unit.INCH.value else Unit.MM

    @property
    def is_new(self) -> bool:
        return self._before is None

    @property
    def number(self) -> str:
        """The inventory number that the register has; empty for a new piece."""
        return "" if self._before is None else self._before.inventory_number

    @property
    def is_changed(self) -> bool:
        """Whether something was typed that the register does not say."""
        return self._touched and self.item != self._before

    def values(self) -> dict[str, str]:
        """Return the values of all fields by their keys."""
        return dict(self._values)

    def put(self, key: str, value: object) -> None:
        """Put a value into a field."""
        self._values[key] = str(value)
        self._changed()

    def put_in_curve(self, row: int, key: str, value: str) -> None:
        """Put a value into a row of the error curve."""
        self.curve[row][key] = value
        self._changed()

    def add_to_curve(self) -> None:
        """Add a size to the error curve."""
        self.curve.append(
            {"size_mm": "", "error_mm": "", "expanded_mm": "", "coverage_factor": "2"}
        )
        self._changed()

    def remove_from_curve(self, row: int) -> None:
        """Take a size out of the error curve."""
        del self.curve[row]
        self._changed()

    def move_up_in_curve(self, row: int) -> None:
        """Let a size change places with the one before it."""
        if row > 0:
            self.curve[row - 1], self.curve[row] = self.curve[row], self.curve[row - 1]
            self._changed()

    def _changed(self) -> None:
        self._touched = True
        self._settle()
        self.on_change()

    def _read(self, item: Item) -> None:
        unit = Unit(item.unit)

        def flat(table: Mapping[str, Any], prefix: str) -> None:
            for key, value in table.items():
                if isinstance(value, Mapping):
                    flat(value, f"{prefix}{key}.")
                elif f"{prefix}{key}" != _CURVE:
                    self._values[prefix + key] = _shown(key, value, unit)

        data = item.model_dump(mode="json")
        flat(data, "")
        if not item.repeats:
            self._values["repeats"] = ""
        self.curve = [
            {key: _shown(key, value, unit) for key, value in point.items()}
            for point in data["certificate"]["error_curve"]
        ]

    def _settle(self) -> None:
        self.item, self.remarks, self.curve_remarks = None, {}, {}
        data: dict[str, Any] = copy.deepcopy(dict(self._kept))
        certificate = dict(data.get("certificate", {}))
        data["certificate"] = certificate
        shown = {entry.key for entry in item_entries(self.kind)}
        for key, text in self._values.items():
            table, name = (certificate, key.partition(".")[2]) if "." in key else (data, key)
            if key.startswith("line."):
                continue  # the line has a page of its own
            value = text.strip()
            if ("." not in key and key not in (*shown, "warning_days")) or (
                not value and (name in _LENGTHS or name in _NEVER_EMPTY)
            ):
                table.pop(name, None)
            else:
                table[name] = self._meant(key, name, value)
        certificate["error_curve"] = [self._point(row, at) for at, row in enumerate(self.curve)]
        if self.curve_remarks:
            certificate["error_curve"] = []
        try:
            item = Item.model_validate(data)
            self.item = None if self.remarks or self.curve_remarks else item
        except ValidationError as error:
            for detail in error.errors(include_url=False):
                self._say(detail["loc"], detail["msg"])

    def _meant(self, key: str, name: str, text: str) -> Any:
        if name in _COUNTS:
            if not (text.isascii() and text.isdigit()):
                self.remarks[key] = Remark(say("Write a whole number, such as 30."))
                return 0  # any will do: with a remark nothing is entered
            return int(text)
        if name in _LENGTHS:
            length = self._in_mm(text)
            if length is None:
                self.remarks[key] = _no_number(self.unit)
            return length
        return typed_number(text) if name in _NUMBERS else text

    def _point(self, row: Mapping[str, str], at: int) -> dict[str, Any]:
        point: dict[str, Any] = {}
        for key, text in row.items():
            if not text.strip():
                self.curve_remarks[at] = Remark(say("Fill in the whole row."), Tone.MISSING)
                continue
            point[key] = self._in_mm(text) if key in _LENGTHS else typed_number(text)
            if point[key] is None:
                self.curve_remarks[at] = _no_number(self.unit)
        return point

    def _in_mm(self, text: str) -> str | None:
        typed = typed_number(text)
        if _PLAIN.fullmatch(typed) is None:
            return None
        plain = typed.replace("−", "-")
        if self.unit is Unit.MM:
            return plain
        return f"{to_mm(Decimal(plain), self.unit).normalize():f}"

    def _say(self, where: tuple[str | int, ...], message: str) -> None:
        said = message.removeprefix("Value error, ")
        key = ".".join(str(part) for part in where)
        if where[:2] == ("certificate", "error_curve") and len(where) > 2:
            self.curve_remarks[int(where[2])] = Remark(again(_sentence(said)))
            return
        if key in _DATES and "due" not in said:
            said = wording("Write the date as year-month-day, such as 2027-03-31.")
        for words, field in _WHERE:
            if words in said:
                key = field
        empty = not self._values.get(key, "").strip()
        if "at least 1 character" in said or (empty and key == "inventory_number"):
            self.remarks.setdefault(key, _TO_FILL_IN)
            return
        if said == "is not a decimal number":
            said = wording("Write a number with a decimal point, such as 0.001.")
        tone = Tone.MISSING if empty else Tone.WRONG
        self.remarks.setdefault(key, Remark(again(_sentence(said)), tone))


_NEVER_EMPTY: Final = (
    "resolution", "expansion_per_kelvin", "coverage_factor", "vee_angle_deg", "repeats",
)  # fmt: skip


def _shown(key: str, value: Any, unit: Unit) -> str:
    if value is None:
        return ""
    if key in _LENGTHS and unit is not Unit.MM:
        return again(f"{round(from_mm(Decimal(value), unit), 9).normalize():f}")
    return again(str(value)) if key in _NUMBERS else str(value)


def _no_number(unit: Unit) -> Remark:
    example = "4.1250" if unit is Unit.INCH else "110.5"
    return Remark(
        say(
            "Write a number in {unit} with a decimal point, such as {example}.",
            unit=str(unit),
            example=example,
        )
    )


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
