"""What the pages of the editor have in common, and the marks that lead to what is wrong."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from seatproof.gui.plans.draft import Path
from seatproof.gui.plans.editor import PlanEditor


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


def mark_of(editor: PlanEditor, path: Path) -> str:
    """Return the mark of a tab: something is wrong, or still missing there."""
    found = editor.findings_at(path)
    if not found:
        return ""
    return "○ " if all(one.is_missing for one in found) else "✗ "
