"""Settings of one computer: kept, read back, and never in the way."""

import pytest

from seatproof.gui.settings import USUAL_KEYS, Action, Settings, load_settings, save_settings


def test_what_is_kept_is_read_back(tmp_path):
    chosen = Settings(theme="dark", text_percent=150, muted=True).with_key(Action.SKIP, "B")
    path = tmp_path / "folder" / "settings.toml"
    assert save_settings(chosen, path) == ""
    assert load_settings(path) == (chosen, "")


def test_a_newcomer_has_the_usual_settings(tmp_path):
    assert load_settings(tmp_path / "none.toml") == (Settings(), "")
    assert Settings().keys == USUAL_KEYS


@pytest.mark.parametrize(
    "text",
    ["theme = ", 'theme = "pink"', "text_percent = 900", "unknown = 1", '[keys]\n"dance" = "F1"'],
)
def test_a_file_that_cannot_be_used_is_told_and_keeps_nobody_from_measuring(tmp_path, text):
    path = tmp_path / "settings.toml"
    path.write_text(text)
    settings, sentence = load_settings(path)
    assert settings == Settings()
    assert str(path) in sentence


def test_one_key_does_one_thing():
    settings = Settings().with_key(Action.REPEAT, USUAL_KEYS[Action.SKIP])
    assert settings.key(Action.REPEAT) == "F7"
    assert settings.key(Action.SKIP) == ""


def test_a_place_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    sentence = save_settings(Settings(), tmp_path / "file" / "settings.toml")
    assert "cannot be kept" in sentence
