"""The languages of a sheet: nothing that the program says is left in English unannounced."""

import ast
import re
import tomllib
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

import seatproof.core.wording.words as words_module
from seatproof.core.cautions import CAUTIONS, DEFERENCE
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.evaluation.requirement import BLIND, Characteristic
from seatproof.core.files import resource
from seatproof.core.record.kinds import KINDS
from seatproof.core.record.state import InspectionState, fold
from seatproof.core.sheet.compose import compose
from seatproof.core.sheet.document import build_sheet
from seatproof.core.verdict.rule import Verdict
from seatproof.core.wording.words import words_of
from seatproof.core.words import LANGUAGES, Language, Words

TRANSLATED: list[Language] = [language for language in LANGUAGES if language != "en"]
GAP = re.compile(r"\{(\w+)\}")


def spoken() -> Iterator[str]:
    """Yield every sentence that a module of the sheet hands to its words as it stands."""
    for path in sorted(Path(words_module.__file__).parent.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        named = {
            target.id: node.value.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Assign | ast.AnnAssign)
            and isinstance(node.value, ast.Constant)
            and isinstance(node.value.value, str)
            for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
            if isinstance(target, ast.Name)
        }
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            called = node.func
            name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
            if name not in ("say", "_say"):
                continue
            for part in ast.walk(node.args[0]):
                if isinstance(part, ast.Constant) and isinstance(part.value, str):
                    yield part.value
                elif isinstance(part, ast.Name) and part.id in named:
                    yield named[part.id]


@pytest.mark.parametrize("language", TRANSLATED)
def test_every_sentence_of_the_sheet_has_its_words(language: Language) -> None:
    sentences = list(spoken())
    assert len(sentences) > 150
    table = words_of(language).table
    assert [text for text in sentences if len(text) > 1 and text not in table] == []


@pytest.mark.parametrize("language", TRANSLATED)
def test_words_of_other_parts_are_known(language: Language) -> None:
    say = words_of(language)
    for text in (*Verdict, *CAUTIONS, DEFERENCE, BLIND):
        assert say.again(text) != text
    for characteristic in Characteristic:
        assert characteristic in say.table
    # An event that a sheet may end with.
    for kind in ("sealed", "signature", "review", "disposition", "superseded"):
        assert kind in KINDS
        assert kind in say.table


@pytest.mark.parametrize("language", TRANSLATED)
def test_gaps_of_a_translation_are_those_of_its_sentence(language: Language) -> None:
    for text, said in words_of(language).table.items():
        assert set(GAP.findall(text)) == set(GAP.findall(said)), text
        assert said.strip() or not text.strip()


@pytest.mark.parametrize("language", TRANSLATED)
def test_translations_own_up_to_not_being_reviewed(language: Language) -> None:
    source = resource("translations", f"{language}.toml").read_text(encoding="utf-8")
    assert tomllib.loads(source)["reviewed"] is words_of(language).is_reviewed is False


@pytest.mark.parametrize("language", TRANSLATED)
def test_full_sheet_leaves_nothing_in_english(full: InspectionState, language: Language) -> None:
    assert full.seal is not None
    before = fold(full.events[: full.seal.seq - 1])
    content = compose(before, evaluate(before), "Seatproof", language=language)
    assert content.of_the_sheet == ()
    assert content.language == language
    assert content.caution_note


def test_language_of_the_plan_is_that_of_its_sheet(
    seal_good: Callable[..., InspectionState], screw_pump_toml: str
) -> None:
    toml = screw_pump_toml.replace("[plan]\n", '[plan]\nlanguage = "es"\n')
    state = seal_good(toml)
    assert state.sealed is not None
    assert state.sealed.content["language"] == "es"
    assert "página 1 de" in PdfReader(BytesIO(build_sheet(state))).pages[0].extract_text()


@pytest.mark.parametrize("language", LANGUAGES)
def test_blindness_of_every_method_is_told(bench_of: Callable[..., Any], language: Any) -> None:
    more = """
[[seat]]
id = "V"
name = "over a vee"
from = 0
length = 60
nominal = 100
same_seat_as = "A"
method = "vee"
vee_angle_deg = 90
stations = 2
orientations = 12
"""
    state = bench_of(more=more).state
    content = compose(state, evaluate(state), "Seatproof", language=language)
    say = words_of(language)
    assert content.blindness.startswith(say.again(BLIND))
    assert len(content.blindness) > len(say.again(BLIND)) + 100
    assert language == "en" or "indicator over a vee" not in content.blindness


def test_sentence_without_words_is_owned_up_to(
    full: InspectionState, monkeypatch: pytest.MonkeyPatch
) -> None:
    german = words_of("de")
    fewer = {text: said for text, said in german.table.items() if text != "closed ring"}
    monkeypatch.setattr(
        words_module, "words_of", lambda language: Words("de", "Deutsch", False, fewer)
    )
    content = compose(full, evaluate(full), "Seatproof", language="de")
    assert "closed ring" in content.seats[0].heading
    assert len(content.of_the_sheet) == 1


def test_sheet_is_drawn_in_the_language_that_was_sealed(full_german: InspectionState) -> None:
    pdf = build_sheet(full_german)
    reader = PdfReader(BytesIO(pdf))
    text = " ".join(page.extract_text() for page in reader.pages)
    for said in ("nicht erwiesen", "Unsicherheitsbudget", "Seite 1 von", "Sonderfreigabe"):
        assert said in text
    # What people wrote stays as they wrote it.
    assert "micrometer was not held square" in text
    assert reader.trailer["/Root"]["/Lang"] == "de"
    assert "keinem Muttersprachler geprüft" in text.replace("\n", " ")
