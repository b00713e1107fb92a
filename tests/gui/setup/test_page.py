"""The page before the bench offers a fitting only together with what the review said of it."""

import pytest
from PySide6.QtWidgets import QPushButton

from seatproof.core.archive.index import OPEN, STATES, SUPERSEDED
from seatproof.core.archive.query import Entry
from seatproof.gui.setup.cards import _AGAINST_FITTING
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.setup.page import SetupPage

SAID = {
    "sealed": "○ Not reviewed yet",
    "reviewed": "● Reviewed",
    "sent back": "▲ The review sent it back: to be measured again",
    "accepted": "● Accepted",
    "to be reworked": "▲ It was decided: to be reworked",
    "accepted by concession": "● Accepted by concession",
    "rejected": "▲ It was decided: rejected",
}


def test_every_state_of_a_sealed_inspection_is_known():
    assert set(SAID) == set(STATES) - {OPEN, SUPERSEDED}
    assert set(_AGAINST_FITTING) <= set(STATES)


@pytest.mark.parametrize(("state", "words"), SAID.items())
def test_the_state_of_the_review_stands_beside_the_offer_to_fit(qtbot, state, words):
    entry = Entry(
        inspection="1",
        opened_utc="2026-03-02T08:00:00Z",
        title="Kiln fan",
        thing="Fan 3",
        sheet_number="KF-1",
        events=9,
        sealed=True,
        verdict="conforms",
        state=state,
    )
    page = SetupPage(demonstration_form(), (), tuple, to_fit=(entry,))
    qtbot.addWidget(page)
    offer = page.findChild(QPushButton, "fit_1")
    assert offer.text() == f"Kiln fan, Fan 3\nKF-1, conforms\n{words}"
