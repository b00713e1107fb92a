"""What a plan still lacks, told field by field of the editor.

The sentences are English here; whoever shows them says them in the window's language.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from seatproof.core.plan.errors import Problem
from seatproof.gui.plans.draft import Data, Path
from seatproof.gui.shared.saying import again, wording

_PART: Final = re.compile(r'(?P<key>\w+)(?: "(?P<name>.*)"| (?P<number>\d+))?')
_NAMED: Final = re.compile(r'^(?P<list>seat|fitting step) "(?P<name>[^"]+)"')
_STAGE: Final = re.compile(r'^stage "(?P<name>[^"]+)"')
_KEY: Final = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")
_AT_ONCE: Final = re.compile(r"^(?P<key>[a-z_]+)(?:\.(?P<below>[a-z_]+))?(?::| must| is more) ?")
_EMPTY: Final = wording("Still to be filled in.")
_WHOLE: Final[Mapping[Path, str]] = {
    ("seat",): wording(
        "There is no seat yet: add one, or tap “seat here” beside a section of the shaft."
    ),
    ("shaft", "section"): wording("The outline has no section yet: add the first one."),
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to mend: where, what, and whether it is only not there yet."""

    path: Path
    sentence: str
    is_missing: bool = False


def findings(problems: tuple[Problem, ...], data: Data) -> tuple[Finding, ...]:
    """Return what problems say, each at the field of the form that it is about."""
    return tuple(_finding(problem, data) for problem in problems)


def problem_words(problem: Problem) -> str:
    """Say a problem of a plan file: the place as the file names it, and what is wrong there."""
    english = _worded(problem.sentence)
    said = again(english)
    return str(replace(problem, sentence=again(problem.sentence) if said == english else said))


def _finding(problem: Problem, data: Data) -> Finding:
    sentence = problem.sentence
    path = _located(problem.field, data)
    if path in _WHOLE:
        return Finding(path, _WHOLE[path], is_missing=True)
    named = _NAMED.match(sentence)
    if not path and named is not None:
        name = "seat" if named["list"] == "seat" else "fitting"
        index = _index_of(data.get(name, []), named["name"])
        if index is not None:
            path = (name, index)
    stage = _STAGE.match(sentence)
    if stage is not None and path[:1] == ("fitting",):
        entries = _at(data, path).get("stage", [])
        path = (*path, "stage", _index_of(entries, stage["name"], "name") or 0)
    if sentence.startswith(("is missing", "is empty")):
        return Finding(path, _EMPTY, is_missing=True)
    is_missing = sentence.startswith("has no limits of size")
    return Finding(_narrowed(path, sentence), _worded(sentence), is_missing)


def _located(field: str, data: Data) -> Path:
    """Return the place that a problem's path names, such as ``seat "A", stations``."""
    path: list[str | int] = []
    for part in field.split(", ") if field else ():
        match = _PART.fullmatch(part)
        if match is None:
            break
        path.append(match["key"])
        if match["number"] is not None:
            path.append(int(match["number"]) - 1)
        elif match["name"] is not None:
            index = _index_of(_at(data, tuple(path)), match["name"])
            path.append(index or 0)
    return tuple(path)


def _narrowed(path: Path, sentence: str) -> Path:
    """Go on to the field that the sentence is about, where the path names a table only."""
    if len(path) != 2 or path[0] not in ("seat", "fitting"):
        if path and path[-1] in ("roundness", "cylindricity", "taper", "run_out", "total_run_out"):
            return (*path, "tolerance")
        return path
    match = _AT_ONCE.match(sentence)
    if match is not None:
        below = (match["below"],) if match["below"] else ()
        return (*path, match["key"], *below)
    for key in _KEY.findall(sentence):
        return (*path, key)
    return path


def _worded(sentence: str) -> str:
    """Say it in the form's words: keys without their underscores."""
    text = _KEY.sub(lambda match: match[0].replace("_", " "), sentence)
    text = re.sub(r"^[a-z ]+(?:\.tolerance)?: |^[a-z ]+\.tolerance (?=must|is)", "", text)
    text = text.replace(", without quotes or point", "")
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _index_of(entries: Any, name: str, key: str = "id") -> int | None:
    if not isinstance(entries, list):
        return None
    return next((at for at, entry in enumerate(entries) if entry.get(key) == name), None)


def _at(data: Any, path: Path) -> Any:
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return {}
    return data
