"""The editor of one plan, without Qt: what is typed, what is wrong, and what follows from it."""

import copy
from collections.abc import Callable
from decimal import Decimal
from typing import Any, Final

import tomlkit

from seatproof.core import figures
from seatproof.core.limits.errors import LimitsError
from seatproof.core.limits.iso286 import class_limits
from seatproof.core.plan.errors import PlanError
from seatproof.core.plan.file import parse_plan, render_plan
from seatproof.core.plan.model import Plan
from seatproof.core.quantities import QuantityError, parse_length
from seatproof.core.suggestions.form import Suggestion, suggest_form
from seatproof.core.units import Unit, to_mm
from seatproof.gui.plans.draft import (
    EDGE_IS_PROPOSED,
    Data,
    Path,
    new_seat,
    propose_edge,
    seat_of_section,
    toml_data,
    unit_of,
)
from seatproof.gui.plans.findings import Finding, findings
from seatproof.gui.plans.sketching import sketch_of
from seatproof.gui.shared.saying import say, typed_number

_MOST_STEPS_BACK: Final = 200
_VERSION: Final[Path] = ("plan", "version")


class PlanEditor:
    """A plan being written.

    Parameters
    ----------
    draft : dict
        From `blank` or `read_draft`.
    original : str or None
        The text that it was made from; its comments are kept.
    why_fixed : callable
        Given title, version and text, says why that version may not say that, or nothing.
    """

    def __init__(
        self,
        draft: Data,
        original: str | None = None,
        why_fixed: Callable[[str, str, str], str] = lambda _title, _version, _text: "",
    ) -> None:
        self.on_change: Callable[[], None] = lambda: None
        self._draft = draft
        self._original = original
        self._why_fixed = why_fixed
        self._back: list[tuple[Path, Data]] = []
        self._kept_text: str | None = None
        self._settle()
        self._kept_text = self._text if original is not None else None

    # --- reading ---------------------------------------------------------------------------------

    @property
    def unit(self) -> Unit:
        return unit_of(self._draft)

    @property
    def plan(self) -> Plan | None:
        """The plan, where it is whole and may be kept."""
        return self._plan if not self._findings else None

    @property
    def text(self) -> str:
        """The plan as a file has it; `ValueError` while it is not whole."""
        if self._text is None or self._findings:
            raise ValueError("the plan is not whole yet")
        return self._text

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is wrong or missing, in the order of the form."""
        return self._findings

    @property
    def sketch(self) -> Plan | None:
        """What can be drawn of it already; None without an outline."""
        return self._sketch

    @property
    def is_changed(self) -> bool:
        """Whether something would be lost by leaving."""
        return bool(self._back) and (self._text is None or self._text != self._kept_text)

    def value(self, path: Path) -> Any:
        """Return what stands at a place of the draft; an empty text where nothing does."""
        at: Any = self._draft
        for part in path:
            try:
                at = at[part]
            except (KeyError, IndexError, TypeError):
                return ""
        return at

    def values(self, path: Path, keys: tuple[str, ...]) -> dict[str, object]:
        """Return the values of a form's fields, whose dots lead into tables."""
        return {key: self.value((*path, *key.split("."))) for key in keys}

    def findings_at(self, path: Path) -> tuple[Finding, ...]:
        """Return what is wrong at a place or below it."""
        return tuple(one for one in self._findings if one.path[: len(path)] == path)

    def limits_words(self, seat: int) -> str:
        """Say the limits of a seat's size as they follow from what is typed, at once."""
        nominal_mm = self._length_mm(("seat", seat, "nominal"))
        name = str(self.value(("seat", seat, "tolerance_class"))).strip()
        if nominal_mm is None or not name or self.value(("seat", seat, "method")) != "two-point":
            return ""
        try:
            limits = class_limits(nominal_mm, name)
        except LimitsError:
            return ""
        lower, upper = figures.limits(limits.min_mm, limits.max_mm, self.unit)
        low = figures.small(float(limits.lower_um), self.unit, sign=True)
        high = figures.small(float(limits.upper_um), self.unit, sign=True)
        return say(
            "{name}: {lower} to {upper} {unit}  ({low} to {high})",
            name=name,
            lower=lower,
            upper=upper,
            unit=str(self.unit),
            low=low,
            high=high,
        )

    def suggestions(self, seat: int) -> tuple[Suggestion, ...]:
        """Return form tolerances that usually go with a seat's class; none without one."""
        nominal_mm = self._length_mm(("seat", seat, "nominal"))
        name = str(self.value(("seat", seat, "tolerance_class"))).strip()
        return () if nominal_mm is None or not name else suggest_form(nominal_mm, name)

    def points_words(self) -> str:
        """Say how many readings the plan asks for."""
        plan = self._plan
        if plan is None:
            return ""
        points = len(plan.points())
        readings = sum(len(plan.points_of(seat.id)) * seat.repeats for seat in plan.seats)
        if points == readings:
            return say("1 point") if points == 1 else say("{points} points", points=str(points))
        return say(
            "{points} points, {readings} readings", points=str(points), readings=str(readings)
        )

    # --- writing ---------------------------------------------------------------------------------

    def put(self, path: Path, value: str | bool) -> None:
        """Put a value where it belongs."""
        if self.value(path) == value:
            return
        self._remember(path)
        at: Any = self._draft
        for part in path[:-1]:
            if isinstance(part, str) and isinstance(at, dict):
                at = at.setdefault(part, {})
            else:
                at = at[part]
        at[path[-1]] = value
        if path[0] == "seat" and path[-1] == "edge_exclusion":
            at.pop(EDGE_IS_PROPOSED, None)
        elif path[0] == "seat" and path[-1] == "length" and EDGE_IS_PROPOSED in at:
            propose_edge(at, self.unit)
        # A tolerance of form means radii unless somebody says otherwise.
        if path[-1] == "tolerance" and path[0] == "seat":
            at.setdefault("sense", "diametral" if path[-2] == "taper" else "radial")
        self._changed()

    def add(self, path: Path, entry: Data) -> int:
        """Add an entry to a list; return its index."""
        self._remember(())
        at: Any = self._draft
        for part in path:
            at = at.setdefault(part, []) if isinstance(part, str) else at[part]
        at.append(entry)
        self._changed()
        return len(at) - 1

    def add_seat(self) -> int:
        """Add a seat of which nothing is known yet; return its index."""
        return self.add(("seat",), new_seat(self._draft))

    def add_seat_on(self, section: int) -> int:
        """Add a seat that lies on a section of the outline; return its index."""
        return self.add(("seat",), seat_of_section(self._draft, section))

    def remove(self, path: Path, index: int) -> None:
        """Take an entry out of a list."""
        self._remember(())
        del self.value(path)[index]
        self._changed()

    def move_up(self, path: Path, index: int) -> None:
        """Let an entry of a list change places with the one before it."""
        entries = self.value(path)
        if not 0 < index < len(entries):
            return
        self._remember(())
        entries[index - 1], entries[index] = entries[index], entries[index - 1]
        self._changed()

    def use(self, seat: int, suggestion: Suggestion) -> None:
        """Ask for a form tolerance that was suggested."""
        path: Path = ("seat", seat, suggestion.characteristic)
        self.put((*path, "tolerance"), suggestion.tolerance)
        self.put((*path, "sense"), suggestion.sense)

    @property
    def can_undo(self) -> bool:
        return bool(self._back)

    def undo(self) -> None:
        """Take back the last change; what was typed into one field goes together."""
        if self._back:
            _, self._draft = self._back.pop()
            self._changed()

    def kept(self) -> None:
        """Note that the plan as it stands was kept."""
        self._kept_text = self._text

    # --- inside ----------------------------------------------------------------------------------

    def _remember(self, path: Path) -> None:
        if path and self._back and self._back[-1][0] == path:
            return
        self._back.append((path, copy.deepcopy(self._draft)))
        del self._back[:-_MOST_STEPS_BACK]

    def _changed(self) -> None:
        self._settle()
        self.on_change()

    def _settle(self) -> None:
        data = toml_data(self._draft)
        self._sketch = sketch_of(data, self.unit)
        self._plan: Plan | None = None
        self._text: str | None = None
        self._findings: tuple[Finding, ...] = ()
        try:
            self._plan = parse_plan(tomlkit.dumps(_for_file(data)))
        except PlanError as error:
            self._findings = tuple(sorted(findings(error.problems, data), key=_in_form))
            return
        self._text = render_plan(self._plan, self._original)
        heading = self._plan.heading
        fixed = self._why_fixed(heading.title, heading.version, self._text)
        if fixed:
            self._findings = (Finding(_VERSION, fixed),)

    def _length_mm(self, path: Path) -> Decimal | None:
        try:
            return to_mm(parse_length(typed_number(str(self.value(path)))), self.unit)
        except QuantityError:
            return None


def _for_file(value: Any) -> Any:
    """Return data as TOML takes them: tables after single values, exact decimals as numbers."""
    if isinstance(value, dict):
        ordered = sorted(value.items(), key=lambda item: isinstance(item[1], dict | list))
        return {key: _for_file(item) for key, item in ordered}
    if isinstance(value, list):
        return [_for_file(item) for item in value]
    return float(value) if isinstance(value, Decimal) else value


_ORDER: Final = ("plan", "shaft", "seat", "uncertainty", "decision", "walk", "checks")


def _in_form(finding: Finding) -> tuple[int, tuple[str, ...]]:
    first = str(finding.path[0]) if finding.path else ""
    place = _ORDER.index(first) if first in _ORDER else len(_ORDER)
    # Within a part what is wrong comes before what is merely not there yet.
    at = tuple(f"{part:04d}" if isinstance(part, int) else "" for part in finding.path[1:2])
    return place, (*at, str(finding.is_missing))
