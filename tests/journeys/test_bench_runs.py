"""A clean guided run in the real window, once by keyboard alone and once by touch alone."""

import threading

import pytest
from PySide6.QtCore import Qt

from seatproof.core.archive.file import Archive
from seatproof.core.equipment.book import EquipmentBook
from seatproof.core.equipment.item import Item, ItemKind
from seatproof.core.people.key import Cost
from seatproof.core.people.register import PeopleRegister
from seatproof.core.record.signing import signature_holds
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.workplace import local_now
from tests.journeys.bench_person import (
    CHECKS,
    CONDITIONS,
    FIRST_SEAT,
    GAUGE,
    SECOND_SEAT,
    Person,
    plan_text,
)

PASSPHRASE = "eleven kilns in a row"
ON_A = ("110.012", "110.013", "110.014")
ON_B = ("100.012", "100.013", "100.014")


@pytest.fixture(autouse=True)
def no_thread_left():
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


@pytest.fixture
def someone(qtbot, tmp_path):
    with Person(qtbot, tmp_path) as person:
        yield person


def assert_clean_run_is_stored(someone):
    """Look at the archive and the sheet of a run in which nothing went amiss."""
    stored = someone.stored()
    values = [reading.received.value for reading in stored.readings.values()]
    assert values == [*ON_A, *ON_B]
    assert all(reading.counts for reading in stored.readings.values())
    assert {reading.received.gauge for reading in stored.readings.values()} == {GAUGE}
    assert [check.check.phase for check in stored.checks] == ["opening", "closing"]
    assert all(check.good and len(check.check.received) == 3 for check in stored.checks)
    assert {entry.payload.answer for entry in stored.conditions.values()} == {"met"}
    assert len(stored.conditions) == 4
    assert not stored.parked
    assert stored.sealed.statement == "I measured this shaft as recorded here."
    assert stored.sealed.gaps == ()
    sheet = someone.sheet()
    assert stored.identification.sheet_number in sheet
    assert stored.sealed.statement in sheet
    for value in ("ST-110", "ST-100", GAUGE):
        assert value in sheet
    assert "All 2 requirements conform." in sheet
    return stored, sheet


def test_a_guided_run_by_keyboard_alone(someone):
    asked = CHECKS.replace("[checks]", "[checks]\ntemperatures = true")
    someone.begin(plan_text(FIRST_SEAT, SECOND_SEAT, conditions=CONDITIONS, more=asked))
    model = someone.model
    someone.push("rung_identify")
    assert "Make sure that this is the shaft" in someone.instruction
    someone.write("identify_customer", "Tile works")
    someone.push("correct")
    assert someone.bench.reason.isVisible()
    someone.key(Qt.Key.Key_2)
    assert not someone.bench.reason.isVisible()
    someone.key(Qt.Key.Key_F2)
    assert "Read the cautions" in someone.instruction
    someone.write("cautions_permit", "P-77")
    someone.push("acknowledge")
    assert someone.text_of("acknowledged") == "✓ Acknowledged by Ann under permit P-77."
    someone.key(Qt.Key.Key_F2)
    assert model.steps.in_hand is Rung.CONDITION
    someone.push("all_met")
    someone.push("condition_seat_B")
    someone.push("all_met")
    assert someone.text_of("condition_seat_B").startswith("Seat B  ✓")
    someone.key(Qt.Key.Key_F2)
    assert model.steps.in_hand is Rung.EQUIPMENT
    for other, number, size in (("B", "ST-110", "110"), ("A", "ST-100", "100")):
        someone.push(f"equipment_seat_{other}")  # this one serves the other seat alone
        someone.write("standard_inventory_number", number)
        someone.key(Qt.Key.Key_Return)  # Return goes to the next field
        someone.type(size)
        someone.key(Qt.Key.Key_Return)
        someone.type("0.0008")
        someone.push("use_standard")
        assert f"✓ {number} is in service" in someone.text_of("standard_done")
        someone.push(f"equipment_seat_{other}")
    someone.key(Qt.Key.Key_F2)
    assert "presses now belong to the check" in someone.instruction
    someone.press_for_check("110.001", "110.000", "110.001")
    assert someone.text_of("check_problems").startswith("The plan asks for the temperature")
    for thing, celsius in (("shaft", "21.5"), ("gauge", "21"), ("standard", "21")):
        someone.write(f"check_{thing}", celsius)
    someone.push("log_check")
    assert f"Gauge {GAUGE} shows" in someone.text_of("check_outcome")
    someone.key(Qt.Key.Key_F2)
    assert someone.instruction == "Measure seat A, station 1 (130 mm), at 0°."
    someone.press(*ON_A)
    assert someone.instruction.startswith("Measure seat B, station 1")
    someone.press(*ON_B)
    assert someone.instruction == "All points are done. Go on to the last check."
    someone.key(Qt.Key.Key_F2)
    someone.press_for_check("110.001", "110.002", "110.001")
    someone.push("log_check")
    someone.key(Qt.Key.Key_F2)
    assert model.steps.in_hand is Rung.VERDICT
    assert someone.text_of("stands_open") == "Nothing is open."
    someone.until(lambda: someone.marks() == {"conforms"})
    someone.key(Qt.Key.Key_F2)
    assert model.steps.in_hand is Rung.SEAL
    someone.key(Qt.Key.Key_F9)
    assert someone.seen("It cannot be changed afterwards")
    someone.key(Qt.Key.Key_1)
    someone.until(lambda: model.sealing is not None)
    someone.settle()
    assert someone.instruction.startswith("Sealed. The sheet is ")
    stored, sheet = assert_clean_run_is_stored(someone)
    assert stored.identification.customer == "Tile works"
    assert stored.permit == "P-77"
    assert "Tile works" in sheet
    assert "P-77" in sheet


def test_a_guided_run_by_touch_alone(someone):
    with Archive.open(someone.archive_file) as archive:
        book = EquipmentBook.open(archive, local_now)
        for number, size in (("ST-110", "110"), ("ST-100", "100")):
            book.enter(
                "Ann",
                Item(
                    kind=ItemKind.STANDARD,
                    inventory_number=number,
                    actual_mm=size,
                    expanded_mm="0.0008",
                ),
            )
    someone.open_plan(plan_text(FIRST_SEAT, SECOND_SEAT, conditions=CONDITIONS, more=CHECKS))
    someone.tap("begin")
    model = someone.model
    someone.until(lambda: model.line_is_up)
    someone.tap("rung_identify")
    someone.tap("seat_to_do_B")
    someone.tap("seat_to_do_B")  # both seats after all
    someone.tap("go_on")
    someone.tap("acknowledge")
    someone.tap("go_on")
    someone.tap("condition_0_met")
    someone.tap("condition_1_met")
    someone.tap("condition_seat_B")
    someone.tap("all_met")
    someone.tap("go_on")
    for other, number in (("B", "ST-110"), ("A", "ST-100")):
        someone.tap(f"equipment_seat_{other}")
        someone.tap(f"item_{number}")
        someone.tap(f"equipment_seat_{other}")
    assert "Seat A: M-4; checked on ST-110\nSeat B: M-4; checked on ST-100" in someone.text_of(
        "equipment_table"
    )
    someone.tap("go_on")
    someone.press_for_check("110.001", "110.000", "110.200")
    someone.tap("forget_press")  # the last one slipped
    someone.press_for_check("110.001")
    someone.tap("log_check")
    someone.tap("go_on")
    someone.press(*ON_A, *ON_B)
    someone.tap("go_on_step")
    someone.press_for_check("110.001", "110.000", "110.001")
    someone.tap("log_check")
    someone.tap("go_on")
    assert someone.text_of("stands_open") == "Nothing is open."
    someone.tap("go_on")
    someone.tap("seal_now")
    someone.tap("reason1")
    someone.until(lambda: model.sealing is not None)
    someone.settle()
    assert someone.text_of("instruction").startswith("Sealed. The sheet is ")
    stored, _ = assert_clean_run_is_stored(someone)
    assert [entry.payload.seats for entry in stored.standards] == [("A",), ("B",)]


def test_the_seal_is_signed_by_a_person_of_the_register(someone):
    with Archive.open(someone.archive_file) as archive:
        cheap = Cost(iterations=1, lanes=1, memory_kib=64)
        PeopleRegister.open(archive, local_now, cheap).begin("Ann", PASSPHRASE, ("inspector",))
    someone.begin(plan_text(FIRST_SEAT, more="[signing]\nsignatures = true\n"))
    model = someone.model
    someone.press(*ON_A)
    someone.tap("go_on_step")
    someone.tap("go_on")
    someone.tap("seal_now")
    someone.tap("reason1")
    someone.until(lambda: model.sealing is not None)
    assert not someone.stored().signatures
    assert "sealed, not signed" in someone.sheet()
    someone.tap("sign_seal")
    for passphrase, said in (("a guess", "Ann"), (PASSPHRASE, "")):
        someone.write("signing_passphrase", passphrase)
        first = model.sealing
        someone.tap("signing_sign")
        assert said in someone.bench.steps.currentWidget().signing.trouble.text()
    someone.until(lambda: model.sealing is not first)
    stored = someone.stored()
    (signed,) = stored.signatures
    assert signed.payload.name == "Ann"
    assert (signed.payload.of_seq, signed.payload.of_hash) == (
        stored.seal.seq,
        stored.seal.event.hash,
    )
    assert signature_holds(stored.inspection, signed.payload)
    assert not stored.signature_owed
    signed_sheet = someone.sheet()
    assert "sealed, not signed" not in signed_sheet
    assert signed.payload.meaning in signed_sheet
