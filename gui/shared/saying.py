"""What the window says, in the language that was chosen.

The program speaks English; translations are tables of its sentences (`seatproof.core.words`). The
window says its own sentences by `say`, with names in braces for what it fills in, and those that
the record, the evaluation or a gauge put together by `again`. A sentence that is kept as a constant
is marked by `wording`, and said when it is shown: the language can change while the program runs.
"""

from functools import cache, lru_cache
from typing import Final

from seatproof.core.files import resource
from seatproof.core.words import LANGUAGES, Language, Words

# Where the decimal sign is a comma; a language that is not named here has a point.
_DECIMAL: Final = {"de": ",", "es": ","}
_REMEMBERED: Final = 4096  # the window says the same sentences again and again

_now: Words = Words("en")


def use_language(language: Language) -> None:
    """Speak that language from now on; what is on the screen already stays as it is."""
    global _now
    _now = _words(language)
    _again.cache_clear()


def language() -> Language:
    """Return the language that is spoken."""
    return _now.language


def say(text: str, /, **gaps: str) -> str:
    """Say a sentence of the window; `gaps` fill what stands in braces.

    Figures get the decimal sign of the language.
    """
    return _now(text, **gaps)


def again(text: str) -> str:
    """Say what another part of the program put together: sentences, words or a figure.

    What people wrote, and what has no translation, stays as it is.
    """
    return text if _now.language == "en" else _again(text)


def wording(text: str) -> str:
    """Mark a sentence that is kept as a constant and said later."""
    return text


def typed_number(text: str) -> str:
    """Return a number that a person typed with a point for its decimals.

    >>> use_language("de"); typed_number("110,012"); use_language("en")
    '110.012'
    """
    typed = text.strip()
    if _now.decimal == "." or "." in typed or typed.count(_now.decimal) != 1:
        return typed
    return typed.replace(_now.decimal, ".")


@lru_cache(maxsize=_REMEMBERED)
def _again(text: str) -> str:
    return "\n".join(_now.figure(_now.translated(line)[0]) for line in text.split("\n"))


@cache
def _words(spoken: Language) -> Words:
    if spoken == "en":
        return Words("en")
    folder = resource("translations", "window", spoken)
    files = [resource("translations", f"{spoken}.toml"), *sorted(folder.glob("*.toml"))]
    return Words.read(spoken, files, decimal=_DECIMAL.get(spoken, "."))


__all__ = ("LANGUAGES", "again", "language", "say", "typed_number", "use_language", "wording")
