"""A page for what a person chooses for this computer; every choice holds at once."""

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from seatproof.gui.settings import Action, Settings
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.scrolling import scrolling
from seatproof.gui.shared.theme import THEMES
from seatproof.gui.sound.cue import Cue

_TEXT_STEP = 25
_VOLUME_STEP = 20
_MODIFIERS = (Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta)


class PreferencesPage(QWidget):
    """Shows `Settings` and asks for other ones.

    Signals
    -------
    chosen : Settings
        These shall hold from now on.
    tried : Cue
        A sound shall be heard.
    left
        Back to where it was opened from.
    """

    chosen = Signal(object)
    tried = Signal(object)
    left = Signal()

    def __init__(self, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings = settings
        self._themes = {
            theme.name: _choice(theme.name.capitalize(), f"theme_{theme.name.replace(' ', '_')}")
            for theme in THEMES
        }
        for name, button in self._themes.items():
            button.clicked.connect(lambda _=False, name=name: self._change(theme=name))
        self._text = _value_label()
        self._volume = _value_label()
        self._mute = _choice("Mute", "mute")
        self._mute.clicked.connect(lambda: self._change(muted=not self._settings.muted))
        self.keys = {action: KeyButton(action) for action in Action}
        for action, key_button in self.keys.items():
            key_button.pressed_key.connect(
                lambda key, action=action: self._use(self._settings.with_key(action, key))
            )
        self.trouble = QLabel()
        self.trouble.setProperty("role", "banner")
        self.trouble.setWordWrap(True)
        self.trouble.hide()
        back = ActionButton("Back (Esc)")
        back.setObjectName("back")
        back.clicked.connect(self.left)
        content = QWidget()
        cards = QVBoxLayout(content)
        cards.addWidget(self._screen_card())
        cards.addWidget(self._sound_card())
        cards.addWidget(self._key_card())
        cards.addStretch(1)
        title = QLabel("Screen, sounds, keys")
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
        for name, button in self._themes.items():
            button.setChecked(name == settings.theme)
        self._text.setText(f"{settings.text_percent} %")
        self._volume.setText(f"{settings.volume_percent} %")
        self._mute.setChecked(settings.muted)
        for action, button in self.keys.items():
            button.show_key(settings.key(action))

    def show_trouble(self, sentence: str) -> None:
        """Say why settings cannot be kept."""
        self.trouble.setText(sentence)
        self.trouble.setVisible(bool(sentence))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)

    def _change(self, **fields: object) -> None:
        self._use(self._settings.model_copy(update=fields))

    def _use(self, settings: Settings) -> None:
        self.show_settings(settings)
        self.chosen.emit(settings)

    def _step(self, field: str, by: int, lowest: int, highest: int) -> Callable[[], None]:
        def step() -> None:
            value = int(getattr(self._settings, field)) + by
            self._change(**{field: min(max(value, lowest), highest)})

        return step

    def _screen_card(self) -> QFrame:
        card, grid = _card("Colours and size of text")
        for column, button in enumerate(self._themes.values()):
            grid.addWidget(button, 0, column)
        grid.addLayout(
            _stepper(
                self._text,
                self._step("text_percent", -_TEXT_STEP, 100, 200),
                self._step("text_percent", _TEXT_STEP, 100, 200),
                "text",
            ),
            1,
            0,
            1,
            len(self._themes),
        )
        return card

    def _sound_card(self) -> QFrame:
        card, grid = _card("Sounds")
        grid.addLayout(
            _stepper(
                self._volume,
                self._step("volume_percent", -_VOLUME_STEP, 0, 100),
                self._step("volume_percent", _VOLUME_STEP, 0, 100),
                "volume",
            ),
            0,
            0,
            1,
            2,
        )
        grid.addWidget(self._mute, 0, 2)
        for index, cue in enumerate(Cue):
            button = ActionButton(f"Hear: {cue.words}")
            button.setObjectName(f"hear_{cue}")
            button.clicked.connect(lambda _=False, cue=cue: self.tried.emit(cue))
            grid.addWidget(button, 1 + index // 3, index % 3)
        return card

    def _key_card(self) -> QFrame:
        card, grid = _card("Keys and pedals: tap one, then press the key or the pedal")
        for index, button in enumerate(self.keys.values()):
            grid.addWidget(button, index // 3, index % 3)
        return card


class KeyButton(ActionButton):
    """Shows an action's key; once tapped, takes the next key that is pressed.

    Signals
    -------
    pressed_key : str
        The key in portable spelling; empty where Delete took it away.
    """

    pressed_key = Signal(str)

    def __init__(self, action: Action, parent: QWidget | None = None) -> None:
        super().__init__("", parent=parent)
        self._action = action
        self._key = ""
        self._waits = False
        self.setObjectName(f"key_{action.name.lower()}")
        self.clicked.connect(self._wait)

    def show_key(self, key: str) -> None:
        """Show the key that holds."""
        self._key, self._waits = key, False
        self.setText(f"{self._action.value.capitalize()}\n{key or 'no key'}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not self._waits:
            super().keyPressEvent(event)
            return
        key = Qt.Key(event.key())
        if key in _MODIFIERS:
            return
        if key == Qt.Key.Key_Escape:
            self.show_key(self._key)
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.pressed_key.emit("")
        else:
            sequence = QKeySequence(event.keyCombination())
            self.pressed_key.emit(sequence.toString(QKeySequence.SequenceFormat.PortableText))

    def focusNextPrevChild(self, following: bool) -> bool:
        # A pedal may send Tab; it is then its key, not a way out.
        return False if self._waits else super().focusNextPrevChild(following)

    def _wait(self) -> None:
        self._waits = True
        self.setText(f"{self._action.value.capitalize()}\npress it now; Delete for none")


def _card(heading: str) -> tuple[QFrame, QGridLayout]:
    card = QFrame()
    card.setProperty("role", "card")
    title = QLabel(heading)
    title.setProperty("role", "heading")
    title.setWordWrap(True)
    layout = QVBoxLayout(card)
    layout.addWidget(title)
    grid = QGridLayout()
    for column in range(3):
        grid.setColumnStretch(column, 1)
    layout.addLayout(grid)
    return card, grid


def _choice(text: str, name: str) -> ActionButton:
    button = ActionButton(text)
    button.setObjectName(name)
    button.setCheckable(True)
    return button


def _stepper(
    label: QLabel, less: Callable[[], None], more: Callable[[], None], name: str
) -> QHBoxLayout:
    row = QHBoxLayout()
    for text, do, which in (("−", less, "less"), ("+", more, "more")):
        button = ActionButton(text)
        button.setObjectName(f"{name}_{which}")
        button.setAccessibleName(f"{which} {name}")
        button.clicked.connect(do)
        row.addWidget(button, 1)
    row.insertWidget(1, label)
    return row


def _value_label() -> QLabel:
    label = QLabel("100 %")
    label.setProperty("role", "heading")
    label.setAlignment(Qt.AlignmentFlag.AlignCenter)
    label.setMinimumWidth(90)
    return label
