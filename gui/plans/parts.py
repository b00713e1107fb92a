"""The parts of a plan as pages of the editor, in the order in which one thinks of them."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from seatproof.core import figures
from seatproof.core.suggestions.form import CAVEAT, Suggestion
from seatproof.gui.bench.pages.base import Choices, button, card, plain_label
from seatproof.gui.plans import entries
from seatproof.gui.plans.bound import BoundForm, BoundRows
from seatproof.gui.plans.draft import Path
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.shared.entry_spec import Entry, Remark, Tone

_PLACE = ("id", "name", "from", "length", "nominal", "method", "vee_angle_deg", "indicator",
          "same_seat_as")  # fmt: skip
_POINTS = ("edge_exclusion", "stations", "orientations", "repeats", "repeat_value",
           "repeat_spread", "plausible")  # fmt: skip
_WORDS = {
    "roundness": "Roundness",
    "cylindricity": "Cylindricity",
    "taper": "Taper",
    "run_out": "Circular run-out",
    "total_run_out": "Total run-out",
}


class Part(QWidget):
    """A page of the editor; `roots` are the parts of the plan that it shows."""

    roots: tuple[str, ...] = ()

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__()
        self.editor = editor
        self.column = QVBoxLayout(self)

    def show_now(self) -> None:
        """Show the plan as it is now."""
        raise NotImplementedError

    def go_to(self, path: Path) -> bool:
        """Put the keyboard where a path leads; return whether it is here."""
        raise NotImplementedError

    def _end(self) -> None:
        self.column.addStretch(1)


class HeadingPart(Part):
    """What the plan is, and in which unit."""

    roots = ("plan",)

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__(editor)
        self.form = BoundForm(editor, "plan", "The plan")
        self.column.addWidget(self.form)
        self._end()

    def show_now(self) -> None:
        self.form.show_at(("plan",), entries.HEADING, own_remarks=True)

    def go_to(self, path: Path) -> bool:
        return self.form.go_to(path)


class ShaftPart(Part):
    """The outline, from the datum face onwards.

    Signals
    -------
    seat_made : int
        A seat was laid on a section; that is its index.
    """

    roots = ("shaft",)
    seat_made = Signal(int)

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__(editor)
        self.sections = BoundRows(
            editor, "section",
            "The outline, section by section from the datum face (left in the drawing)",
            entries.SECTIONS, "Add a section", lambda: {"length": "", "diameter": ""},
            own_button="seat here",
            own=lambda index: self.seat_made.emit(editor.add_seat_on(index)),
        )  # fmt: skip
        self.form = BoundForm(editor, "shaft", "The shaft and its datums")
        self.keyways = BoundRows(
            editor, "keyway", "Keyways", entries.KEYWAYS, "Add a keyway",
            lambda: {"from": "", "length": "", "width": "", "depth": "", "angle_deg": "0"},
        )  # fmt: skip
        for widget in (self.sections, self.form, self.keyways):
            self.column.addWidget(widget)
        self._end()

    def show_now(self) -> None:
        self.sections.show_at(("shaft", "section"))
        self.form.show_at(("shaft",), entries.SHAFT, own_remarks=True)
        self.keyways.show_at(("shaft", "keyway"))

    def go_to(self, path: Path) -> bool:
        parts = (self.sections, self.keyways, self.form)
        return any(part.go_to(path) for part in parts)


class SeatsPart(Part):
    """One seat at a time: where it lies, what is asked of it, where it is measured.

    Signals
    -------
    seat_shown : str
        The seat of that id is shown now.
    """

    roots = ("seat",)
    seat_shown = Signal(str)

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__(editor)
        self.index = 0
        frame, column = card("The seats")
        self.none = plain_label("no_seat")
        self.none.setText(
            "There is no seat yet. Add one here, or tap “seat here” beside a section of the shaft."
        )
        self.tabs = Choices("seat_tab", columns=5)
        self.tabs.chosen.connect(lambda index: self.show_seat(int(index)))
        self.add = button("Add a seat", "seat_add", lambda: self.show_seat(editor.add_seat()))
        self.further = button("Measure it in a further way", "seat_further", self._add_further)
        self.remove = button("Remove this seat", "seat_remove", self._remove)
        buttons = QHBoxLayout()
        for made in (self.add, self.further, self.remove):
            buttons.addWidget(made)
        column.addWidget(self.none)
        column.addWidget(self.tabs)
        column.addLayout(buttons)
        self.column.addWidget(frame)
        self.place = BoundForm(editor, "seat", "Where it lies and how it is measured")
        self.points = BoundForm(editor, "seat_points", "The points")
        self.asked = BoundForm(editor, "seat_asked", "What is asked of it")
        self.further_facts = BoundForm(editor, "seat_ring", "Odd lobes, and the ring on it")
        self.suggested, column = card("Suggestions for its form")
        self.suggestions = Choices("suggestion", columns=2)
        self.suggestions.chosen.connect(self._use)
        self.basis = plain_label("suggestion_basis", "small")
        column.addWidget(self.suggestions)
        column.addWidget(self.basis)
        for widget in (
            self.place, self.asked, self.suggested, self.points, self.further_facts,
        ):  # fmt: skip
            self.column.addWidget(widget)
        self._end()

    def show_seat(self, index: int) -> None:
        """Show the seat of that index."""
        self.index = index
        self.show_now()

    def show_now(self) -> None:
        seats = self.editor.value(("seat",))
        self.index = max(0, min(self.index, len(seats) - 1))
        words = {
            str(at): f"{_mark(self.editor, ('seat', at))}{seat.get('id') or at + 1}"
            for at, seat in enumerate(seats)
        }
        self.tabs.show_choices(words, {str(self.index)})
        self.none.setVisible(not seats)
        self.further.setVisible(bool(seats))
        self.remove.setVisible(bool(seats))
        for part in (self.place, self.asked, self.points, self.further_facts, self.suggested):
            part.setVisible(bool(seats))
        if not seats:
            self.seat_shown.emit("")
            return
        seat, path = seats[self.index], ("seat", self.index)
        self.further.setEnabled(not seat.get("same_seat_as"))
        fields = entries.seat_entries(seat)
        self._show(self.place, path, [one for one in fields if one.key in _PLACE], whole=True)
        self._show(self.points, path, [one for one in fields if one.key in _POINTS])
        rest = [one for one in fields if one.key not in (*_PLACE, *_POINTS)]
        ring = [one for one in rest if one.key.startswith(("odd_lobes", "fit"))]
        self._show(self.asked, path, [one for one in rest if one not in ring])
        self._show(self.further_facts, path, ring)
        self._show_suggestions()
        self.seat_shown.emit(str(seat.get("id", "")))

    def go_to(self, path: Path) -> bool:
        if len(path) < 2:
            self.add.setFocus()
            return True
        self.show_seat(int(path[1]))
        forms = (self.place, self.asked, self.points, self.further_facts)
        return any(form.go_to(path) for form in forms) or self.place.form.go_to("nominal")

    def _show(self, form: BoundForm, path: Path, fields: list[Entry], whole: bool = False) -> None:
        form.setVisible(bool(fields))
        limits = self.editor.limits_words(self.index)
        notes = {"tolerance_class": Remark(limits, Tone.NOTE)} if limits else {}
        form.show_at(path, fields, notes, own_remarks=whole)

    def _show_suggestions(self) -> None:
        fields = {one.key for one in entries.seat_entries(self._seat())}
        self._offered = {
            f"{one.characteristic} {one.tolerance}": one
            for one in self.editor.suggestions(self.index)
            if f"{one.characteristic}.tolerance" in fields
        }
        self.suggested.setVisible(bool(self._offered))
        chosen = {
            key
            for key, one in self._offered.items()
            if self.editor.value(("seat", self.index, one.characteristic, "tolerance"))
            == one.tolerance
        }
        words = {key: self._words(one) for key, one in self._offered.items()}
        self.suggestions.show_choices(words, chosen)
        first = next(iter(self._offered.values()), None)
        self.basis.setText("" if first is None else f"Each is {_bases(self._offered)}. {CAVEAT}")

    def _words(self, one: Suggestion) -> str:
        limit = figures.tolerance(one.limit_um, self.editor.unit)
        return f"{_WORDS[one.characteristic]} {one.tolerance}\n= {limit}, {one.sense}"

    def _use(self, key: str) -> None:
        self.editor.use(self.index, self._offered[key])
        self.show_now()

    def _seat(self) -> dict[str, object]:
        seat = self.editor.value(("seat", self.index))
        assert isinstance(seat, dict)
        return seat

    def _add_further(self) -> None:
        first = self._seat()
        index = self.editor.add_seat()
        path: Path = ("seat", index)
        for key in ("from", "length", "nominal"):
            self.editor.put((*path, key), str(first.get(key, "")))
        self.editor.put((*path, "same_seat_as"), str(first.get("id", "")))
        self.editor.put((*path, "method"), "radial")
        self.editor.put((*path, "name"), f"{first.get('name', '')}, by indicator")
        self.show_seat(index)

    def _remove(self) -> None:
        self.editor.remove(("seat",), self.index)
        self.show_now()


class SurePart(Part):
    """How sure the values are, and how they become verdicts."""

    roots = ("uncertainty", "decision")

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__(editor)
        self.uncertainty = BoundForm(editor, "uncertainty", "How sure the values are")
        self.decision = BoundForm(editor, "decision", "How values become verdicts")
        self.column.addWidget(self.uncertainty)
        self.column.addWidget(self.decision)
        self._end()

    def show_now(self) -> None:
        stated = self.editor.value(("uncertainty",))
        fields = entries.uncertainty_entries(stated)
        self.uncertainty.show_at(("uncertainty",), fields, own_remarks=True)
        self.decision.show_at(("decision",), entries.DECISION, own_remarks=True)

    def go_to(self, path: Path) -> bool:
        return self.uncertainty.go_to(path) or self.decision.go_to(path)


class RoundPart(Part):
    """The walk, and what is asked before, between and after the readings."""

    roots = ("walk", "there_and_back", "checks", "conditions", "signing")

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__(editor)
        self.walk = BoundForm(editor, "walk", "The walk over the points")
        self.checks = BoundForm(editor, "checks", "Checks of the gauge")
        self.conditions = BoundForm(editor, "conditions", "Condition of the seats")
        self.signing = BoundForm(editor, "signing", "Signatures")
        self._forms = (self.walk, self.checks, self.conditions, self.signing)
        for form in self._forms:
            self.column.addWidget(form)
        self._end()

    def show_now(self) -> None:
        self.walk.show_at((), entries.WALK)
        self.checks.show_at(("checks",), entries.CHECKS, own_remarks=True)
        self.conditions.show_at((), entries.CONDITIONS)
        self.signing.show_at(("signing",), entries.SIGNING)

    def go_to(self, path: Path) -> bool:
        return any(form.go_to(path) for form in self._forms)


class FittingPart(Part):
    """What follows on an accepted seat, step by step, from the bearing maker's instructions."""

    roots = ("fitting",)

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__(editor)
        self.index = 0
        frame, column = card("Fitting steps, from the bearing maker's instructions")
        words = plain_label("fitting_words")
        words.setText(
            "May stay empty. Every figure is yours, from a document that you name beside it; "
            "the program brings none."
        )
        self.tabs = Choices("step_tab", columns=3)
        self.tabs.chosen.connect(lambda index: self.show_step(int(index)))
        self.add = button("Add a step", "step_add", self._add)
        self.up = button("One place earlier", "step_up", self._up)
        self.remove = button("Remove this step", "step_remove", self._remove)
        buttons = QHBoxLayout()
        for made in (self.add, self.up, self.remove):
            buttons.addWidget(made)
        column.addWidget(words)
        column.addWidget(self.tabs)
        column.addLayout(buttons)
        self.column.addWidget(frame)
        self.form = BoundForm(editor, "step", "The step")
        self.stages = BoundRows(
            editor, "stage", "Stages of tightening", entries.STAGES, "Add a stage",
            lambda: {"name": "", "kind": "part", "target": "", "tolerance": "", "order": ""},
        )  # fmt: skip
        self.column.addWidget(self.form)
        self.column.addWidget(self.stages)
        self._end()

    def show_step(self, index: int) -> None:
        """Show the step of that index."""
        self.index = index
        self.show_now()

    def show_now(self) -> None:
        steps = self.editor.value(("fitting",))
        self.index = max(0, min(self.index, len(steps) - 1))
        words = {
            str(at): f"{_mark(self.editor, ('fitting', at))}{at + 1}  "
            f"{step.get('text') or step.get('id') or ''}"
            for at, step in enumerate(steps)
        }
        self.tabs.show_choices(words, {str(self.index)})
        for made in (self.form, self.remove, self.up):
            made.setVisible(bool(steps))
        self.stages.setVisible(bool(steps) and steps[self.index].get("kind") == "torque")
        if steps:
            path: Path = ("fitting", self.index)
            fields = entries.fitting_entries(steps[self.index])
            self.form.show_at(path, fields, own_remarks=True)
            self.stages.show_at((*path, "stage"))

    def go_to(self, path: Path) -> bool:
        if len(path) > 1:
            self.show_step(int(path[1]))
        return self.stages.go_to(path) or self.form.go_to(path) or self.form.form.go_to("text")

    def _add(self) -> None:
        count = len(self.editor.value(("fitting",)))
        step = {"id": f"step{count + 1}", "kind": "check", "text": "", "unit": "N m",
                "pattern": "circle"}  # fmt: skip
        self.show_step(self.editor.add(("fitting",), step))
        self.form.form.go_to("text")

    def _up(self) -> None:
        self.editor.move_up(("fitting",), self.index)
        self.show_step(self.index - 1)

    def _remove(self) -> None:
        self.editor.remove(("fitting",), self.index)
        self.show_now()


PARTS: tuple[tuple[str, type[Part]], ...] = (
    ("Plan", HeadingPart),
    ("Shaft", ShaftPart),
    ("Seats", SeatsPart),
    ("How sure", SurePart),
    ("Walk and checks", RoundPart),
    ("Fitting", FittingPart),
)


def _mark(editor: PlanEditor, path: Path) -> str:
    """Return the mark of a tab: something is wrong, or still missing there."""
    found = editor.findings_at(path)
    if not found:
        return ""
    return "○ " if all(one.is_missing for one in found) else "✗ "


def _bases(offered: dict[str, Suggestion]) -> str:
    grades = {one.basis.partition(",")[0] for one in offered.values()}
    return f"{' or '.join(sorted(grades, reverse=True))}; a zone of radii is given half of it"
