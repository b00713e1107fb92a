"""A bench that speaks German or Spanish: what is seen is translated, what is recorded is not."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton

from seatproof.core.plan.points import PointKey
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.units import Unit
from seatproof.devices.arrival import Arrival
from seatproof.devices.formats import Reading
from seatproof.gui.bench.checking import CheckDesk
from seatproof.gui.bench.equipment_form import EquipmentFormError, standard_of
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.reasons import Ask
from seatproof.gui.bench.sealing import Sealing
from seatproof.gui.bench.view import BenchView
from seatproof.gui.shared.saying import use_language
from seatproof.gui.shared.theme import LIGHT

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


class Store:
    """Keeps events in memory."""

    def __init__(self):
        self.kept = []

    def append(self, event):
        self.kept.append(event)

    def events(self, inspection):
        return tuple(self.kept)


class Bench:
    """The kiln fan at a bench that speaks a language."""

    def __init__(self, qtbot, plan_toml, language):
        use_language(language)
        inspection = Inspection.create(
            Store(),
            plan_toml=plan_toml,
            identification=Identification(sheet_number="S 1"),
            actor="Ann",
            clock=lambda: NOW,
        )
        inspection.acknowledge_cautions(("stand clear",))
        inspection.put_in_service(
            GaugeInService(
                inventory_number="M 4", unit="mm", resolution="0.001", source="p", format="auto"
            )
        )
        self.model = BenchModel(inspection, finish=lambda _: lambda: Sealing(None, None, ""))
        self.view = BenchView(self.model, LIGHT)
        qtbot.addWidget(self.view)
        self.view.resize(1280, 800)
        self.view.show()
        self._qtbot = qtbot
        self._number = 0

    def press(self, text):
        self._number += 1
        raw = f"{self._number}:{text}\r".encode()
        reading = Reading(Decimal(text), None, None, text, raw, "auto")
        self.model.take(Arrival(reading, self._number, NOW, float(self._number)))
        self.view.refresh()

    def click(self, name):
        self._qtbot.mouseClick(self.view.findChild(QPushButton, name), Qt.MouseButton.LeftButton)

    def button(self, name):
        return self.view.findChild(QPushButton, name).text()

    def texts(self):
        return [label.text() for label in self.view.findChildren(QLabel)]


@pytest.fixture
def german(qtbot, kiln_fan):
    return Bench(qtbot, kiln_fan, "de")


def test_the_instruction_and_the_buttons_are_said(german):
    assert german.view.instruction.text() == "Messen: Sitz A, Ebene 1 (158 mm), bei 0°."
    assert german.view.progress.text() == "0 von 60 Punkten"
    assert german.button("leave") == "Verlassen\nF12"


def test_another_language_is_spoken_as_well(qtbot, kiln_fan):
    spanish = Bench(qtbot, kiln_fan, "es")
    assert spanish.view.instruction.text() == "Mida: asiento A, sección 1 (158 mm), a 0°."
    spanish.press("110.015")
    assert spanish.view.value.figures.text == "110,015"


def test_a_value_and_where_it_lies_have_a_decimal_comma(german):
    german.press("110.0155")
    assert german.view.value.figures.text == "110,0155"
    assert german.view.value.note.text() == "+15,5 µm vom Nennmaß"
    german.view.show_figure()
    assert german.view.figure.figures.text == "110,0155 mm"
    assert german.view.figure.place.text() == "A 1/1 · aufgezeichnet"


def test_why_a_press_is_parked_is_said(german):
    german.press("11.001")
    (notice,) = german.model.parked
    assert "from the nominal size" in notice.finding
    texts = german.texts()
    assert "Zurückgestellt: 11,001 mm" in texts
    said = [text for text in texts if "neben dem Nennmaß" in text]
    assert said
    assert all("Sitz A" in text for text in said)
    assert german.button(f"use_parked_{notice.seq}") == "Bei A 1/1 verwenden"


def test_the_story_of_a_point_leaves_what_the_gauge_sent(german):
    german.press("110.015")
    german.model.select(PointKey("A", 1, 1))
    german.view.refresh()
    story = german.view.findChild(QLabel, "story").text().splitlines()
    assert story == [
        "Sitz A, Ebene 1 (158 mm), bei 0°: innerhalb der Grenzen",
        '110,015 mm um 08:00:00, als "110.015" von M 4',
    ]


def test_a_value_typed_with_a_comma_is_logged_at_its_size(german, qtbot):
    german.view.type_value()
    qtbot.keyClicks(german.view.typing.field, "110,012")
    assert german.view.typing.question.text().startswith("110,012 mm, von Hand eingegeben")
    german.click("log_typed")
    received = german.model.last_reading.received
    assert (received.value, received.text) == ("110.012", "110.012")
    assert received.format == "typed by hand"


def test_the_keys_of_the_panel_type_a_comma_too(german):
    german.view.type_value()
    for character in ("1", "1", "0", ".", "0", "1", "2"):
        german.click(f"digit_{character}")
    assert german.view.typing.field.text() == "110,012"
    german.click("log_typed")
    assert german.model.last_reading.received.value == "110.012"


def test_a_comma_is_no_decimal_sign_in_english(qtbot, kiln_fan):
    english = Bench(qtbot, kiln_fan, "en")
    english.view.type_value()
    qtbot.keyClicks(english.view.typing.field, "110,012")
    assert not english.view.typing.log.isEnabled()
    assert english.view.typing.question.text().startswith("Type digits with a decimal point")


def test_the_record_keeps_the_reason_in_english(german):
    german.press("110.015")
    german.view.take_back()
    assert german.button("reason1") == "1  Messgerät war nicht gerade angesetzt"
    german.click("reason1")
    (reading,) = german.model.state.readings.values()
    assert reading.fate == "taken back: Gauge was not held square"


def test_the_record_keeps_the_statement_in_english(german):
    while german.model.next_point is not None:
        german.model.skip("Cannot be reached")
    german.view.refresh()
    german.view.seal()
    assert german.button("reason1") == (
        "1  Ich habe diese Welle so gemessen, wie hier aufgezeichnet."
    )
    german.click("reason1")
    if german.model.seal_desk.remarks:  # sealed when it is asked for again, knowing of them
        german.view.seal()
        german.click("reason1")
    assert german.model.state.sealed.statement == Ask.SEAL.answers[0]
    assert Ask.SEAL.answers[0] == "I measured this shaft as recorded here."


def test_the_walk_is_chosen_by_its_translated_name(german):
    german.view.deeds.change_walk()
    assert german.button("reason3") == "3  Richtung für Richtung"
    german.click("reason3")
    assert german.model.state.walk == "orientation by orientation"


def test_temperatures_typed_with_a_comma_are_understood(german):
    desk = CheckDesk()
    desk.begin(german.model.state, "opening", "start")
    desk.note_temperature("shaft", "21,5")
    desk.note_temperature("gauge", "warm")
    assert desk.problems(german.model.state)[-1] == (
        "Die Temperatur des Messgeräts in °C mit Komma angeben, etwa 21,5."
    )
    german.model.steps.check_now()
    german.model.steps.desk.note_temperature("shaft", "21,5")
    german.press("0.000")
    assert german.model.steps.desk.payload(german.model.state).shaft_c == "21.5"


def test_a_standard_typed_with_commas_has_its_size():
    use_language("de")
    typed = {
        "inventory_number": "ST",
        "size": "100,0125",
        "expanded": "0,0008",
        "calibration_due": "",
        "certificate": "",
    }
    made = standard_of(typed, Unit.MM, ())
    assert (made.size_mm, made.expanded_mm) == ("100.0125", "0.0008")
    with pytest.raises(EquipmentFormError, match=r"Als Zahl mit Dezimalkomma .*: Istmaß"):
        standard_of(typed | {"size": "wide"}, Unit.MM, ())
