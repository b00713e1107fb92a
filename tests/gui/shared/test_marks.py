from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from seatproof.core.verdict.rule import Verdict
from seatproof.gui.bench.points import PointMark
from seatproof.gui.shared.marks import (
    PointMarkLabel,
    VerdictLabel,
    paint_point_mark,
    paint_verdict_mark,
    point_icon,
    verdict_icon,
)
from seatproof.gui.shared.theme import LIGHT, THEMES, Theme

pytestmark = [pytest.mark.qt_log_level_fail("WARNING")]

themes = pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)


def grey(theme: Theme, mark: PointMark | Verdict, size: int) -> np.ndarray:
    """Paint a mark and return its grey values from 0 to 1, ink on paper as 1 on 0."""
    image = QImage(size + 2, size + 2, QImage.Format.Format_RGB32)
    image.fill(theme.paper)
    painter = QPainter(image)
    middle = (size + 2) / 2
    if isinstance(mark, PointMark):
        paint_point_mark(painter, mark, QPointF(middle, middle), size, theme)
    else:
        paint_verdict_mark(painter, mark, QRectF(1, 1, size, size), theme)
    painter.end()
    values = np.array(
        [[image.pixelColor(x, y).lightnessF() for x in range(size + 2)] for y in range(size + 2)]
    )
    return np.abs(values - theme.paper.lightnessF())


@themes
@pytest.mark.parametrize("marks", [PointMark, Verdict])
@pytest.mark.parametrize("size", [10, 16])
def test_marks_differ_without_colour(qapp: QApplication, theme, marks, size) -> None:
    drawn = {mark: grey(theme, mark, size) for mark in marks}
    for mark, ink in drawn.items():
        drawn[mark] = ink / ink.max()  # the shape alone, whatever the grey of its colour
    for one, other in combinations(drawn, 2):
        both = np.maximum(drawn[one], drawn[other]).sum()
        differing = np.abs(drawn[one] - drawn[other]).sum() / both
        assert differing > 0.4, f"{one} and {other} are too much alike"


@themes
@pytest.mark.parametrize("mark", [*PointMark, *Verdict])
def test_a_mark_stays_within_its_square(qapp: QApplication, theme, mark) -> None:
    edge = grey(theme, mark, 20)
    assert edge[1:-1, 1:-1].max() > 0.2
    for side in (edge[0], edge[-1], edge[:, 0], edge[:, -1]):
        assert side.max() < 0.02


def test_above_is_below_turned_over(qapp: QApplication) -> None:
    above, below = (grey(LIGHT, mark, 20) for mark in (PointMark.ABOVE, PointMark.BELOW))
    assert np.abs(above - below[::-1]).max() < 0.02


@pytest.mark.parametrize("mark", [*PointMark, *Verdict])
def test_icons_hold_the_mark(qapp: QApplication, mark) -> None:
    icon = (point_icon if isinstance(mark, PointMark) else verdict_icon)(mark, LIGHT, 24)
    image = icon.pixmap(24, 24).toImage()
    assert any(image.pixelColor(x, y).alpha() for x in range(24) for y in range(24))
    assert image.pixelColor(0, 0).alpha() == 0


@themes
@pytest.mark.parametrize(("label", "marks"), [(VerdictLabel, Verdict), (PointMarkLabel, PointMark)])
def test_mark_and_word_go_together(qtbot: QtBot, theme, label, marks) -> None:
    widget = label(theme)
    qtbot.addWidget(widget)
    show = widget.show_verdict if marks is Verdict else widget.show_mark
    pictures = []
    for mark in (None, *marks):
        show(mark)
        widget.resize(widget.sizeHint())
        pictures.append(widget.grab().toImage())
        assert widget.text == ("–" if mark is None else mark.value)
    assert all(one != other for one, other in combinations(pictures, 2))
