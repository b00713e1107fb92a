"""Equipment as its papers describe it, its register, and its due dates."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from pydantic import ValidationError

from seatproof.core.equipment.book import EquipmentBook, RepeatabilityTested
from seatproof.core.equipment.due import DueState, due_on
from seatproof.core.equipment.errors import EquipmentRefusedError
from seatproof.core.equipment.item import Item
from seatproof.core.record.errors import EventUnknownError
from seatproof.core.record.events import next_event

MICROMETER = {
    "kind": "micrometer",
    "inventory_number": "M-114",
    "resolution": "0.001",
    "range_from_mm": "100",
    "range_to_mm": "125",
    "permissible_error_mm": "0.006",
    "certificate": {"number": "C-7", "calibrated": "2025-01-10", "due": "2026-01-10"},
}
STANDARD = {
    "kind": "setting standard",
    "inventory_number": "S-100",
    "actual_mm": "100.0004",
    "expanded_mm": "0.001",
}


class Kept:
    def __init__(self):
        self.events = []

    def append_register(self, event):
        self.events.append(event)

    def register_events(self, register):
        return tuple(event for event in self.events if event.inspection == register)


def now():
    return datetime(2025, 3, 4, 5, 6, 7, tzinfo=UTC)


def item(base=MICROMETER, **changes):
    return Item.model_validate({**base, **changes})


@pytest.fixture
def store():
    return Kept()


@pytest.fixture
def book(store):
    return EquipmentBook.open(store, now)


def test_register_is_the_same_when_it_is_opened_again(book, store):
    book.enter("Åsa", item())
    book.enter("Åsa", item(STANDARD))
    book.change("Åsa", item(serial_number="1234"), "serial number was missing")
    book.retire("Bo", "S-100", "chipped")
    again = EquipmentBook.open(store, now)
    assert again.entries == book.entries
    assert [entry.inventory_number for entry in again.items()] == ["M-114"]
    assert [entry.inventory_number for entry in again.items(retired=True)] == ["M-114", "S-100"]
    assert again.entries["M-114"].item.serial_number == "1234"
    assert [event.kind for event in again.entries["M-114"].history] == [
        "item entered",
        "item changed",
    ]
    assert again.entries["S-100"].retired_because == "chipped"


def test_retired_item_comes_back_by_a_change(book):
    book.enter("Åsa", item(STANDARD))
    book.retire("Åsa", "S-100", "lost")
    book.change("Åsa", item(STANDARD), "found again")
    assert not book.entries["S-100"].is_retired


@pytest.mark.parametrize(
    ("act", "said"),
    [
        (lambda book: book.enter("Åsa", item()), "is in the register already"),
        (lambda book: book.change("Åsa", item(), "why not"), "Nothing was changed"),
        (lambda book: book.change("Åsa", item(note="x"), "  "), "Give a reason"),
        (lambda book: book.retire("Åsa", "M-999", "gone"), "The register has no M-999"),
        (lambda book: book.change("Åsa", item(STANDARD), "x"), "The register has no S-100"),
    ],
)
def test_what_cannot_be_entered_is_refused_and_changes_nothing(book, store, act, said):
    book.enter("Åsa", item())
    with pytest.raises(EquipmentRefusedError, match=said):
        act(book)
    assert len(store.events) == 1


def test_repeatability_test_is_kept_with_the_gauge(book):
    book.enter("Åsa", item())
    values = ("110.001", "110.002", "110.001")
    test = RepeatabilityTested(
        inventory_number="M-114",
        values_mm=values,
        deviation_mm="0.000577",
        resolution_mm="0.001",
    )
    book.note_repeatability("Åsa", test)
    assert book.entries["M-114"].history[-1].payload["values_mm"] == list(values)


def test_entry_of_a_newer_program_is_refused(store):
    event = next_event(
        inspection="equipment", last=None, moment=now(), actor="Åsa", kind="item lent", payload={}
    )
    store.append_register(event)
    with pytest.raises(EventUnknownError, match="item lent"):
        EquipmentBook.open(store, now)


@pytest.mark.parametrize(
    ("base", "changes", "said"),
    [
        (MICROMETER, {"resolution": None}, "has a resolution"),
        (MICROMETER, {"range_from_mm": "125"}, "ends before it begins"),
        (MICROMETER, {"evidence": "certificate"}, "it has no errors entered"),
        (MICROMETER, {"certificate": {"due": "next year"}}, "isoformat"),
        (
            MICROMETER,
            {"certificate": {"calibrated": "2026-01-10", "due": "2025-01-10"}},
            "due before it was made",
        ),
        (STANDARD, {"expanded_mm": None}, "actual size with its uncertainty"),
        ({"kind": "vee block", "inventory_number": "V-1"}, {}, "included angle"),
        (
            {"kind": "vee block", "inventory_number": "V-1", "vee_angle_deg": "180"},
            {},
            "included angle",
        ),
    ],
)
def test_papers_that_cannot_be_right_are_refused(base, changes, said):
    with pytest.raises(ValidationError, match=said):
        item(base, **changes)


@pytest.mark.parametrize(
    ("today", "state", "said"),
    [
        ("2025-12-10", DueState.VALID, "holds until 2026-01-10"),
        ("2025-12-11", DueState.SOON, "is due in 30 days"),
        ("2026-01-09", DueState.SOON, "is due in 1 day,"),
        ("2026-01-10", DueState.SOON, "is due today"),
        ("2026-01-11", DueState.EXPIRED, "expired on 2026-01-10, 1 day ago"),
    ],
)
def test_due_date_warns_ahead_and_the_day_itself_still_counts(today, state, said):
    due = due_on(item(), date.fromisoformat(today))
    assert due.state is state
    assert said in due.sentence


def test_missing_due_date_is_said():
    assert due_on(item(certificate={}), date(2025, 1, 1)).state is DueState.UNKNOWN


@pytest.mark.parametrize(
    ("size", "inside"), [("99.999", False), ("100", True), ("125", True), ("125.001", False)]
)
def test_range_includes_both_its_ends(size, inside):
    assert item().covers(Decimal(size)) is inside


def test_gauge_and_standard_go_into_service_with_all_their_papers_say():
    gauge = item().in_service(seats=("A",), source="/dev/ttyUSB0")
    assert (gauge.inventory_number, gauge.permissible_error_mm) == ("M-114", "0.006")
    assert (gauge.calibration_due, gauge.certificate) == ("2026-01-10", "C-7")
    assert gauge.seats == ("A",)
    standard = item(STANDARD).as_standard()
    assert (standard.size_mm, standard.expanded_mm) == ("100.0004", "0.001")
    with pytest.raises(ValueError, match="gives no readings"):
        item(STANDARD).in_service()
    with pytest.raises(ValueError, match="is no setting standard"):
        item().as_standard()
