"""The parts of a plan as pages of the editor, in the order in which one thinks of them."""

from PySide6.QtCore import Signal

from seatproof.gui.plans import entries
from seatproof.gui.plans.bound import BoundForm, BoundRows
from seatproof.gui.plans.draft import Path
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.plans.fitting_part import FittingPart
from seatproof.gui.plans.part import Part
from seatproof.gui.plans.seats_part import SeatsPart
from seatproof.gui.shared.saying import wording


class HeadingPart(Part):
    """What the plan is, and in which unit."""

    roots = ("plan",)

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__(editor)
        self.form = BoundForm(editor, "plan", wording("The plan"))
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
            wording("The outline, section by section from the datum face (left in the drawing)"),
            entries.SECTIONS, wording("Add a section"), lambda: {"length": "", "diameter": ""},
            own_button=wording("seat here"),
            own=lambda index: self.seat_made.emit(editor.add_seat_on(index)),
        )  # fmt: skip
        self.form = BoundForm(editor, "shaft", wording("The shaft and its datums"))
        self.keyways = BoundRows(
            editor, "keyway", wording("Keyways"), entries.KEYWAYS, wording("Add a keyway"),
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


class SurePart(Part):
    """How sure the values are, and how they become verdicts."""

    roots = ("uncertainty", "decision")

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__(editor)
        self.uncertainty = BoundForm(editor, "uncertainty", wording("How sure the values are"))
        self.decision = BoundForm(editor, "decision", wording("How values become verdicts"))
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
        self.walk = BoundForm(editor, "walk", wording("The walk over the points"))
        self.checks = BoundForm(editor, "checks", wording("Checks of the gauge"))
        self.conditions = BoundForm(editor, "conditions", wording("Condition of the seats"))
        self.signing = BoundForm(editor, "signing", wording("Signatures"))
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


# By the names of their pages.
PARTS: tuple[tuple[str, type[Part]], ...] = (
    (wording("Plan"), HeadingPart),
    (wording("Shaft"), ShaftPart),
    (wording("Seats"), SeatsPart),
    (wording("How sure"), SurePart),
    (wording("Walk and checks"), RoundPart),
    (wording("Fitting"), FittingPart),
)
