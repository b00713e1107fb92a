"""Where the texts of help lie: one file a topic and a language; no Qt."""

from pathlib import Path
from typing import Final

from seatproof.core.files import resource
from seatproof.core.words import Language

TOPICS: Final = (
    "setup",
    "bench",
    "fitting",
    "review",
    "records",
    "plans",
    "gauges",
    "preferences",
)


def help_file(topic: str, language: Language) -> Path:
    """Return the file of a topic's text."""
    return resource("help", language, f"{topic}.md")


def help_text(topic: str, language: Language) -> str:
    """Return a topic's text, in Markdown."""
    return help_file(topic, language).read_text(encoding="utf-8")
