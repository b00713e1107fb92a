"""The seats of a plan as a page of the editor, one at a time."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout

from seatproof.core import figures
from seatproof.core.suggestions.form import CAVEAT, Suggestion
from seatproof.gui.bench.pages.base import Choices, button, card, plain_label
from seatproof.gui.plans import entries
from seatproof.gui.plans.bound import BoundForm
from seatproof.gui.plans.draft import Path
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.plans.part import Part, mark_of
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
        for key in ("from", "length", "nominal", "edge_exclusion"):
            self.editor.put((*path, key), str(first.get(key, "")))
        self.editor.put((*path, "same_seat_as"), str(first.get("id", "")))
        self.editor.put((*path, "method"), "radial")
        self.editor.put((*path, "name"), f"{first.get('name', '')}, by indicator")
        self.show_seat(index)

    def _remove(self) -> None:
        self.editor.remove(("seat",), self.index)
        self.show_now()


def _bases(offered: dict[str, Suggestion]) -> str:
    grades = {one.basis.partition(",")[0] for one in offered.values()}
    return f"{' or '.join(sorted(grades, reverse=True))}; a zone of radii is given half of it"
