"""Inspections as cards in a list: mark, word and colour of the verdict, what, who, and what else.

Cards are painted, so that a list of thousands costs what is seen of it; what stands on a card
beyond its entry is fetched when it comes into view.
"""

from collections.abc import Callable, Sequence
from typing import Any, Final

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QPersistentModelIndex,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from seatproof.core.archive.query import Entry
from seatproof.core.verdict.rule import Verdict
from seatproof.gui.shared.marks import paint_verdict_mark
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme

Line = tuple[str, Verdict | None]
Details = Callable[[Entry], Sequence[Line]]
Index = QModelIndex | QPersistentModelIndex

_MOST_LINES: Final = 3
ENTRY: Final = Qt.ItemDataRole.UserRole


class EntryModel(QAbstractListModel):
    """The entries of a list; `details` says what else stands on a card."""

    def __init__(self, details: Details | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._entries: list[Entry] = []
        self._details = details
        self._known: dict[str, tuple[Line, ...]] = {}

    @property
    def entries(self) -> tuple[Entry, ...]:
        return tuple(self._entries)

    def show_entries(self, entries: Sequence[Entry]) -> None:
        self.beginResetModel()
        self._entries = list(entries)
        self._known.clear()
        self.endResetModel()

    def add_entries(self, entries: Sequence[Entry]) -> None:
        """Put more behind those that are shown."""
        first = len(self._entries)
        self.beginInsertRows(QModelIndex(), first, first + len(entries) - 1)
        self._entries += entries
        self.endInsertRows()

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._entries)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid():
            return None
        entry = self._entries[index.row()]
        if role == ENTRY:
            return entry
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            words = [heading(entry), again(entry.verdict or entry.state)]
            return ". ".join([*words, *(text for text, _ in self.lines(entry))])
        return None

    def lines(self, entry: Entry) -> tuple[Line, ...]:
        """Return what else stands on a card."""
        if self._details is None:
            return ()
        if entry.inspection not in self._known:
            self._known[entry.inspection] = tuple(self._details(entry))
        return self._known[entry.inspection]


class CardDelegate(QStyledItemDelegate):
    """Paints cards, all of one height."""

    def __init__(self, theme: Theme, lines: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._lines = lines

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        del index
        em = QFontMetricsF(option.font).height()
        return QSize(round(20 * em), round((3.0 + self._lines) * em))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        entry = index.data(ENTRY)
        model = index.model()
        assert isinstance(entry, Entry)
        assert isinstance(model, EntryModel)
        painter.save()
        theme, metrics = self.theme, QFontMetricsF(option.font)
        em = metrics.height()
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        focused = bool(option.state & QStyle.StateFlag.State_HasFocus)
        box = QRectF(option.rect).adjusted(2, 2, -2, -2)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(theme.focus if focused else theme.grid, 3 if focused else 1))
        painter.setBrush(theme.band if chosen else theme.paper)
        painter.drawRoundedRect(box, 5, 5)
        left, width = box.left() + 2.4 * em, box.width() - 3.0 * em
        top = box.top() + 0.3 * em
        mark = QRectF(box.left() + 0.6 * em, top + 0.1 * em, 1.1 * em, 1.1 * em)
        verdict = verdict_of(entry)
        if verdict is not None:
            paint_verdict_mark(painter, verdict, mark, theme)
        strong = QFont(option.font)
        strong.setBold(True)
        word = again(entry.verdict or entry.state)
        word_width = QFontMetricsF(strong).horizontalAdvance(word)
        first, second = (QRectF(left, top + n * 1.2 * em, width, 1.2 * em) for n in (0, 1))
        # A narrow card has its verdict below, so that the name has the whole of the first line.
        below = self._lines == 0
        painter.setFont(strong)
        painter.setPen(theme.ink)
        name = first if below else first.adjusted(0, 0, -word_width - em, 0)
        self._text(painter, heading(entry), name)
        painter.setPen(_colour(verdict, theme))
        side = Qt.AlignmentFlag.AlignLeft if below else Qt.AlignmentFlag.AlignRight
        painter.drawText(second if below else first, side | Qt.AlignmentFlag.AlignVCenter, word)
        painter.setFont(option.font)
        painter.setPen(theme.faint_ink)
        rest = second.adjusted(word_width + 0.8 * em, 0, 0, 0) if below else second
        self._text(painter, second_line(entry), rest)
        lines = model.lines(entry) if self._lines else ()
        shown = lines[: self._lines]
        for row, (text, one) in enumerate(shown):
            y = top + (2.4 + row) * em
            painter.setPen(theme.ink)
            if one is not None:
                small = QRectF(left, y + 0.15 * em, 0.7 * em, 0.7 * em)
                paint_verdict_mark(painter, one, small, theme)
            more = len(lines) - len(shown)
            last = row == len(shown) - 1
            if last and more:
                text = say("{line} · and {count} more", line=text, count=str(more))
            painter.setPen(theme.ink)
            self._text(painter, text, QRectF(left + em, y, width - em, em))
        painter.restore()

    def _text(self, painter: QPainter, text: str, box: QRectF) -> None:
        metrics = QFontMetricsF(painter.font())
        elided = metrics.elidedText(text, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, elided)


class CardList(QListView):
    """A list of cards; Return or a double click opens one."""

    def __init__(self, theme: Theme, model: EntryModel, lines: int = _MOST_LINES) -> None:
        super().__init__()
        self.setModel(model)
        self._delegate = CardDelegate(theme, lines, self)
        self.setItemDelegate(self._delegate)
        self.setUniformItemSizes(True)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMouseTracking(False)

    def set_theme(self, theme: Theme) -> None:
        self._delegate.theme = theme
        self.viewport().update()

    def current_entry(self) -> Entry | None:
        """Return the entry that the keyboard is on."""
        entry = self.currentIndex().data(ENTRY)
        return entry if isinstance(entry, Entry) else None


def verdict_of(entry: Entry) -> Verdict | None:
    """Return the sealed verdict of an entry; None before the seal."""
    return Verdict(entry.verdict) if entry.verdict else None


def heading(entry: Entry) -> str:
    """Name an inspection: its sheet and what was inspected."""
    number = entry.sheet_number or entry.inspection[:8]
    return " · ".join(part for part in (number, entry.asset or entry.thing, entry.shaft) if part)


def second_line(entry: Entry) -> str:
    """Say which plan, when, by whom, and in what state an inspection is."""
    parts = [entry.opened_day or entry.opened_utc[:10], ", ".join(entry.inspectors), entry.title]
    if entry.verdict:
        parts.insert(0, again(entry.state))
    if entry.work_order:
        parts.append(f"{say('order')} {entry.work_order}")
    return " · ".join(part for part in parts if part)


def _colour(verdict: Verdict | None, theme: Theme) -> Any:
    if verdict is Verdict.CONFORMS:
        return theme.inside
    if verdict is Verdict.DOES_NOT_CONFORM:
        return theme.outside
    return theme.unproven
