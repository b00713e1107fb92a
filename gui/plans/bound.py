"""Forms and lists of the editor that are tied to a place of the plan."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtWidgets import QVBoxLayout, QWidget

from seatproof.gui.bench.pages.base import card, plain_label
from seatproof.gui.plans.captions import short_caption
from seatproof.gui.plans.draft import Data, Path
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.plans.findings import Finding
from seatproof.gui.shared.entry_form import EntryForm, show_remark
from seatproof.gui.shared.entry_rows import EntryRows
from seatproof.gui.shared.entry_spec import Entry, Remark, Tone
from seatproof.gui.shared.saying import again, say


def remark_of(finding: Finding) -> Remark:
    """Return what a form says of a finding."""
    return Remark(again(finding.sentence), Tone.MISSING if finding.is_missing else Tone.WRONG)


class BoundForm(QWidget):
    """A card with a form whose fields are values at a place of the plan."""

    def __init__(self, editor: PlanEditor, prefix: str, heading: str) -> None:
        super().__init__()
        self._editor = editor
        self._path: Path = ()
        self.form = EntryForm(prefix)
        self.form.edited.connect(self._put)
        self.whole = plain_label(f"remark_{prefix}")
        frame, self.column = card(say(heading))
        self.column.addWidget(self.whole)
        self.column.addWidget(self.form)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(frame)

    def show_at(
        self,
        path: Path,
        entries: Sequence[Entry],
        notes: dict[str, Remark] | None = None,
        *,
        own_remarks: bool = False,
    ) -> None:
        """Show the fields of a place; `own_remarks`: also what is said of the place itself."""
        self._path = path
        remarks = dict(notes or {})
        keys = {entry.key for entry in entries}
        of_all: list[Finding] = []
        for finding in self._editor.findings_at(path):
            key = ".".join(str(part) for part in finding.path[len(path) :])
            if key in keys:
                remarks[key] = remark_of(finding)
            elif not key and own_remarks:
                of_all.append(finding)
        show_remark(self.whole, remark_of(of_all[0]) if of_all else None)
        values = self._editor.values(path, tuple(keys))
        self.form.show_form(entries, values, remarks, self._editor.unit.value)

    def go_to(self, path: Path) -> bool:
        """Go to the field of a path, where it is one of these."""
        below = path[len(self._path) :]
        if path[: len(self._path)] != self._path:
            return False
        return self.form.go_to(".".join(str(part) for part in below))

    def _put(self, key: str, value: object) -> None:
        assert isinstance(value, str | bool)
        self._editor.put((*self._path, *key.split(".")), value)


class BoundRows(QWidget):
    """A card with a list of the plan."""

    def __init__(
        self,
        editor: PlanEditor,
        prefix: str,
        heading: str,
        columns: Sequence[Entry],
        add: str,
        new: Callable[[], Data],
        *,
        own_button: str = "",
        own: Callable[[int], object] = lambda _index: None,
    ) -> None:
        super().__init__()
        self._editor = editor
        self._path: Path = ()
        self._columns = tuple(columns)
        self.rows = EntryRows(prefix, columns, add, own_button=own_button)
        self.rows.edited.connect(
            lambda index, key, text: editor.put((*self._path, index, key), text)
        )
        self.rows.added.connect(self._add)
        self.rows.removed.connect(lambda index: editor.remove(self._path, index))
        self.rows.moved.connect(lambda index: editor.move_up(self._path, index))
        self.rows.tapped.connect(own)
        self._new = new
        self.whole = plain_label(f"remark_{prefix}")
        frame, column = card(say(heading))
        column.addWidget(self.whole)
        column.addWidget(self.rows)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(frame)

    def show_at(self, path: Path) -> None:
        """Show the list at a place of the plan."""
        self._path = path
        remarks: dict[int, Remark] = {}
        captions = {column.key: short_caption(column) for column in self._columns}
        of_all: Finding | None = None
        for finding in self._editor.findings_at(path):
            below = finding.path[len(path) :]
            if not below:
                of_all = of_all or finding
                continue
            index = int(below[0])
            caption = captions.get(str(below[-1]), "") if len(below) > 1 else ""
            remark = remark_of(finding)
            if caption:
                remark = replace(remark, sentence=f"{caption}: {remark.sentence}")
            if index not in remarks or remarks[index].tone is Tone.MISSING:
                remarks[index] = remark
        show_remark(self.whole, remark_of(of_all) if of_all is not None else None)
        self.rows.show_rows(self._editor.value(path) or [], remarks, self._editor.unit.value)

    def go_to(self, path: Path) -> bool:
        """Go to the row and field of a path, where it is one of these."""
        below = path[len(self._path) :]
        if path[: len(self._path)] != self._path:
            return False
        if not below:
            return self.rows.go_to(0)
        return self.rows.go_to(int(below[0]), str(below[1]) if len(below) > 1 else "")

    def _add(self) -> None:
        index = self._editor.add(self._path, self._new())
        self.rows.go_to(index)
