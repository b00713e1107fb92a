"""Everything that the window says has words in every language, with the same gaps."""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

from seatproof.core.files import resource
from seatproof.core.words import LANGUAGES
from seatproof.gui.shared import saying
from seatproof.gui.shared.saying import again, say, typed_number, use_language

_HOME: Final = Path(__file__).resolve().parents[2]
_GAP: Final = re.compile(r"\{\w+\}")
_TRANSLATED: Final = tuple(language for language in LANGUAGES if language != "en")

# Places of the window, and parts of the program whose sentences it shows.
_AREAS: Final = sorted(
    f"gui/{folder.name}"
    for folder in (_HOME / "gui").iterdir()
    if folder.is_dir() and folder.name not in {"commands", "__pycache__"}
)
_BELOW: Final = sorted(
    f"{top}/{folder.name}"
    for top in ("core", "devices")
    for folder in (_HOME / top).iterdir()
    if folder.is_dir() and folder.name != "__pycache__"
)
# Spoken on sheets, on paper and by commands alone, never in the window.
_NOT_SHOWN: Final = {"core/exports", "core/workshop", "core/sheet"}

# What puts words on the screen. Each must be given what `say` or `again` returned.
_SHOWS: Final = {
    *("QLabel", "QPushButton", "QCheckBox", "QRadioButton", "QGroupBox", "QToolButton"),
    *("ActionButton", "setText", "setToolTip", "setPlaceholderText", "setWindowTitle", "setTitle"),
    *("addTab", "addItem", "setHeaderLabels", "setHorizontalHeaderLabels", "setAccessibleName"),
    *("setAccessibleDescription", "setWhatsThis", "setTabText"),
}


def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _spoken(path: Path) -> Iterator[str]:
    """Yield what a module of the window gives to `say` and `wording`."""
    for node in ast.walk(_tree(path)):
        match node:
            case ast.Call(func=ast.Name(id="say" | "wording"), args=[ast.Constant(str() as text)]):
                yield text
            case ast.Call(func=ast.Name(id="say" | "wording")):
                where = f"{path.relative_to(_HOME)}:{node.lineno}"
                arguments = [arg for arg in node.args if not isinstance(arg, ast.Name)]
                assert not [one for one in arguments if isinstance(one, ast.JoinedStr)], where


def _bare(path: Path) -> Iterator[str]:
    """Yield where a module shows words that nobody translates."""
    for node in ast.walk(_tree(path)):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if name not in _SHOWS:
            continue
        for argument in node.args:
            for part in _texts(argument):
                if re.search(r"[A-Za-z]{3}", part):
                    yield f"{path.relative_to(_HOME)}:{node.lineno}: {part!r}"


def _texts(node: ast.expr) -> Iterator[str]:
    match node:
        case ast.Constant(str() as text):
            yield text
        case ast.JoinedStr():
            yield "".join(part.value for part in node.values if isinstance(part, ast.Constant))
        case ast.IfExp():
            yield from _texts(node.body)
            yield from _texts(node.orelse)
        case ast.List() | ast.Tuple():
            for element in node.elts:
                yield from _texts(element)


def _sentences(path: Path) -> Iterator[str]:
    """Yield the sentences of a module that has no say of its own, gaps as empty braces.

    A gap that is filled later, by `format`, may say how its number is written.
    """
    tree = _tree(path)
    passed: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(id(node.value))  # documentation
        if isinstance(node, ast.JoinedStr) and id(node) not in passed:
            passed |= {id(part) for part in ast.walk(node) if part is not node}
            yield "".join(
                str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values
            )
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in passed
        ):
            yield re.sub(r"\{\w+(:[^{}]*)?\}", "{}", node.value)


def _is_sentence(text: str) -> bool:
    """Tell a sentence from a word, a query or a pattern: a capital, words, a full stop.

    What ends in a placeholder is said to the database.
    """
    return (
        bool(re.match(r"[A-Z“\"{]", text))
        and bool(re.search(r"[a-z]{3}", text))
        and " " in text.strip()
        and text[-1:] in ".?"
        and not text.endswith(" = ?")
    )


def _modules(area: str) -> list[Path]:
    if area in {"core", "devices", "gui"}:
        return sorted((_HOME / area).glob("*.py"))
    return sorted((_HOME / area).rglob("*.py"))


def _files(language: str) -> list[Path]:
    folder = resource("translations", "window", language)
    return [resource("translations", f"{language}.toml"), *sorted(folder.glob("*.toml"))]


def _table(language: str) -> dict[str, str]:
    table: dict[str, str] = {}
    for file in _files(language):
        table |= tomllib.loads(file.read_text(encoding="utf-8"))["words"]
    return table


@pytest.mark.parametrize("language", _TRANSLATED)
@pytest.mark.parametrize("area", ["gui", *_AREAS])
def test_every_sentence_of_a_place_has_words(area: str, language: str) -> None:
    table = _table(language)
    wanted = {text for path in _modules(area) for text in _spoken(path)}
    missing = sorted(
        text for text in wanted if text not in table and re.search(r"[A-Za-z]{2}", text)
    )
    assert missing == []


@pytest.mark.parametrize("area", ["gui", *_AREAS])
def test_a_place_shows_nothing_that_was_not_said(area: str) -> None:
    assert [bare for path in _modules(area) for bare in _bare(path)] == []


@pytest.mark.parametrize("language", _TRANSLATED)
@pytest.mark.parametrize(
    "area", ["core", "devices", *(area for area in _BELOW if area not in _NOT_SHOWN)]
)
def test_every_sentence_below_the_window_has_words(area: str, language: str) -> None:
    known = {_GAP.sub("{}", text) for text in _table(language)}
    wanted = {text for path in _modules(area) for text in _sentences(path) if _is_sentence(text)}
    assert sorted(wanted - known) == []


@pytest.mark.parametrize("language", _TRANSLATED)
def test_a_translation_names_the_gaps_of_its_sentence(language: str) -> None:
    for text, said in _table(language).items():
        assert set(_GAP.findall(said)) <= set(_GAP.findall(text)), text


@pytest.mark.parametrize("language", _TRANSLATED)
def test_no_sentence_is_translated_twice(language: str) -> None:
    seen: dict[str, str] = {}
    for file in _files(language):
        for text in tomllib.loads(file.read_text(encoding="utf-8"))["words"]:
            assert seen.setdefault(text, file.name) == file.name, text


def test_figures_follow_the_language() -> None:
    use_language("de")
    assert again("110.0123 mm") == "110,0123 mm"
    assert again("−2.3 µm") == "−2,3 µm"
    assert say("{size} of {count}", size="110.012", count="3") == "110,012 of 3"
    assert again("version 1.2.3") == "version 1.2.3"
    assert typed_number(" 110,012 ") == "110.012"
    assert typed_number("1,000.5") == "1,000.5"  # refused below, as it is ambiguous
    use_language("en")
    assert again("110.0123 mm") == "110.0123 mm"
    assert typed_number("110,012") == "110,012"


def test_several_sentences_and_lines_are_said_one_by_one() -> None:
    use_language("de")
    assert again("conforms\nnot proven") == "erfüllt\nnicht erwiesen"


def test_the_language_can_be_asked_for() -> None:
    use_language("es")
    assert saying.language() == "es"
