"""The fitting steps of a plan as a page of the editor, one at a time."""

from PySide6.QtWidgets import QHBoxLayout

from seatproof.gui.bench.pages.base import Choices, button, card, plain_label
from seatproof.gui.plans.bound import BoundForm, BoundRows
from seatproof.gui.plans.draft import Path
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.plans.fitting_entries import STAGES, fitting_entries
from seatproof.gui.plans.part import Part, mark_of
from seatproof.gui.shared.saying import say, wording


class FittingPart(Part):
    """What follows on an accepted seat, step by step, from the bearing maker's instructions."""

    roots = ("fitting",)

    def __init__(self, editor: PlanEditor) -> None:
        super().__init__(editor)
        self.index = 0
        frame, column = card(say("Fitting steps, from the bearing maker's instructions"))
        words = plain_label("fitting_words")
        words.setText(
            say(
                "May stay empty. Every figure is yours, from a document that you name beside it; "
                "the program brings none."
            )
        )
        self.tabs = Choices("step_tab", columns=3)
        self.tabs.chosen.connect(lambda index: self.show_step(int(index)))
        self.add = button(say("Add a step"), "step_add", self._add)
        self.up = button(say("One place earlier"), "step_up", self._up)
        self.remove = button(say("Remove this step"), "step_remove", self._remove)
        buttons = QHBoxLayout()
        for made in (self.add, self.up, self.remove):
            buttons.addWidget(made)
        column.addWidget(words)
        column.addWidget(self.tabs)
        column.addLayout(buttons)
        self.column.addWidget(frame)
        self.form = BoundForm(editor, "step", wording("The step"))
        self.stages = BoundRows(
            editor, "stage", wording("Stages of tightening"), STAGES, wording("Add a stage"),
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
            str(at): f"{mark_of(self.editor, ('fitting', at))}{at + 1}  "
            f"{step.get('text') or step.get('id') or ''}"
            for at, step in enumerate(steps)
        }
        self.tabs.show_choices(words, {str(self.index)})
        for made in (self.form, self.remove, self.up):
            made.setVisible(bool(steps))
        self.stages.setVisible(bool(steps) and steps[self.index].get("kind") == "torque")
        if steps:
            path: Path = ("fitting", self.index)
            fields = fitting_entries(steps[self.index])
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
