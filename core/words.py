"""Words of the program in another language.

English is what the program speaks; a translation is a table of its sentences in
``resources/translations``. A sentence with gaps is written with names in braces, and found again in
a finished sentence by what stands between them. What people wrote is never translated.
"""

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Final, Literal, Self, get_args

Language = Literal["en", "de", "es"]
LANGUAGES: Final[tuple[Language, ...]] = get_args(Language)

_GAP: Final = re.compile(r"\{(\w+)\}")
_SENTENCE_END: Final = re.compile(r"(?<=[.!?]) (?=\S)")
# A number that has decimals, and its unit; a version of three numbers is none.
_UNIT: Final = "(?: ?(?:mm|µm|in|°C|°|%|K|N m|lbf ft|lbf in|s))?"
_FIGURE: Final = re.compile(rf"([+−±-]?\d+)\.(\d+)({_UNIT})")
# A gap of such a name holds a sentence or a clause of the program's, which is said in turn.
_SAID: Final = re.compile(r"(?:finding|said)(?:_\d+)?")
# A sentence with fewer letters between its gaps could be anything that a person wrote: its gaps
# have to be words of the program's, or signs such as a figure, a seat's letter or a number.
_FEWEST_LETTERS: Final = 7
_NUMBER: Final = r"[+−±-]?\d+(?:\.\d+)?"
_SIGN: Final = re.compile(rf"\S{{1,3}}|(?=\D*\d)\S+|{_NUMBER}(?: ± {_NUMBER})?{_UNIT}")
_MOST_NESTED: Final = 3
_LOOKED_UP: Final = 3


@dataclass(frozen=True, slots=True)
class _Template:
    """A sentence with gaps, and what it is in the language."""

    text: str
    said: str
    head: str
    tail: str
    longest: str  # of what stands between its gaps
    between: int  # signs that stand between its gaps
    letters: int  # and how many of them are letters
    gaps: int

    @classmethod
    def of(cls, text: str, said: str) -> Self:
        parts = _GAP.split(text)
        between = _GAP.sub("", text)
        letters = sum(sign.isalpha() for sign in between)
        return cls(
            text,
            said,
            parts[0],
            parts[-1],
            max(parts[::2], key=len),
            len(between),
            letters,
            len(parts) // 2,
        )

    @property
    def ends(self) -> tuple[str, str]:
        """How a finished sentence begins, or else how it ends, as far as it is looked up by."""
        if len(self.head) >= _LOOKED_UP:
            return self.head[:_LOOKED_UP], ""
        return "", self.tail[-_LOOKED_UP:] if len(self.tail) >= _LOOKED_UP else ""

    def gaps_in(self, text: str) -> dict[str, str] | None:
        """Return what fills the gaps in a finished sentence; None where it is another sentence."""
        if not (text.startswith(self.head) and text.endswith(self.tail)):
            return None
        match = _pattern(self.text).fullmatch(text)
        return None if match is None else match.groupdict()


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
    templates: Mapping[tuple[str, str], tuple[_Template, ...]] = field(default_factory=dict)
    missing: dict[str, None] = field(default_factory=dict)
    decimal: str = "."

    @classmethod
    def read(cls, language: Language, files: Iterable[Path], *, decimal: str = ".") -> Self:
        """Read the tables of a language; the first file names it."""
        documents = [tomllib.loads(file.read_text(encoding="utf-8")) for file in files]
        table: dict[str, str] = {}
        for document in documents:
            table |= document["words"]
        templates: dict[tuple[str, str], tuple[_Template, ...]] = {}
        for text, said in table.items():
            if _GAP.search(text) and "}{" not in text:  # nobody can tell where one gap ends
                template = _Template.of(text, said)
                templates[template.ends] = (*templates.get(template.ends, ()), template)
        return cls(
            language,
            documents[0]["name"],
            documents[0]["reviewed"],
            table,
            templates,
            decimal=decimal,
        )

    def __call__(self, text: str, /, **gaps: str) -> str:
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
        return self._translated(text, 0)

    def figure(self, text: str) -> str:
        """Write a figure with the decimal sign of the language; anything else stays as it is."""
        found = _FIGURE.fullmatch(text) if self.decimal != "." else None
        return text if found is None else f"{found[1]}{self.decimal}{found[2]}{found[3]}"

    def _translated(self, text: str, depth: int) -> tuple[str, tuple[str, ...]]:
        exact = self.table.get(text)
        if exact is not None:
            return exact, ()
        parts = _SENTENCE_END.split(text)
        said = [self._known(part, depth) for part in parts]
        if all(said):
            return " ".join(filter(None, said)), ()
        if len(parts) > 1:
            whole = self._known(text, depth)  # a person's words in a gap may be several sentences
            if whole is not None:
                return whole, ()
        pairs = tuple(zip(parts, said, strict=True))
        return (
            " ".join(known or part for part, known in pairs),
            tuple(part for part, known in pairs if not known),
        )

    def _known(self, text: str, depth: int, *, is_own: bool = False) -> str | None:
        """Say one sentence; None where it is not known.

        With `is_own`, what fills its gaps has to be the program's own words too, or signs.
        """
        exact = self.table.get(text)
        if exact is not None or depth > _MOST_NESTED:
            return exact
        for template in self._that_may_be(text):
            gaps = template.gaps_in(text)
            if gaps is None:
                continue
            if (is_own or template.letters < _FEWEST_LETTERS) and not all(
                self._is_own(gap, depth + 1) for gap in gaps.values()
            ):
                continue
            filled = {name: self._gap(name, gap, depth + 1) for name, gap in gaps.items()}
            return _filled(template.said, filled)
        return None

    def _that_may_be(self, text: str) -> list[_Template]:
        """Return the sentences that begin or end like a finished one.

        The one that leaves least to its gaps comes first.
        """
        ends = ((text[:_LOOKED_UP], ""), ("", text[-_LOOKED_UP:]), ("", ""))
        found = [
            template
            for end in ends
            for template in self.templates.get(end, ())
            if template.longest in text
        ]
        found.sort(key=lambda template: (-template.between, template.gaps))
        return found

    def _is_own(self, text: str, depth: int) -> bool:
        return bool(_SIGN.fullmatch(text) or self._known(text, depth, is_own=True) is not None)

    def _gap(self, name: str, text: str, depth: int) -> str:
        """Say what fills a gap: words of the program's in the language, anything else as it is."""
        if _SAID.fullmatch(name):
            return self.figure(self._translated(text, depth)[0])
        small = text[:1].lower() + text[1:]  # at the head of a sentence its first letter is large
        known = self._known(text, depth, is_own=True) or self._known(small, depth, is_own=True)
        return known or self.figure(text)


def _filled(said: str, gaps: Mapping[str, str]) -> str:
    return _GAP.sub(lambda gap: gaps[gap[1]], said)


@cache
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
