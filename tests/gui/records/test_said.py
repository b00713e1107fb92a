"""The records in another language: searches, verification and what is handed out."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from seatproof.core.verification.findings import Outcome
from seatproof.gui.records.asking import AskingError, Typed
from seatproof.gui.records.exporting import Exported
from seatproof.gui.records.search_panel import SearchPanel
from seatproof.gui.records.verifying import verify_inspection
from seatproof.gui.shared.saying import use_language
from tests.gui.review.conftest import START, archive, seal_one, ticking

__all__ = ["archive"]


@pytest.fixture(autouse=True)
def german() -> Iterator[None]:
    use_language("de")
    yield
    use_language("en")


def test_a_verdict_is_asked_for_by_its_english_word(qtbot):
    panel = SearchPanel()
    qtbot.addWidget(panel)
    box = panel.boxes["verdict"]
    words = [box.itemText(number) for number in range(box.count())]
    assert words == ["jedes Urteil", "erfüllt", "nicht erfüllt", "nicht erwiesen"]
    box.setCurrentIndex(2)
    assert panel.typed().query().verdict == "does not conform"
    assert panel.edits["asset"].placeholderText() == "Maschine"


def test_a_day_that_is_none_is_explained():
    with pytest.raises(AskingError, match=r"„31\.3\.“ ist kein Tag; den Tag, ab dem"):
        Typed(opened_from="31.3.").query()


def test_a_verification_answers_in_the_language(archive):
    inspection = seal_one(archive)
    answer = verify_inspection(archive, inspection, "S-1", ticking(START + timedelta(days=1)))
    assert answer.outcome is Outcome.HOLDS
    assert answer.found[0] == "Die Aufzeichnung von S-1: alles hält stand"
    assert answer.found[1] == f"  Prüfung {inspection}, Blatt S-1: alles hält stand"
    assert answer.found[-1].startswith("Unter ")


def test_what_was_written_is_counted():
    done = Exported((Path("a"), Path("b")), 1, ("Nothing.",), is_cancelled=True)
    assert done.sentence(Path("/out")) == (
        "Angehalten. 2 Dateien von 1 Prüfung liegen in /out. 1 konnten nicht geschrieben werden: "
        "Nothing."
    )
