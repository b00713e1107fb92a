"""Requirements with their verdicts as cards: value, limits, U, probability of conformity, why."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.figures import NOTHING
from seatproof.core.verdict.rule import Verdict
from seatproof.core.wording.content import RequirementLine
from seatproof.gui.shared.marks import paint_verdict_mark
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme


class VerdictMark(QWidget):
    """The mark of a verdict, as high as a line of text."""

    def __init__(self, theme: Theme, verdict: Verdict, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._verdict = theme, verdict
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(again(verdict.value))

    def set_theme(self, theme: Theme) -> None:
        self._theme = theme
        self.update()

    def sizeHint(self) -> QSize:
        em = round(1.2 * self.fontMetrics().height())
        return QSize(em, em)

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        box = QRectF(self.rect()).adjusted(2, 2, -2, -2)
        paint_verdict_mark(QPainter(self), self._verdict, box, self._theme)


class VerdictCards(QWidget):
    """Shows requirements under the heading of their seat."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)

    def set_theme(self, theme: Theme) -> None:
        self._theme = theme

    def show_seats(self, seats: Sequence[tuple[str, Sequence[RequirementLine]]]) -> None:
        """Show the requirements of each seat under its heading."""
        while (item := self._column.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        for heading, lines in seats:
            self._column.addWidget(self._card(heading, lines))

    def _card(self, heading: str, lines: Sequence[RequirementLine]) -> QFrame:
        frame = QFrame()
        frame.setProperty("role", "card")
        layout = QVBoxLayout(frame)
        layout.addWidget(_label(heading, "question"))
        for line in lines:
            row = QHBoxLayout()
            row.addWidget(VerdictMark(self._theme, line.verdict), 0, Qt.AlignmentFlag.AlignTop)
            name = _label(
                f"{again(line.characteristic)}, {again(line.sense)}: {again(line.verdict.value)}",
                "strong",
            )
            font = name.font()
            font.setBold(True)
            name.setFont(font)
            row.addWidget(name, 1)
            layout.addLayout(row)
            limits = again(line.limits)
            layout.addWidget(
                _label(
                    say("not measured; limits {limits}", limits=limits)
                    if line.value == NOTHING
                    else say(
                        "found {value}; limits {limits}",
                        value=again(line.value),
                        limits=limits,
                    )
                )
            )
            known = [f"U {again(line.uncertainty)}"]
            if line.probability:
                known.append(
                    say(
                        "probability of conformity {probability}",
                        probability=again(line.probability),
                    )
                )
            layout.addWidget(_label("; ".join(known)))
            why = " ".join(
                (
                    say("Judged: {what}.", what=again(line.judged)),
                    *(again(reason) for reason in line.reasons),
                )
            )
            layout.addWidget(_label(why, "small"))
        return frame


def _label(text: str, role: str = "") -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    if role:
        label.setProperty("role", role)
    return label
