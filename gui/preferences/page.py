"""A page for what a person chooses for this computer; every choice holds at once."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget

from seatproof.gui.preferences.archive_card import ArchiveCard
from seatproof.gui.preferences.cards import card, choice, plain_button, stepper, value_label
from seatproof.gui.preferences.key_button import KeyButton
from seatproof.gui.preferences.languages import LANGUAGE_NAMES
from seatproof.gui.settings import Action, Settings
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.scrolling import scrolling
from seatproof.gui.shared.theme import THEMES
from seatproof.gui.sound.cue import Cue

_TEXT_STEP = 25
_VOLUME_STEP = 20
_UNITS = {"mm": wording("Millimetres"), "in": wording("Inches")}


class PreferencesPage(QWidget):
    """Shows `Settings` and asks for other ones.

    Signals
    -------
    chosen : Settings
        These shall hold from now on.
    tried : Cue
        A sound shall be heard.
    archive_chosen : Path
        That archive shall be opened in place of this one.
    left
        Back to where it was opened from.
    """

    chosen = Signal(object)
    tried = Signal(object)
    archive_chosen = Signal(object)
    left = Signal()

    def __init__(self, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings = settings
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._themes = {
            theme.name: choice(_capital(say(theme.name)), f"theme_{theme.name.replace(' ', '_')}")
            for theme in THEMES
        }
        self._languages = {
            code: choice(name, f"language_{code}") for code, name in LANGUAGE_NAMES.items()
        }
        self._units = {unit: choice(say(name), f"unit_{unit}") for unit, name in _UNITS.items()}
        for field, buttons in (
            ("theme", self._themes),
            ("language", self._languages),
            ("plan_unit", self._units),
        ):
            self._let_choose(field, buttons)
        self._text = value_label()
        self._volume = value_label()
        self._mute = choice(say("Mute"), "mute")
        self._mute.clicked.connect(lambda: self._change(muted=not self._settings.muted))
        self.files = ArchiveCard()
        self.files.archive_chosen.connect(self.archive_chosen)
        self.files.folder_chosen.connect(lambda folder: self._change(backup_folder=folder))
        self.keys = {action: KeyButton(action) for action in Action}
        for action, key_button in self.keys.items():
            key_button.pressed_key.connect(
                lambda key, action=action: self._use(self._settings.with_key(action, key))
            )
        self.trouble = QLabel()
        self.trouble.setObjectName("settings_trouble")
        self.trouble.setProperty("role", "banner")
        self.trouble.setWordWrap(True)
        self.trouble.hide()
        back = ActionButton(say("Back (Esc)"))
        back.setObjectName("back")
        back.clicked.connect(self.left)
        content = QWidget()
        cards = QVBoxLayout(content)
        cards.addWidget(_row_card(say("Language"), self._languages))
        cards.addWidget(self._screen_card())
        cards.addWidget(self._sound_card())
        cards.addWidget(self._key_card())
        cards.addWidget(self.files)
        cards.addWidget(_row_card(say("Unit that a new plan begins with"), self._units))
        cards.addStretch(1)
        title = QLabel(say("Settings"))
        title.setProperty("role", "instruction")
        layout = QVBoxLayout(self)
        layout.addWidget(title)
        layout.addWidget(scrolling(content), 1)
        layout.addWidget(self.trouble)
        layout.addWidget(back)
        self.show_settings(settings)

    def show_settings(self, settings: Settings) -> None:
        """Show what holds now."""
        self._settings = settings
        for buttons, chosen in (
            (self._themes, settings.theme),
            (self._languages, settings.language),
            (self._units, settings.plan_unit),
        ):
            for name, button in buttons.items():
                button.setChecked(name == chosen)
        self._text.setText(f"{settings.text_percent} %")
        self._volume.setText(f"{settings.volume_percent} %")
        self._mute.setChecked(settings.muted)
        self.files.show_settings(settings)
        for action, key_button in self.keys.items():
            key_button.show_key(settings.key(action))

    def show_archive(self, archive: Path, earlier: Path | None, copied: str) -> None:
        """Show which archive is open, which one was before, and what came of the last copy."""
        self.files.show_archive(archive, earlier, copied)

    def show_copy(self, sentence: str) -> None:
        """Show what came of the last copy."""
        self.files.show_copy(sentence)

    def show_trouble(self, sentence: str) -> None:
        """Say why settings cannot be kept, or not be had now."""
        self.trouble.setText(sentence)
        self.trouble.setVisible(bool(sentence))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)

    def _let_choose(self, field: str, buttons: Mapping[Any, ActionButton]) -> None:
        for name, button in buttons.items():
            button.clicked.connect(lambda _=False, name=name: self._change(**{field: name}))

    def _change(self, **fields: object) -> None:
        self._use(self._settings.model_copy(update=fields))

    def _use(self, settings: Settings) -> None:
        self.show_trouble("")
        self.show_settings(settings)
        self.chosen.emit(settings)

    def _step(self, field: str, by: int, lowest: int, highest: int) -> Callable[[], None]:
        def step() -> None:
            value = int(getattr(self._settings, field)) + by
            self._change(**{field: min(max(value, lowest), highest)})

        return step

    def _screen_card(self) -> QFrame:
        frame, grid = card(say("Colours and size of text"))
        for column, button in enumerate(self._themes.values()):
            grid.addWidget(button, 0, column)
        less, more = (self._step("text_percent", by * _TEXT_STEP, 100, 200) for by in (-1, 1))
        row = stepper(self._text, less, more, "text", say("Size of text"))
        grid.addLayout(row, 1, 0, 1, len(self._themes))
        return frame

    def _sound_card(self) -> QFrame:
        frame, grid = card(say("Sounds"))
        less, more = (self._step("volume_percent", by * _VOLUME_STEP, 0, 100) for by in (-1, 1))
        row = stepper(self._volume, less, more, "volume", say("Loudness"))
        grid.addLayout(row, 0, 0, 1, 2)
        grid.addWidget(self._mute, 0, 2)
        for index, cue in enumerate(Cue):
            button = plain_button(say("Hear: {sound}", sound=again(cue.words)), f"hear_{cue}")
            button.clicked.connect(lambda _=False, cue=cue: self.tried.emit(cue))
            grid.addWidget(button, 1 + index // 3, index % 3)
        return frame

    def _key_card(self) -> QFrame:
        frame, grid = card(say("Keys and pedals: tap one, then press the key or the pedal"))
        for index, button in enumerate(self.keys.values()):
            grid.addWidget(button, index // 3, index % 3)
        return frame


def _row_card(heading: str, buttons: Mapping[Any, ActionButton]) -> QFrame:
    frame, grid = card(heading)
    for column, button in enumerate(buttons.values()):
        grid.addWidget(button, 0, column)
    return frame


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
