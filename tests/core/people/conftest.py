"""A register of people in memory, with a clock that is set by hand and keys that are cheap."""

from datetime import datetime, timedelta, timezone

import pytest

from seatproof.core.people.key import Cost
from seatproof.core.people.register import PeopleRegister

CHEAP = Cost(iterations=1, lanes=1, memory_kib=8)  # the weakest that Argon2id knows
WORDS = "kiln brick clay"


class MemoryRegisters:
    """Keeps the events of registers for as long as a test lasts."""

    def __init__(self):
        self.kept = []

    def append_register(self, event):
        self.kept.append(event)

    def register_events(self, register):
        return tuple(event for event in self.kept if event.inspection == register)


class Clock:
    """Stands still until it is moved."""

    def __init__(self):
        self.now = datetime(2025, 3, 4, 9, 15, tzinfo=timezone(timedelta(hours=1)))

    def __call__(self):
        return self.now

    def go(self, seconds):
        self.now += timedelta(seconds=seconds)


class Office:
    """A register with one administrator, Ada, and what opens it again."""

    def __init__(self):
        self.store, self.clock = MemoryRegisters(), Clock()
        self.register = self.open()
        self.ada = self.register.begin("Ada Admin", WORDS, ("quality lead",))
        self.admin = self.register.unlock(self.ada.id, WORDS)

    def open(self):
        return PeopleRegister.open(self.store, self.clock, CHEAP)

    def add(self, name, *roles, words=WORDS):
        return self.register.add(self.admin, name, roles or ("inspector",), words)


@pytest.fixture
def office():
    return Office()
