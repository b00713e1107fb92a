"""The words of a sheet in the language that was chosen when it was sealed."""

from dataclasses import replace
from functools import cache

from seatproof.core.files import resource
from seatproof.core.words import Language, Words


def fresh_words_of(language: Language) -> Words:
    """Return the words of a language that have nothing missing yet."""
    return replace(words_of(language), missing={})


@cache
def words_of(language: Language) -> Words:
    """Return the words of a language."""
    if language == "en":
        return Words("en")
    return Words.read(language, [resource("translations", f"{language}.toml")])
