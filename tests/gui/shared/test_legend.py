from itertools import pairwise

import pytest
from PySide6.QtGui import QFont, QFontMetricsF
from PySide6.QtWidgets import QApplication

from seatproof.gui.shared.legend import Entry, lay_out, legend_height


def unpainted(*_: object) -> None:
    raise AssertionError("nothing is painted while a legend is laid out")


ENTRIES = [Entry(unpainted, f"station {number}", strong=number == 1) for number in range(1, 31)]


@pytest.mark.parametrize("width", [60, 200, 333, 1000, 5000])
@pytest.mark.parametrize("rows", [0, 1, 3])
def test_no_entry_is_cut_or_lost(qapp: QApplication, width: int, rows: int) -> None:
    metrics = QFontMetricsF(QFont())
    placed, left_out = lay_out(ENTRIES, metrics, width, rows)
    assert len(placed) + left_out == len(ENTRIES)
    assert [item.entry for item in placed] == ENTRIES[: len(placed)]
    assert all(item.row < rows for item in placed)
    for item in placed:
        assert item.x + metrics.horizontalAdvance(item.entry.word) < width


def test_entries_of_a_row_keep_apart(qapp: QApplication) -> None:
    metrics = QFontMetricsF(QFont())
    placed, _ = lay_out(ENTRIES, metrics, 400, 9)
    for before, after in pairwise(placed):
        if before.row == after.row:
            end = before.x + metrics.horizontalAdvance(before.entry.word)
            assert after.x > end + metrics.height()


def test_an_empty_legend_takes_no_room(qapp: QApplication) -> None:
    metrics = QFontMetricsF(QFont())
    assert legend_height((), metrics) == 0.0
    one, _ = lay_out(ENTRIES[:1], metrics, 400, 3)
    assert legend_height(one, metrics) > metrics.height()
