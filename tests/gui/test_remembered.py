"""Where a window goes that was closed elsewhere, and files that cannot be used."""

import pytest

from seatproof.gui.remembered import (
    Rect,
    Remembered,
    load_remembered,
    save_remembered,
    within_reach,
)
from seatproof.gui.settings import Settings, language_of_locale, load_settings

MAIN = Rect(0, 0, 1920, 1040)
LEFT = Rect(-1280, 0, 1280, 1024)


@pytest.mark.parametrize(
    ("wanted", "screens", "expected"),
    [
        (Rect(100, 80, 1280, 800), (MAIN,), Rect(100, 80, 1280, 800)),
        (Rect(-1200, 50, 1000, 700), (MAIN, LEFT), Rect(-1200, 50, 1000, 700)),
        # The screen on the left was taken away: into the middle of the main one.
        (Rect(-1200, 50, 1000, 700), (MAIN,), Rect(460, 170, 1000, 700)),
        (Rect(5000, 5000, 800, 600), (MAIN,), Rect(560, 220, 800, 600)),
        # Its upper edge lies above the screen, and it could not be moved from there.
        (Rect(300, -400, 800, 600), (MAIN,), Rect(560, 220, 800, 600)),
        (Rect(0, 0, 3840, 2100), (MAIN,), MAIN),
        (Rect(1500, 500, 800, 600), (MAIN,), Rect(1120, 440, 800, 600)),
        (Rect(10, 20, 800, 600), (), Rect(10, 20, 800, 600)),
    ],
)
def test_a_window_is_within_reach(wanted, screens, expected):
    assert within_reach(wanted, screens) == expected


def test_what_is_remembered_is_read_back(tmp_path):
    remembered = Remembered(x=-5, y=7, width=900, height=600, maximized=True, inspector="Ann")
    save_remembered(remembered, tmp_path / "folder" / "window.toml")
    assert load_remembered(tmp_path / "folder" / "window.toml") == remembered


@pytest.mark.parametrize("text", ["x = ", "width = 0", "unknown = 1", "place = 3"])
def test_what_cannot_be_used_is_forgotten(tmp_path, text):
    path = tmp_path / "window.toml"
    path.write_text(text)
    assert load_remembered(path) == Remembered()


@pytest.mark.parametrize(
    ("locale", "language"),
    [("de_AT", "de"), ("es_MX", "es"), ("en_GB", "en"), ("fr_FR", "en"), ("C", "en"), ("de", "de")],
)
def test_the_language_of_a_newcomer_is_the_systems(tmp_path, locale, language):
    assert language_of_locale(locale) == language
    settings, _ = load_settings(tmp_path / "none.toml", language_of_locale(locale))
    assert settings.language == language


def test_a_chosen_language_wins_over_the_systems(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text('language = "es"\n')
    assert load_settings(path, "de")[0] == Settings(language="es")
    path.write_text('theme = "dark"\n')  # written before there were languages
    assert load_settings(path, "de")[0] == Settings(theme="dark", language="de")
