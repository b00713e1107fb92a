"""A fitting in another language: the window speaks it, the record stays English."""

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QPushButton

from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.units import Unit
from seatproof.gui.fitting.lengths import typed_length
from seatproof.gui.fitting.page import FittingPage
from seatproof.gui.fitting.seal_card import STATEMENTS
from seatproof.gui.settings import Settings
from seatproof.gui.shared.saying import use_language
from seatproof.gui.shared.theme import LIGHT


@pytest.fixture(autouse=True)
def german() -> Iterator[None]:
    use_language("de")
    yield
    use_language("en")


@pytest.fixture
def page_of(qtbot, dress):
    def make(model):
        dress(LIGHT, 1.0)
        page = FittingPage(model, LIGHT, Settings(), lambda: None)
        qtbot.addWidget(page)
        page.resize(1280, 800)
        page.show()
        qtbot.waitExposed(page)
        return page

    return make


def at_joint(model):
    kinds = [step.kind for step in model.state.plan.fitting]
    model.go_to(kinds.index("torque"))
    return model.step


def test_the_state_of_the_threads_is_recorded_in_english(page_of, ready):
    model = ready()
    page = page_of(model)
    step = at_joint(model)
    card = page._card()
    offered = [card.lubricant.itemText(n) for n in range(card.lubricant.count())]
    assert offered[0] == "sauber und trocken"
    card.lubricant.setCurrentText(offered[0])
    page.findChild(QPushButton, "note_threads").click()
    assert model.state.fitting.thread(step.id).lubricant == "clean and dry"
    assert card.threads.text() == "✓ sauber und trocken"
    card.lubricant.setCurrentText("Fett von gestern")
    page.findChild(QPushButton, "note_threads").click()
    assert model.state.fitting.thread(step.id).lubricant == "Fett von gestern"


def test_a_deviation_is_recorded_in_english_and_known_again(ready):
    model = ready()
    step = at_joint(model)
    model.bolting.note_threads(step, "clean and dry")
    model.bolting.go_without_tool(step, "kein anderes da")
    deviation = model.state.deviations[-1].payload
    assert deviation.what.endswith("is tightened with no torque tool of the register")
    assert deviation.reason == "kein anderes da"
    assert model.bolting.is_prepared(step)
    model.bolting.confirm(step)
    assert model.said == f"✓ Schraube {step.proposed_order[0]}: aufgezeichnet."


def test_a_torque_has_a_decimal_comma_and_is_recorded_with_a_point(ready):
    model = ready()
    step = at_joint(model)
    model.bolting.note_threads(step, "clean and dry")
    model.bolting.put_in_service(step, model.tools()[0])
    model.bolting.type_torque(step, "20,5")
    assert model.state.fitting.work[step.id][-1].payload.torque == "20.5"
    assert "mit 20,5 N m" in model.said
    with pytest.raises(CommandRefusedError, match=r"„20,5,1“ ist kein Drehmoment"):
        model.bolting.type_torque(step, "20,5,1")


def test_a_length_may_be_typed_with_a_comma():
    assert typed_length("0,052", Unit.MM).value_mm == "0.052"


def test_the_statement_under_the_seal_is_english(page_of, ready):
    model = ready()
    page = page_of(model)
    for gap in model.gaps:
        model.give_reason(gap, "eine Probe")
    page._go_to(len(model.steps))
    assert page.seal.words.text() == "Nichts steht mehr ohne Grund offen."
    page.findChild(QPushButton, "seal_fitting").click()
    page.findChild(QPushButton, "reason1").click()
    assert model.seal_entry.payload.statement == STATEMENTS[0]
    assert page.seal.words.text().startswith("✓ Die Montage ist in derselben Kette versiegelt")


def test_every_screen_says_that_it_is_not_released(page_of, sealed):
    model = sealed(verdict="not proven")
    page = page_of(model)
    assert page.banner.text().startswith("⚠ NICHT ZUR MONTAGE FREIGEGEBEN: ")
    assert page.opening.release.text().startswith("✗ Nicht freigegeben. ")
