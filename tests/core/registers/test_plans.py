"""Plans are kept version by version, and a used version stays as it is."""

from datetime import UTC, datetime, timedelta

import pytest

from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import EventUnknownError
from seatproof.core.record.events import next_event
from seatproof.core.registers.plans import PlanBook


class Kept:
    def __init__(self):
        self.events = []

    def append_register(self, event):
        self.events.append(event)

    def register_events(self, register):
        return tuple(event for event in self.events if event.inspection == register)


class Clock:
    def __init__(self):
        self.now = datetime(2025, 3, 4, tzinfo=UTC)

    def __call__(self):
        self.now += timedelta(minutes=1)
        return self.now


@pytest.fixture
def store():
    return Kept()


@pytest.fixture
def used():
    return set()


@pytest.fixture
def book(store, used):
    return PlanBook.open(store, Clock(), lambda title, version: (title, version) in used)


def versioned(text, version):
    return text.replace('version = "1"', f'version = "{version}"')


def test_versions_are_offered_newest_first(book, store, plan_of):
    for version in ("1", "2", "10"):
        book.keep("Åsa", versioned(plan_of(), version))
    other = plan_of().replace("Trial shaft", "Another shaft")
    book.keep("Bo", other)
    again = PlanBook.open(store, Clock(), book.is_used)
    assert again.plans == book.plans
    assert [(plan.title, plan.version) for plan in again.offered()] == [
        ("Another shaft", "1"),
        ("Trial shaft", "10"),
        ("Trial shaft", "2"),
        ("Trial shaft", "1"),
    ]


def test_same_text_is_kept_once(book, store, plan_of):
    book.keep("Åsa", plan_of())
    book.keep("Åsa", plan_of())
    assert len(store.events) == 1


def test_version_may_be_corrected_until_it_is_used(book, used, plan_of):
    book.keep("Åsa", plan_of())
    book.keep("Åsa", plan_of(orientations="[0, 60, 120]"))
    used.add(("Trial shaft", "1"))
    with pytest.raises(PlanError, match="give the changed plan a new version"):
        book.keep("Åsa", plan_of())
    assert "[0, 60, 120]" in book.plans["Trial shaft", "1"].text
    book.keep("Åsa", versioned(plan_of(), "2"))
    assert len(book.offered()) == 2


def test_plan_put_away_is_offered_no_longer_until_it_is_kept_again(book, plan_of):
    book.keep("Åsa", plan_of())
    book.put_away("Åsa", "Trial shaft", "1", "drawing withdrawn")
    assert book.offered() == ()
    assert book.plans["Trial shaft", "1"].put_away_because == "drawing withdrawn"
    book.keep("Åsa", plan_of())
    assert len(book.offered()) == 1


@pytest.mark.parametrize(
    ("act", "said"),
    [
        (lambda book: book.keep("Åsa", "not a plan"), "not valid TOML"),
        (lambda book: book.put_away("Åsa", "Trial shaft", "9", "x"), "is not in the register"),
        (lambda book: book.put_away("Åsa", "Trial shaft", "1", " "), "give a reason"),
    ],
)
def test_what_cannot_be_done_is_refused(book, store, plan_of, act, said):
    book.keep("Åsa", plan_of())
    with pytest.raises(PlanError, match=said):
        act(book)
    assert len(store.events) == 1


def test_entry_of_a_newer_program_is_refused(store):
    event = next_event(
        inspection="plans", last=None, moment=Clock()(), actor="Åsa", kind="plan lent", payload={}
    )
    store.append_register(event)
    with pytest.raises(EventUnknownError, match="plan lent"):
        PlanBook.open(store, Clock(), lambda *_: False)
