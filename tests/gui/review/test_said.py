"""A review in another language: what is shown speaks it, what is recorded and named does not."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from PySide6.QtWidgets import QLabel

from seatproof.core.archive.query import Query
from seatproof.core.record.state import fold
from seatproof.gui.review.deciding import Choice, Draft, decide, obstacle
from seatproof.gui.review.opened import open_for_review
from seatproof.gui.review.place import ReviewPlace, decided_words
from seatproof.gui.review.readings import HEADS, equipment_lines, reading_rows
from seatproof.gui.review.waiting import faults_of
from seatproof.gui.settings import Settings
from seatproof.gui.shared.saying import use_language
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.workplace import Workplace
from tests.gui.review.conftest import START, seal_one, ticking


@pytest.fixture(autouse=True)
def german() -> Iterator[None]:
    use_language("de")
    yield
    use_language("en")


@pytest.fixture
def state(archive):
    return fold(archive.events(seal_one(archive, spoilt=True)))


def test_faults_and_readings_are_said(archive, state):
    faults = [fault.sentence for fault in faults_of(state.events)]
    assert any(
        fault.startswith("Sitz A, Maß: nicht erfüllt; gefunden 110,0135 … 110,05")
        for fault in faults
    )
    assert "Das Siegel ist nicht unterzeichnet." in faults
    rows = reading_rows(state)
    withdrawn = next(row for row in rows if not row.counts)
    value, received, word = withdrawn.texts[3:6]
    assert (value, received) == ("110,0135 mm", "110.0135")  # the bytes stay as they came
    assert word.startswith("zurückgenommen durch Ereignis ")
    assert len(HEADS) == len(withdrawn.texts)
    assert equipment_lines(state) == (
        "Messgerät M-14: die Kalibrierung war abgelaufen am 2026-02-28. "
        "Trotzdem verwendet: the new one is on its way",
    )


def test_a_decision_is_recorded_in_english_and_shown_in_the_language(archive, state, signer):
    draft = Draft(Choice.CONCESSION, "nur bis Mai", "Chefingenieurin", "C-9", "höchstens 300/min")
    clock = ticking(START + timedelta(days=1))
    decided = decide(archive, state.inspection, draft, signer("Bo"), clock)
    assert decided.review.payload.finding == "accepted"
    assert decided.disposition.payload.decision == "concession"
    assert decided.disposition.payload.reason == "nur bis Mai Limits: höchstens 300/min"
    assert decided_words(decided).splitlines() == [
        "Messung angenommen von Bo, unterzeichnet: nur bis Mai",
        "Entschieden: Sonderfreigabe in Vollmacht von Chefingenieurin durch Bo, unterzeichnet: "
        "nur bis Mai Limits: höchstens 300/min",
    ]


def test_the_place_says_what_stands_in_the_way(qtbot, qapp, archive, state):
    apply_theme(qapp, LIGHT)
    place = ReviewPlace(Workplace(archive), LIGHT, Settings())
    qtbot.addWidget(place)
    place.resize(1200, 800)
    place.show()
    place.activate()
    try:
        waits = "Eine Prüfung wartet."
        qtbot.waitUntil(lambda: place.heading.text() == waits, timeout=10_000)
        place.open_current()
        panel = place.page.decision
        assert panel.choices[Choice.REWORK].text() == "nacharbeiten"
        panel.choose(Choice.ACCEPT)
        assert obstacle(state, Choice.ACCEPT).startswith("What does not conform")
        assert panel.trouble.text().startswith("Was nicht erfüllt ist, wird nicht angenommen")
        tab = place.page.taper
        place.page.tabs.setCurrentWidget(tab)
        figure = tab.frames[0].view.figure
        assert figure.title.startswith("Entlang des Sitzes · Sitz A · ")
        assert figure.file_name == "Along the seat A"
        said = " ".join(figure.notes)
        assert "U = 3,0 µm" in said
        assert "Toleranz 8 µm" in said
        cards = [label.text() for label in place.page.verdicts.findChildren(QLabel)]
        assert "Maß, diametral: nicht erfüllt" in cards
    finally:
        place.shut()


def test_plots_read_in_the_language(archive, qapp):
    seal_one(archive, spoilt=True)
    entry = archive.find(Query(sealed=True)).entries[0]
    opened = open_for_review(archive, entry)
    from seatproof.core.plots.unrolled import unrolled_map
    from seatproof.gui.review.figures.unrolled import MapFigure

    figure = MapFigure(unrolled_map(opened.evaluation.seat("A")), "x", opened.state.plan.unit)
    story = figure.spots().story(0).splitlines()
    assert story[0] == "Ebene 1 · 0°"
    assert story[1].startswith("110,01")
    assert story[1].endswith(" µm vom Mittel)")
