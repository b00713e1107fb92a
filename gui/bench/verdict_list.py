"""The requirements of a seat with what can be said of them by now: mark, word and figures."""

from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from seatproof.core.sheet.content import RequirementLine
from seatproof.gui.shared.marks import VerdictLabel
from seatproof.gui.shared.theme import Theme


class VerdictList(QFrame):
    """Shows the `RequirementLine`s of one seat."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setProperty("role", "card")
        self._heading = QLabel()
        self._heading.setProperty("role", "heading")
        self._rows = QGridLayout()
        self._rows.setColumnStretch(1, 1)
        self._shown: list[tuple[VerdictLabel, QLabel]] = []
        layout = QVBoxLayout(self)
        layout.addWidget(self._heading)
        layout.addLayout(self._rows)
        layout.addStretch(1)

    def show_requirements(self, heading: str, lines: tuple[RequirementLine, ...]) -> None:
        self._heading.setText(heading)
        while len(self._shown) < len(lines):
            self._add_row()
        for index, (mark, text) in enumerate(self._shown):
            there = index < len(lines)
            mark.setVisible(there)
            text.setVisible(there)
            if there:
                line = lines[index]
                mark.show_verdict(line.verdict)
                text.setText(
                    f"<b>{line.characteristic}</b> {line.limits} ({line.sense})<br>"
                    f"{line.value} · U {line.uncertainty} · <b>{line.verdict}</b>"
                )
                text.setToolTip("\n".join((line.judged, *line.reasons)))

    def _add_row(self) -> None:
        mark, text = VerdictLabel(self._theme), QLabel()
        text.setWordWrap(True)
        row = len(self._shown)
        self._rows.addWidget(mark, row, 0)
        self._rows.addWidget(text, row, 1)
        self._shown.append((mark, text))
