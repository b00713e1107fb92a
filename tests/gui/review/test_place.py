"""The place by itself: an archive not to be written, a chain that does not hold, other plans."""

import sqlite3

import pytest
from PySide6.QtCore import Qt

from seatproof.core.archive.file import Archive
from seatproof.gui.review.deciding import Choice
from seatproof.gui.review.place import ReviewPlace
from seatproof.gui.settings import Settings
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.workplace import Workplace
from tests.gui.review.conftest import seal_one
from tests.gui.review.test_figures import FURTHER

PATIENCE_MS = 10_000


@pytest.fixture
def open_place(qtbot, qapp):
    apply_theme(qapp, LIGHT)
    places = []

    def opened(archive):
        place = ReviewPlace(Workplace(archive), LIGHT, Settings())
        qtbot.addWidget(place)
        place.resize(1100, 760)
        place.show()
        place.activate()
        places.append(place)
        qtbot.waitUntil(lambda: "Reading" not in place.heading.text(), timeout=PATIENCE_MS)
        return place

    yield opened
    for place in places:
        place.shut()


def test_an_empty_archive_says_that_nothing_waits(open_place, archive):
    place = open_place(archive)
    assert place.heading.text() == "No inspection waits for a decision."
    assert not place.open_button.isEnabled()


def test_nothing_is_decided_in_an_archive_that_another_program_has_open(open_place, archive):
    seal_one(archive)
    with Archive.open(archive.path) as second:
        assert second.read_only
        place = open_place(second)
        place.open_current()
        assert place.page.decision.words.text() == second.read_only
        assert not any(button.isEnabled() for button in place.page.decision.choices.values())


def test_a_chain_that_does_not_hold_is_not_reviewed(open_place, archive):
    seal_one(archive)
    with sqlite3.connect(archive.path) as db:
        triggers = db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for (name,) in triggers:
            db.execute(f"DROP TRIGGER {name}")
        db.execute("UPDATE event SET actor = 'Cy' WHERE seq = 9")
    db.close()
    place = open_place(archive)
    place.open_current()
    assert "S-1 cannot be reviewed" in place.trouble.text()
    assert place.page.opened is None


def test_a_seat_measured_in_several_ways_opens_with_all_its_plots(open_place, archive):
    radial = FURTHER.format(name="A2", method="radial", more="")
    vee = FURTHER.format(name="A3", method="vee", more="vee_angle_deg = 90")
    seal_one(archive, plan=lambda text: text + radial + vee)
    place = open_place(archive)
    place.open_current()
    page = place.page
    for tab in (page.form, page.undulations, page.taper, page.map, page.earlier):
        page.tabs.setCurrentWidget(tab)
        for number in range(tab.seat.count()):
            tab.seat.setCurrentIndex(number)
            assert tab.frames[0].view.grab().width() > 0
    assert [page.form.seat.itemData(n) for n in range(page.form.seat.count())] == [
        "A",
        "B",
        "A2",
        "A3",
    ]


def test_a_text_field_keeps_its_keys(qtbot, open_place, archive):
    seal_one(archive)
    place = open_place(archive)
    place.activateWindow()
    place.open_current()
    qtbot.mouseClick(place.page.decide, Qt.MouseButton.LeftButton)
    place.page.decision.choose(Choice.CONCESSION)
    place.page.decision.number.setFocus()
    qtbot.waitUntil(place.page.decision.number.hasFocus, timeout=PATIENCE_MS)
    assert place.holds_keys()
    place.page.decide.setFocus()
    assert not place.holds_keys()
