"""A register is one chain: what is entered is durable first, and an altered one is refused."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from seatproof.core.equipment.book import ItemRetired
from seatproof.core.record.errors import ChainBrokenError
from seatproof.core.registers.register import Register


class Kept:
    def __init__(self):
        self.events = []
        self.full = False

    def append_register(self, event):
        if self.full:
            raise OSError("no space left")
        self.events.append(event)

    def register_events(self, register):
        return tuple(event for event in self.events if event.inspection == register)


def now():
    return datetime(2025, 3, 4, 5, 6, 7, tzinfo=UTC)


def retired(number):
    return ItemRetired(inventory_number=number, reason="dropped")


@pytest.fixture
def store():
    return Kept()


def test_what_was_entered_is_there_when_it_is_opened_again(store):
    register = Register.open("equipment", store, now)
    entered = [register.append("Åsa", retired("M-1")), register.append("Bo", retired("M-2"))]
    assert list(Register.open("equipment", store, now).events) == entered
    assert [event.actor for event in entered] == ["Åsa", "Bo"]


def test_registers_of_one_archive_are_apart(store):
    Register.open("equipment", store, now).append("Åsa", retired("M-1"))
    Register.open("plans", store, now).append("Åsa", retired("M-2"))
    assert len(Register.open("equipment", store, now).events) == 1


def test_nothing_counts_that_was_not_stored(store):
    register = Register.open("equipment", store, now)
    store.full = True
    with pytest.raises(OSError, match="no space"):
        register.append("Åsa", retired("M-1"))
    assert register.events == ()


@pytest.mark.parametrize(
    "alter",
    [
        lambda events: [replace(events[0], actor="Eve"), *events[1:]],
        lambda events: events[1:],
        lambda events: [events[1], events[0]],
        lambda events: [events[0], replace(events[1], payload={"reason": "other"})],
    ],
)
def test_altered_register_is_refused(store, alter):
    register = Register.open("equipment", store, now)
    for number in ("M-1", "M-2"):
        register.append("Åsa", retired(number))
    store.events = alter(store.events)
    with pytest.raises(ChainBrokenError):
        Register.open("equipment", store, now)
