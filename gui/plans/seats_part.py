"""The seats of a plan as a page of the editor, one at a time."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout

from seatproof.core import figures
from seatproof.core.suggestions.form import CAVEAT, Suggestion
from seatproof.gui.bench.pages.base import Choices, button, card, plain_label
from seatproof.gui.plans.bound import BoundForm
from seatproof.gui.plans.draft import Path
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.plans.part import Part, mark_of
from seatproof.gui.plans.seat_entries import seat_entries
from seatproof.gui.shared.entry_spec import Entry, Remark, Tone
from seatproof.gui.shared.saying import again, say, wording

_PLACE = ("id", "name", "from", "length", "nominal", "method", "vee_angle_deg", "indicator",
          "same_seat_as")  # fmt: skip
_POINTS = ("edge_exclusion", "stations", "orientations", "repeats", "repeat_value",
           "repeat_spread", "plausible")  # fmt: skip
_WORDS = {
    "roundness": wording("Roundness"),
    "cylindricity": wording("Cylindricity"),
    "taper": wording("Taper"),
    "run_out": wording("Circular run-out"),
    "total_run_out": wording("Total run-out"),
}


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
        frame, column = card(say("The seats"))
        self.none = plain_label("no_seat")
        self.none.setText(
            say(
                "There is no seat yet. Add one here, or tap “seat here” beside a section of the "
                "shaft."
            )
        )
        self.tabs = Choices("seat_tab", columns=5)
        self.tabs.chosen.connect(lambda index: self.show_seat(int(index)))
        self.add = button(say("Add a seat"), "seat_add", lambda: self.show_seat(editor.add_seat()))
        self.further = button(say("Measure it in a further way"), "seat_further", self._add_further)
        self.remove = button(say("Remove this seat"), "seat_remove", self._remove)
        buttons = QHBoxLayout()
        for made in (self.add, self.further, self.remove):
            buttons.addWidget(made)
        column.addWidget(self.none)
        column.addWidget(self.tabs)
        column.addLayout(buttons)
        self.column.addWidget(frame)
        self.place = BoundForm(editor, "seat", wording("Where it lies and how it is measured"))
        self.points = BoundForm(editor, "seat_points", wording("The points"))
        self.asked = BoundForm(editor, "seat_asked", wording("What is asked of it"))
        self.further_facts = BoundForm(
            editor, "seat_ring", wording("Odd lobes, and the ring on it")
        )
        self.suggested, column = card(say("Suggestions for its form"))
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
            str(at): f"{mark_of(self.editor, ('seat', at))}{seat.get('id') or at + 1}"
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
        fields = seat_entries(seat)
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
        fields = {one.key for one in seat_entries(self._seat())}
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
        self.basis.setText(f"{_bases(self._offered)} {again(CAVEAT)}" if self._offered else "")

    def _words(self, one: Suggestion) -> str:
        limit = figures.tolerance(one.limit_um, self.editor.unit)
        name, limit = say(_WORDS[one.characteristic]), again(limit)
        return f"{name} {one.tolerance}\n= {limit}, {again(one.sense)}"

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
        for key in ("from", "length", "nominal", "edge_exclusion"):
            self.editor.put((*path, key), str(first.get(key, "")))
        self.editor.put((*path, "same_seat_as"), str(first.get("id", "")))
        self.editor.put((*path, "method"), "radial")
        name = say("{seat}, by indicator", seat=str(first.get("name", "")))
        self.editor.put((*path, "name"), name)
        self.show_seat(index)

    def _remove(self) -> None:
        self.editor.remove(("seat",), self.index)
        self.show_now()


def _bases(offered: dict[str, Suggestion]) -> str:
    """Say where suggestions come from: one grade, or one of two."""
    grades = sorted({one.basis.partition(",")[0] for one in offered.values()}, reverse=True)
    first, other = again(grades[0]), again(grades[-1])
    if len(grades) == 1:
        return say("Each is {basis}; a zone of radii is given half of it.", basis=first)
    return say(
        "Each is {basis} or {other}; a zone of radii is given half of it.",
        basis=first,
        other=other,
    )
