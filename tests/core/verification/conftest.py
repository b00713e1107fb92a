"""A sealed, signed and reviewed record with every kind of event, and the keys behind it."""

import hashlib
from dataclasses import dataclass
from decimal import Decimal

import pytest

from seatproof.core.evaluation.evaluate import evaluate_fully
from seatproof.core.people.key import Cost
from seatproof.core.people.key_list import KeyList
from seatproof.core.people.register import PeopleRegister
from seatproof.core.record.commands.pressing import Press, received_from
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import PhotoAdded, ReferenceCheck, StandardInService
from seatproof.core.record.signing import ACCEPTED, DECIDED, MEASURED
from seatproof.core.sheet.compose import compose
from seatproof.core.version import PROGRAM
from tests.core.conftest import Bench, MemoryStore, key

WORDS = "kiln brick clay"
PHOTO = b"\xff\xd8 not looked into here \xff\xd9"

MORE = """
[checks]
opening = true
standard = true

[signing]
signatures = true
"""


class WholeStore(MemoryStore):
    def append_all(self, events):
        self.kept.extend(events)


class Registers:
    def __init__(self):
        self.kept = []

    def append_register(self, event):
        self.kept.append(event)

    def register_events(self, register):
        return tuple(event for event in self.kept if event.inspection == register)


@dataclass
class Case:
    """A finished inspection, its revision begun, and the register of its people."""

    bench: Bench
    register: PeopleRegister
    people: Registers
    keys: KeyList
    inspection: str

    @property
    def events(self):
        return self.bench.store.events(self.inspection)


def everything(plan_toml, content=None, archive=None):
    """Carry out an inspection that has every kind of event; `content` goes under its seal."""
    bench = Bench(plan_toml, archive or WholeStore())
    people = archive or Registers()
    register = PeopleRegister.open(people, bench.clock, Cost(1, 1, 8))
    ada = register.unlock(register.begin("Ada Admin", WORDS).id, WORDS)
    person = register.add(ada, "Åsa Test", ("inspector",), WORDS)
    lead = register.add(ada, "Quirin Lead", ("quality lead",), WORDS)
    do = bench.inspection
    said = bench.state.identification.model_copy(update={"asset": "Drying-kiln fan 3"})
    do.correct_identification(said, "was left empty")
    do.answer_condition("A", "clean", "not met", "some dust; wiped off")
    do.put_in_service(
        StandardInService(inventory_number="S-1", size_mm="100", expanded_mm="0.0006")
    )
    shown = Press(Decimal("100.000"), None, "100.000", b"100.000", "number", 1)
    do.check_reference(
        ReferenceCheck(
            phase="opening",
            occasion="start",
            gauge="M-1",
            standard="S-1",
            expected_mm="100",
            received=(received_from(shown, bench.state.gauge),),
        )
    )
    do.note_temperatures(Decimal("21.5"), Decimal("21.0"))
    do.choose_walk("orientation by orientation", there_and_back=True)
    bench.press("99.990")
    bench.press("99.995")
    do.take_back(owed=True)
    do.give_reason(bench.state.last.seq, "not held square")
    parked = bench.press("120")
    do.discard_parked(parked.seq, "slipped")
    other = bench.press("121")
    do.use_parked(other.seq, key(3, 2), "checked by hand")
    do.aim(key(3, 2), "that was wrong after all")
    bench.press("99.991")
    do.ask_repeat("doubted", key(1, 1))
    bench.press("99.991")
    do.call_attention("other", note="somebody pushed the table")
    do.skip("keyway", key(2, 2))
    do.add_note("scratch beside station 2", seat="A")
    do.add_photo(
        PhotoAdded(
            sha256=hashlib.sha256(PHOTO).hexdigest(),
            media_type="image/jpeg",
            n_bytes=len(PHOTO),
        )
    )
    do.note_deviation("measured warm", "no time to wait")
    do.change_inspector("Bo Bench")
    do.change_inspector("Åsa Test")
    bench.fill(lambda point: "99.992")
    if content is None:
        composed = compose(bench.state, evaluate_fully(bench.state), PROGRAM)
        content = composed.model_dump(mode="json")
    reasons = dict.fromkeys(do.unfinished(), "it had to go back into the machine")
    seal = do.seal(content, "I measured.", reasons)

    def sign(name, event, meaning):
        signer = register.unlock(name.id, WORDS)
        bench.inspection.sign(
            signer.sign(
                inspection=event.inspection,
                of_seq=event.seq,
                of_hash=event.hash,
                meaning=meaning,
                moment=bench.clock(),
            )
        )

    sign(person, seal, MEASURED)
    bench.inspection = Inspection.resume(
        bench.store, bench.state.inspection, actor="Quirin Lead", clock=bench.clock
    )
    question = bench.inspection.ask("Why was 3/2 done again?")
    bench.inspection.answer(question.seq, "A wrong press was used there.")
    sign(lead, bench.inspection.review("accepted", "seen"), ACCEPTED)
    sign(lead, bench.inspection.dispose("concession", "slow", authority="Design"), DECIDED)
    keys = KeyList.of(register, bench.clock())
    return Case(bench, register, people, keys, bench.state.inspection)


@pytest.fixture(scope="package")
def plan_toml(plan_of):
    return 'conditions = ["clean"]\n' + plan_of() + MORE


@pytest.fixture(scope="package")
def case(plan_toml):
    """Return the case; nothing in it is changed by a test."""
    return everything(plan_toml)


@pytest.fixture(scope="package")
def small(plan_toml):
    """Return a case with little under its seal, for what is tried a thousand times."""
    return everything(plan_toml, {"version": 1, "verdict": "not proven", "rows": ["1.5", 2, None]})


@pytest.fixture
def fresh(plan_toml):
    """Return a case of one's own, to go on with."""
    return everything(plan_toml)
