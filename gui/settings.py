"""What a person chose for this computer: language, looks, sounds, keys, files; without Qt.

Kept as a TOML file in the user's configuration folder. A file that cannot be used never keeps
anybody from measuring: the usual settings apply, and a sentence says so.
"""

import tomllib
from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Final, Literal

import platformdirs
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from seatproof.core.words import LANGUAGES, Language
from seatproof.gui.shared.saying import say

FILE_NAME: Final = "settings.toml"
_LONGEST_KEY = 40


class Action(StrEnum):
    """What hands that hold a gauge ask for, by a key or a pedal; the value is its word."""

    ASK = "take a value"
    TAKE_BACK = "take back"
    REPEAT = "repeat"
    SKIP = "skip"
    NEXT = "next point"


USUAL_KEYS: Final[Mapping[Action, str]] = {
    Action.ASK: "Ins",
    Action.TAKE_BACK: "F5",
    Action.REPEAT: "PgUp",
    Action.SKIP: "F7",
    Action.NEXT: "PgDown",
}


class Settings(BaseModel):
    """All of it; every field has its usual value.

    Attributes
    ----------
    theme : str
        Name of the palette.
    text_percent : int
        Size of text against the usual.
    volume_percent : int
        Loudness of the sounds.
    muted : bool
        Whether they are off.
    keys : mapping of Action to str
        The key of each action in portable spelling, such as ``PgDown``; empty for none.
    language : str
        What the window speaks.
    plan_unit : str
        The unit that a new plan begins with.
    archive_file : str
        The archive of one's own work; empty for the usual one.
    backup_folder : str
        Where copies go after every seal; empty for none.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    theme: Literal["light", "dark", "high contrast"] = "light"
    text_percent: Annotated[int, Field(ge=100, le=200)] = 100
    volume_percent: Annotated[int, Field(ge=0, le=100)] = 80
    muted: bool = False
    keys: dict[Action, Annotated[str, Field(max_length=_LONGEST_KEY)]] = Field(
        default_factory=lambda: dict(USUAL_KEYS)
    )
    language: Language = "en"
    plan_unit: Literal["mm", "in"] = "mm"
    archive_file: str = ""
    backup_folder: str = ""

    @property
    def text_scale(self) -> float:
        return self.text_percent / 100

    def key(self, action: Action) -> str:
        """Return the key of an action; empty where it has none."""
        return self.keys.get(action, "")

    def with_key(self, action: Action, key: str) -> "Settings":
        """Give an action a key; whatever had that key before has none then."""
        keys = {other: "" if key and had == key else had for other, had in self.keys.items()}
        return self.model_copy(update={"keys": keys | {action: key}})


def settings_file() -> Path:
    """Return where this user's settings lie."""
    return platformdirs.user_config_path("seatproof", appauthor=False) / FILE_NAME


def language_of_locale(name: str) -> Language:
    """Return the language for a locale such as ``de_AT``; English where it is none of ours."""
    spoken = name.replace("-", "_").split("_")[0].lower()
    return next((language for language in LANGUAGES if language == spoken), "en")


def load_settings(path: Path, language: Language = "en") -> tuple[Settings, str]:
    """Return the settings of a file, and a sentence where they could not be used.

    `language` is spoken until one was chosen.
    """
    usual = Settings(language=language)
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return usual, ""
    except (OSError, UnicodeDecodeError) as error:
        return usual, say(
            "Your settings in {path} cannot be read ({finding}); the usual apply.",
            path=str(path),
            finding=str(error),
        )
    try:
        return Settings.model_validate({"language": language} | tomllib.loads(text)), ""
    except (tomllib.TOMLDecodeError, ValidationError) as error:
        first = (
            error.errors(include_url=False)[0]["msg"]
            if isinstance(error, ValidationError)
            else str(error)
        )
        return usual, say(
            "Your settings in {path} cannot be used ({finding}); the usual apply. They are "
            "written anew as soon as you change one.",
            path=str(path),
            finding=first,
        )


def save_settings(settings: Settings, path: Path) -> str:
    """Write settings; return an empty text, or a sentence where that was not possible."""
    import tomlkit  # slow to load, and wanted only when something is changed

    document = settings.model_dump(mode="json")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(tomlkit.dumps(document), encoding="utf-8", newline="\n")
    except OSError as error:
        return say(
            "Your settings cannot be kept in {path} ({finding}); they hold until you end.",
            path=str(path),
            finding=str(error.strerror),
        )
    return ""
