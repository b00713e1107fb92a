"""Words of the program in another language.

English is what the program speaks; a translation is a table of its sentences in
``resources/translations``. A sentence with gaps is written with names in braces, and found again in
a finished sentence by what stands between them. What people wrote is never translated.
"""

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Literal, Self, get_args

Language = Literal["en", "de", "es"]
LANGUAGES: Final[tuple[Language, ...]] = get_args(Language)

_GAP: Final = re.compile(r"\{(\w+)\}")
_SENTENCE_END: Final = re.compile(r"(?<=[.!?]) (?=\S)")
# A number that has decimals, and its unit; a version of three numbers is none.
_FIGURE: Final = re.compile(r"([+−±-]?\d+)\.(\d+)((?: ?(?:mm|µm|in|°C|°|%|K|N m|s))?)")


@dataclass(frozen=True, slots=True)
class Words:
    """A language; `missing` collects the sentences that it has no words for.

    `is_reviewed` says whether a native speaker of the trade has read the translation; `decimal`
    is the sign that figures in a sentence's gaps get.
    """

    language: Language
    name: str = "English"
    is_reviewed: bool = True
    table: Mapping[str, str] = field(default_factory=dict)
    patterns: tuple[tuple[re.Pattern[str], str], ...] = ()
    missing: dict[str, None] = field(default_factory=dict)
    decimal: str = "."

    @classmethod
    def read(cls, language: Language, files: Iterable[Path], *, decimal: str = ".") -> Self:
        """Read the tables of a language; the first file names it."""
        documents = [tomllib.loads(file.read_text(encoding="utf-8")) for file in files]
        table: dict[str, str] = {}
        for document in documents:
            table |= document["words"]
        templates = [text for text in table if _GAP.search(text)]
        # The one that leaves least to its gaps comes first.
        templates.sort(key=lambda text: len(_GAP.sub("", text)), reverse=True)
        return cls(
            language,
            documents[0]["name"],
            documents[0]["reviewed"],
            table,
            tuple((_pattern(text), table[text]) for text in templates),
            decimal=decimal,
        )

    def __call__(self, text: str, **gaps: str) -> str:
        """Say a sentence of the program; `gaps` fill what stands in braces."""
        said = self.table.get(text)
        if said is None:
            said = text
            if self.language != "en" and len(text) > 1:  # a letter is a sign, not a word
                self.missing[str(text)] = None
        return _GAP.sub(lambda gap: self.figure(gaps.get(gap[1], gap[0])), said)

    def again(self, text: str) -> str:
        """Say a finished sentence, or several, that another part of the program put together.

        One that is not known stays as it is.
        """
        said, unknown = self.translated(text)
        self.missing.update((part, None) for part in unknown)
        return said

    def translated(self, text: str) -> tuple[str, tuple[str, ...]]:
        """Return finished sentences in the language, and those among them that are not known."""
        if self.language == "en" or not text:
            return text, ()
        exact = self.table.get(text)
        if exact is not None:
            return exact, ()
        parts = _SENTENCE_END.split(text)
        said = [self._known(part) for part in parts]
        if all(said):
            return " ".join(filter(None, said)), ()
        whole = self._known(text)  # a person's words in a gap may be several sentences
        if whole is not None:
            return whole, ()
        pairs = tuple(zip(parts, said, strict=True))
        return (
            " ".join(known or part for part, known in pairs),
            tuple(part for part, known in pairs if not known),
        )

    def figure(self, text: str) -> str:
        """Write a figure with the decimal sign of the language; anything else stays as it is."""
        found = _FIGURE.fullmatch(text) if self.decimal != "." else None
        return text if found is None else f"{found[1]}{self.decimal}{found[2]}{found[3]}"

    def _known(self, text: str) -> str | None:
        exact = self.table.get(text)
        if exact is not None:
            return exact
        for pattern, said in self.patterns:
            match = pattern.fullmatch(text)
            if match is not None:
                found = match.groupdict()
                return _GAP.sub(lambda gap, found=found: self._gap(found[gap[1]]), said)  # type: ignore[misc]  # a default binds the match
        return None

    def _gap(self, text: str) -> str:
        """Say what fills a gap: a word of the program's in the language, anything else as it is."""
        return self.table.get(text, self.figure(text))


def _pattern(template: str) -> re.Pattern[str]:
    parts = _GAP.split(template)
    seen: set[str] = set()
    pattern = ""
    for index, part in enumerate(parts):
        if index % 2 == 0:
            pattern += re.escape(part)
        elif part in seen:
            pattern += f"(?P={part})"
        else:
            seen.add(part)
            pattern += f"(?P<{part}>.+?)"
    return re.compile(pattern, re.DOTALL)
