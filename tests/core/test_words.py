"""How the words of a finished sentence are found again, and that those of every table are."""

import re
from pathlib import Path

import pytest

from seatproof.core.files import resource
from seatproof.core.words import LANGUAGES, Language, Words

TRANSLATED: list[Language] = [language for language in LANGUAGES if language != "en"]
GAP = re.compile(r"\{(\w+)\}")

TABLE = {
    "closed ring": "geschlossener Ring",
    "{count} points are not measured.": "{count} Punkte sind nicht gemessen.",
    "{what} at station {station}": "{what} in Ebene {station}",
    "the smallest": "das kleinste",
    "Seen.": "Gesehen.",
    "Because: {reason}.": "Weil: {reason}.",
    "{path} cannot be read: {finding}.": "{path} ist nicht zu lesen: {finding}.",
    "line {number} is damaged": "Zeile {number} ist beschädigt",
    "{count} days": "{count} Tagen",
    "It expired {ago} ago.": "Es lief vor {ago} ab.",
    "{low} to {high}": "{low} bis {high}",
    "{name}, {time}": "{name}; {time}",
    "{one}{two} touches.": "{one}{two} stößt an.",
    "{asked} or {asked}, not both.": "{asked} oder {asked}, nicht beides.",
}


@pytest.fixture
def few(tmp_path: Path) -> Words:
    file = tmp_path / "de.toml"
    lines = [f'"{text}" = "{said}"' for text, said in TABLE.items()]
    file.write_text('name = "D"\nreviewed = true\n[words]\n' + "\n".join(lines), encoding="utf-8")
    return Words.read("de", [file], decimal=",")


def of_the_program(language: Language) -> Words:
    """Return everything that sheet and window say in a language."""
    folder = resource("translations", "window", language)
    return Words.read(
        language, [resource("translations", f"{language}.toml"), *sorted(folder.glob("*.toml"))]
    )


def test_gaps_are_filled(few: Words) -> None:
    assert few("{what} at station {station}", what="x {y}", station="3") == "x {y} in Ebene 3"
    assert few("closed ring") == "geschlossener Ring"


def test_finished_sentence_is_found_by_what_stands_between_its_gaps(few: Words) -> None:
    assert few.again("12 points are not measured.") == "12 Punkte sind nicht gemessen."
    # A word of the program's that fills a gap is said as well, also at the head of a sentence.
    assert few.again("the smallest at station 3") == "das kleinste in Ebene 3"
    assert few.again("The smallest at station 3") == "das kleinste in Ebene 3"
    assert few.again("mm or mm, not both.") == "mm oder mm, nicht beides."
    assert few.again("mm or in, not both.") == "mm or in, not both."


def test_several_sentences_are_said_one_by_one(few: Words) -> None:
    said = few.again("Seen. 2 points are not measured. Unknown words.")
    assert said == "Gesehen. 2 Punkte sind nicht gemessen. Unknown words."
    assert list(few.missing) == ["Unknown words."]


def test_words_of_a_person_may_be_several_sentences(few: Words) -> None:
    assert few.again("Because: I was late. Sorry.") == "Weil: I was late. Sorry."
    assert not few.missing


def test_finding_in_a_sentence_is_said_in_turn(few: Words) -> None:
    said = few.again("a.toml cannot be read: line 3 is damaged.")
    assert said == "a.toml ist nicht zu lesen: Zeile 3 ist beschädigt."
    assert few.again("It expired 3 days ago.") == "Es lief vor 3 Tagen ab."


def test_what_a_person_wrote_in_a_sentence_stays(few: Words) -> None:
    assert few.again("Because: line of sight is damaged.") == "Weil: line of sight is damaged."


def test_sentence_of_few_letters_takes_no_words_of_a_person(few: Words) -> None:
    assert few.again("110.01 mm to 110.02 mm") == "110,01 mm bis 110,02 mm"
    assert few.again("A to C3") == "A bis C3"
    for written in ("We went to bed", "Müller, later"):
        assert few.again(written) == written
        assert written in few.missing


def test_gaps_that_touch_are_not_told_apart(few: Words) -> None:
    assert few.again("Ring touches.") == "Ring touches."
    assert few("{one}{two} touches.", one="A", two="B") == "AB stößt an."


def test_english_is_left_alone() -> None:
    english = Words("en")
    assert english.again("2 points are not measured.") == "2 points are not measured."
    assert english("a {b}", b="c") == "a c"
    assert not english.missing


@pytest.mark.parametrize("language", TRANSLATED)
def test_every_sentence_of_the_program_is_found_again(language: Language) -> None:
    words = of_the_program(language)
    templates = [text for text in words.table if GAP.search(text) and "}{" not in text]
    assert len(templates) > 500
    lost = []
    for text in templates:
        gaps = {name: f"q{index}z" for index, name in enumerate(dict.fromkeys(GAP.findall(text)))}
        finished = GAP.sub(lambda gap, gaps=gaps: gaps[gap[1]], text)
        wanted = GAP.sub(lambda gap, gaps=gaps: gaps[gap[1]], words.table[text])
        if words.translated(finished) != (wanted, ()):
            lost.append((text, words.translated(finished)))
    assert lost == []
