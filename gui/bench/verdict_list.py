"""The requirements of a seat with what can be said of them by now: mark, word and figures."""

from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from seatproof.core.figures import NOTHING
from seatproof.core.wording.content import RequirementLine
from seatproof.gui.shared.marks import VerdictLabel
from seatproof.gui.shared.theme import Theme


class VerdictList(QFrame):
    """Shows the `RequirementLine`s of one seat."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setProperty("role", "card")
        self._heading = QLabel()
        self._heading.setProperty("role", "question")
        self._heading.setWordWrap(True)
        self._rows = QGridLayout()
        self._rows.setColumnStretch(0, 1)
        self._rows.setVerticalSpacing(1)
        self._shown: list[tuple[QLabel, VerdictLabel, QLabel, QLabel]] = []
        layout = QVBoxLayout(self)
        layout.addWidget(self._heading)
        self.remarks = QLabel()
        self.remarks.setObjectName("insights")
        self.remarks.setWordWrap(True)
        layout.addLayout(self._rows)
        layout.addWidget(self.remarks)
        layout.addStretch(1)

    def show_requirements(
        self, heading: str, lines: tuple[RequirementLine, ...], remarks: tuple[str, ...] = ()
    ) -> None:
        """Show requirements; `remarks` say what they hang on."""
        self._heading.setText(heading)
        self.remarks.setText("\n".join(f"▸ {remark}" for remark in remarks))
        self.remarks.setVisible(bool(remarks))
        while len(self._shown) < len(lines):
            self._add_row()
        for index, widgets in enumerate(self._shown):
            for widget in widgets:
                widget.setVisible(index < len(lines))
            if index < len(lines):
                self._show_line(lines[index], *widgets)

    def _show_line(
        self,
        line: RequirementLine,
        name: QLabel,
        verdict: VerdictLabel,
        value: QLabel,
        limits: QLabel,
    ) -> None:
        name.setText(f"{line.characteristic}, {line.sense}")
        probability = f"; probability of conformity {line.probability}" if line.probability else ""
        measured = line.value != NOTHING
        verdict.show_verdict(line.verdict if measured else None)
        value.setText(f"found {line.value}" if measured else "not measured yet")
        limits.setText(
            "\n".join((f"U {line.uncertainty}; limits {line.limits}{probability}", *line.reasons))
            if measured
            else f"limits {line.limits}"
        )
        for label in (name, value, limits):
            label.setToolTip("\n".join((line.judged, *line.reasons)))

    def _add_row(self) -> None:
        name, value, limits = QLabel(), QLabel(), QLabel()
        verdict = VerdictLabel(self._theme)
        name.setProperty("role", "strong")
        limits.setProperty("role", "small")
        for label in (value, limits):
            label.setWordWrap(True)
        row = 3 * len(self._shown)
        self._rows.addWidget(name, row, 0)
        self._rows.addWidget(verdict, row, 1)
        self._rows.addWidget(value, row + 1, 0, 1, 2)
        self._rows.addWidget(limits, row + 2, 0, 1, 2)
        self._shown.append((name, verdict, value, limits))
