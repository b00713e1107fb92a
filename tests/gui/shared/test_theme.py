from itertools import combinations

import numpy as np
import pytest
from PySide6.QtGui import QColor, QFontInfo
from PySide6.QtWidgets import QApplication, QDialog, QPushButton, QVBoxLayout
from pytestqt.qtbot import QtBot

from seatproof.gui.shared.theme import LIGHT, THEMES, Theme, apply_theme

pytestmark = [
    pytest.mark.qt_log_level_fail("WARNING"),
    pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints"),
]

themes = pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)

# Machado, Oliveira, Fernandes (2009), severity 1.0, on linear RGB.
BLINDNESS = {
    "none": np.eye(3),
    "protanopia": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deuteranopia": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritanopia": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}


def linear(colour: QColor) -> np.ndarray:
    parts = np.array([colour.redF(), colour.greenF(), colour.blueF()])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio after WCAG 2.2."""
    light, dark = sorted(
        (float(linear(c) @ [0.2126, 0.7152, 0.0722]) for c in (one, other)), reverse=True
    )
    return (light + 0.05) / (dark + 0.05)


def lab(rgb: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b* of linear sRGB, white D65."""
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    x, y, z = (to_xyz @ np.clip(rgb, 0, 1)) / [0.9505, 1.0, 1.089]
    fx, fy, fz = (np.cbrt(t) if t > 0.008856 else 7.787 * t + 16 / 116 for t in (x, y, z))
    return np.array([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)])


@pytest.fixture
def app(qapp: QApplication):
    font, sheet, palette = qapp.font(), qapp.styleSheet(), qapp.palette()
    yield qapp
    qapp.setStyleSheet(sheet)
    qapp.setPalette(palette)
    qapp.setFont(font)


@themes
def test_lettering_is_read_in_a_bright_shop(theme: Theme) -> None:
    assert contrast(theme.ink, theme.paper) > 12
    assert contrast(theme.ink, theme.panel) > 12
    for ground in (theme.paper, theme.panel, theme.band, theme.guard):
        assert contrast(theme.faint_ink, ground) > 4.5
    assert contrast(theme.on_next, theme.next) > 4.5
    assert contrast(theme.paper, theme.outside) > 4.5  # banners


@themes
def test_marks_stand_out_from_what_they_lie_on(theme: Theme) -> None:
    for mark in (theme.inside, theme.outside, theme.unproven, theme.next, *theme.stations):
        for ground in (theme.paper, theme.band, theme.guard):
            assert contrast(mark, ground) > 3.0


@themes
@pytest.mark.parametrize("blindness", BLINDNESS)
def test_colours_of_a_meaning_differ_for_every_eye(theme: Theme, blindness: str) -> None:
    seen = [
        lab(BLINDNESS[blindness] @ linear(colour))
        for colour in (theme.inside, theme.outside, theme.next)
    ]
    for one, other in combinations(seen, 2):
        # A difference of 2.3 is just noticeable between patches side by side.
        assert np.linalg.norm(one - other) > 15


@themes
@pytest.mark.parametrize("text_scale", [1.0, 2.0])
def test_actions_are_large_enough_for_gloves(
    app: QApplication, qtbot: QtBot, theme: Theme, text_scale: float
) -> None:
    apply_theme(app, theme, text_scale)
    button = QPushButton("Take back")
    button.setProperty("role", "action")
    qtbot.addWidget(button)
    button.adjustSize()
    height_mm = button.height() / button.logicalDpiY() * 25.4
    assert height_mm >= 15.0


def test_the_return_of_a_gauge_presses_no_button(app: QApplication, qtbot: QtBot) -> None:
    apply_theme(app, LIGHT)
    dialog = QDialog()
    qtbot.addWidget(dialog)
    layout = QVBoxLayout(dialog)
    button = QPushButton("Seal")
    layout.addWidget(button)
    button.ensurePolished()
    assert not button.autoDefault()
    assert not button.isDefault()


def test_focus_changes_how_a_button_looks_but_not_its_size(app: QApplication, qtbot: QtBot) -> None:
    apply_theme(app, LIGHT)
    dialog = QDialog()
    qtbot.addWidget(dialog)
    layout = QVBoxLayout(dialog)
    first, second = QPushButton("First"), QPushButton("Second")
    layout.addWidget(first)
    layout.addWidget(second)
    with qtbot.waitExposed(dialog):
        dialog.show()
    dialog.activateWindow()
    first.setFocus()
    qtbot.waitUntil(first.hasFocus, timeout=2000)
    with_focus, size = first.grab().toImage(), first.size()
    second.setFocus()
    qtbot.waitUntil(second.hasFocus, timeout=2000)
    assert first.grab().toImage() != with_focus
    assert first.size() == size


@pytest.mark.parametrize("text_scale", [1.0, 2.0])
def test_lettering_is_our_own_and_scales(app: QApplication, text_scale: float) -> None:
    apply_theme(app, LIGHT, text_scale)
    assert QFontInfo(app.font()).family() == "DejaVu Sans"
    assert app.font().pointSizeF() == pytest.approx(11.0 * text_scale)


@pytest.mark.parametrize("text_scale", [0.0, -1.0, 5.0, float("nan")])
def test_a_text_scale_that_cannot_be_meant_is_refused(app: QApplication, text_scale: float) -> None:
    with pytest.raises(ValueError, match=r"give 0\.5 to 4"):
        apply_theme(app, LIGHT, text_scale)
