"""The requirements of a seat with what can be said of them by now: mark, word and figures."""

from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from seatproof.core.figures import NOTHING
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.wording.content import RequirementLine
from seatproof.core.wording.seat_part import seat_heading
from seatproof.gui.shared.marks import VerdictLabel
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme


def said_heading(plan: Plan, seat: Seat) -> str:
    """Say the heading of a seat; its name is as somebody wrote it."""
    parts = seat_heading(plan, seat).split(" · ")
    return " · ".join(part if part == seat.name else again(part) for part in parts)


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
        self.remarks.setText("\n".join(f"▸ {again(remark)}" for remark in remarks))
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
        name.setText(f"{again(line.characteristic)}, {again(line.sense)}")
        measured = line.value != NOTHING
        verdict.show_verdict(line.verdict if measured else None)
        value.setText(
            say("found {value}", value=again(line.value)) if measured else say("not measured yet")
        )
        within = say("limits {limits}", limits=again(line.limits))
        reasons = [again(reason) for reason in line.reasons]
        limits.setText("\n".join((_known(line, within), *reasons)) if measured else within)
        for label in (name, value, limits):
            label.setToolTip("\n".join((again(line.judged), *reasons)))

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


def _known(line: RequirementLine, within: str) -> str:
    """Say how sure a value is, and what it is held against."""
    known = [f"U {again(line.uncertainty)}", within]
    if line.probability:
        known.append(
            say("probability of conformity {probability}", probability=again(line.probability))
        )
    return "; ".join(known)
