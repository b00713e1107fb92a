"""A plan while it is being written: every value as typed, in the shape of a plan file; no Qt.

What a choice hides is kept while one writes, and left out of the plan. Numbers stand here as people
write them where the window speaks their language, and in the plan as its file has them.
"""

import copy
import re
import tomllib
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from seatproof.core.quantities import QuantityError, parse_length
from seatproof.core.units import Unit
from seatproof.gui.plans.entries import uncertainty_entries
from seatproof.gui.plans.fitting_entries import fitting_entries
from seatproof.gui.plans.numerals import NUMBER_LISTS, NUMBERS, joined, shown, split
from seatproof.gui.plans.seat_entries import seat_entries
from seatproof.gui.shared.saying import language, say, typed_number

Path = tuple[str | int, ...]
Data = dict[str, Any]

_WHOLE: Final = ("repeats", "repeatability_readings", "trials", "every_minutes", "turns")
_COUNT_OR_LIST: Final = (*NUMBER_LISTS, "bolts")
_LINES: Final = ("conditions",)
_SIGNED: Final = ("clearance_lower", "clearance_upper", "lower", "upper")
_PLAIN: Final = re.compile(r"[-−]\d{1,6}(\.\d{1,9})?", re.ASCII)
_LISTS: Final = ("parts", "places", "order")
_LISTS_OF_TABLES: Final = ("section", "keyway", "seat", "fitting", "stage")
# Beside what a plan says: the edge exclusion is proposed; it follows the length until it is typed.
EDGE_IS_PROPOSED: Final = "edge_is_proposed"
_LEAST_EDGE: Final = {Unit.MM: Decimal(2), Unit.INCH: Decimal("0.08")}
# A table of a form tolerance says something only with its figure.
_BY_FIGURE: Final = ("roundness", "cylindricity", "taper", "run_out", "total_run_out")


def blank() -> Data:
    """Return a plan of which nothing is decided but what nearly every plan has."""
    return {
        "format": "1",
        "walk": "station by station",
        "there_and_back": False,
        "plan": {"title": "", "version": "1", "unit": "mm", "paper": "A4", "language": "en"},
        "shaft": {
            "name": "Shaft",
            "datum_face": "end face at the coupling",
            "angular_datum": "mark on the datum face",
            "expansion_per_kelvin": shown("0.0000115"),
            "section": [{"length": "", "diameter": ""}],
            "keyway": [],
        },
        "seat": [],
        "uncertainty": {"method": "stated", "coverage_factor": "2"},
        "decision": {"rule": "guard band", "probability": shown("0.95")},
        "checks": {},
        "conditions": "",
        "signing": {},
        "fitting": [],
    }


def proposed() -> Data:
    """Return a plan to begin with; what it proposes is named in the window's language."""
    draft = blank()
    draft["plan"]["language"] = language()
    draft["shaft"] |= {
        "name": say("Shaft"),
        "datum_face": say("end face at the coupling"),
        "angular_datum": say("mark on the datum face"),
    }
    return draft


def blank_seat(seat_id: str) -> Data:
    """Return a seat of which only the number of points is proposed."""
    return {
        "id": seat_id,
        "name": f"Seat {seat_id}",
        "ring": "closed",
        "judged": "local sizes",
        "method": "two-point",
        "stations": "3",
        "orientations": "4",
        "repeats": "1",
        "repeat_value": "mean",
        "reference_circle": "minimum zone",
        "indicator": "opposite the vee",
    }


def read_draft(text: str) -> Data:
    """Return a plan's TOML text with every value as text, its spelling kept."""
    data = _as_typed(tomllib.loads(text, parse_float=Decimal))
    draft = blank()
    draft["seat"], draft["shaft"]["section"] = [], []
    merged: Data = _over(draft, data)
    merged["seat"] = [_over(blank_seat(str(seat.get("id", ""))), seat) for seat in merged["seat"]]
    return merged


def _over(base: Data, top: Mapping[str, Any]) -> Data:
    result = dict(base)
    for key, value in top.items():
        below = result.get(key)
        both = isinstance(below, dict) and isinstance(value, dict)
        result[key] = _over(below, value) if both and below is not None else value
    return result


def _as_typed(value: Any, key: str = "") -> Any:
    if isinstance(value, dict):
        return {name: _as_typed(item, name) for name, item in value.items()}
    if isinstance(value, list):
        if key in _LISTS_OF_TABLES:
            return [_as_typed(item) for item in value]
        if key in NUMBER_LISTS:
            return joined(_as_typed(item) for item in value)
        between = "\n" if key in _LINES else ", "
        return between.join(str(_as_typed(item)) for item in value)
    if isinstance(value, bool):
        return value
    text = f"{value:f}" if isinstance(value, Decimal) else str(value)
    return shown(text) if key in NUMBERS else text


def toml_data(draft: Data) -> Data:
    """Return what the plan says, with the types that a plan file has; empty fields left out."""
    shown = copy.copy(draft)
    shown["uncertainty"] = _only(draft["uncertainty"], uncertainty_entries(draft["uncertainty"]))
    shown["seat"] = [_only(seat, seat_entries(seat)) for seat in draft["seat"]]
    shown["fitting"] = [
        _only(step, fitting_entries(step), also=("stage",)) for step in draft["fitting"]
    ]
    data = _typed(shown)
    assert isinstance(data, dict)
    for key in ("plan", "shaft", "uncertainty"):
        data.setdefault(key, {})
    data.setdefault("seat", [])
    return data


def unit_of(draft: Data) -> Unit:
    """Return the unit of a draft's lengths; millimetres until another is chosen."""
    return Unit.INCH if draft["plan"].get("unit") == Unit.INCH.value else Unit.MM


def _only(table: Data, entries: Sequence[Any], also: tuple[str, ...] = ()) -> Data:
    """Return the part of a table that its form shows now."""
    kept: Data = {key: table[key] for key in also if key in table}
    for entry in entries:
        path = entry.key.split(".")
        value: Any = table
        for part in path:
            value = value.get(part) if isinstance(value, dict) else None
        if value is None:
            continue
        at = kept
        for part in path[:-1]:
            at = at.setdefault(part, {})
        at[path[-1]] = value
    return kept


def _typed(value: Any, key: str = "") -> Any:
    """Return a value as a file has it; None where there is nothing to say."""
    if isinstance(value, dict):
        table = {name: _typed(item, name) for name, item in value.items()}
        table = {name: item for name, item in table.items() if item is not None}
        if key in _BY_FIGURE and "tolerance" not in table:
            return None
        return table or None
    if isinstance(value, list):
        return [_typed(item) or {} for item in value] or None
    if isinstance(value, bool):
        return value or None
    text = str(value).strip()
    if not text:
        return None
    if key in NUMBERS:
        text = typed_number(text)
    if key == "format" or key in _WHOLE:
        return int(text) if _is_count(text) else text
    if key in _COUNT_OR_LIST:
        if _is_count(text):
            return int(text)
        return split(text) if key in NUMBER_LISTS else _split(text)
    if key in _SIGNED and _PLAIN.fullmatch(text):
        return Decimal(text.replace("−", "-"))
    if key in _LINES:
        return [line.strip() for line in text.splitlines() if line.strip()]
    return _split(text) if key in _LISTS else text


def _is_count(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 9


def _split(text: str) -> list[str]:
    """Split what is written with commas, semicolons, lines, or plain numbers between blanks."""
    if re.fullmatch(r"[\d. ]+", text, re.ASCII):
        return text.split()
    return [part.strip() for part in re.split(r"[,;\n]", text) if part.strip()]


def seat_of_section(draft: Data, index: int) -> Data:
    """Return a new seat that lies on a section of the outline, as long as it is."""
    seat = new_seat(draft)
    start = Decimal(0)
    for section in draft["shaft"]["section"][:index]:
        length = _number(section.get("length", ""))
        if length is None:
            return seat
        start += length
    section = draft["shaft"]["section"][index]
    seat["from"] = shown(f"{start.normalize():f}")
    seat["length"] = section.get("length", "")
    seat["nominal"] = section.get("diameter", "")
    propose_edge(seat, unit_of(draft))
    return seat


def new_seat(draft: Data) -> Data:
    """Return a seat of which nothing is known yet; its edge exclusion follows its length."""
    seat_id = free_id(draft)
    own = {"name": say("Seat {seat}", seat=seat_id), EDGE_IS_PROPOSED: True}
    return blank_seat(seat_id) | own


def propose_edge(seat: Data, unit: Unit) -> None:
    """Propose an edge exclusion for a seat's length, so that no station lies on its very edge.

    A tenth of the length, but at least 2 mm (0.08 in); a quarter where that is a third or more.
    """
    length = _number(seat.get("length", ""))
    if not length:
        seat["edge_exclusion"] = ""
        return
    edge = max(length / 10, _LEAST_EDGE[unit])
    if 3 * edge >= length:
        edge = length / 4
    seat["edge_exclusion"] = shown(f"{edge.normalize():f}")


def free_id(draft: Data) -> str:
    """Return the next letter that no seat has."""
    taken = {seat.get("id") for seat in draft["seat"]}
    letters = (chr(number) for number in range(ord("A"), ord("Z") + 1))
    return next((letter for letter in letters if letter not in taken), f"S{len(taken) + 1}")


def _number(text: str) -> Decimal | None:
    try:
        return parse_length(typed_number(text))
    except QuantityError:
        return None
