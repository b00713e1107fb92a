"""A check in hand: what is pressed stays with it, what was noted is filled in; without a window."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from seatproof.core.archive.errors import ArchiveFullError
from seatproof.core.files import example
from seatproof.core.plan.file import parse_plan
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import GaugeInService, Identification, StandardInService
from seatproof.devices.formats import Reading
from seatproof.devices.gauge import Arrival
from seatproof.gui.bench.apartness import far_standard
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.last_value import ValueKind
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.sealing import Sealing

WHOLE_JOB = example("kiln_fan_whole_job.toml").read_text(encoding="utf-8")


class Store:
    """Keeps events in memory; can be full."""

    def __init__(self):
        self.kept = []
        self.is_full = False

    def append(self, event):
        if self.is_full:
            raise ArchiveFullError("archive", "The disk is full; make room.")
        self.kept.append(event)

    def events(self, inspection):
        return tuple(self.kept)


def standard(number, size, *seats):
    return StandardInService(
        inventory_number=number, size_mm=size, expanded_mm="0.0008", seats=seats
    )


class Bench:
    """The kiln fan's whole job with a gauge and a standard for each seat, at the first check."""

    def __init__(self):
        self.now = datetime(2025, 3, 1, 9, tzinfo=UTC)
        self.store = Store()
        inspection = Inspection.create(
            self.store,
            plan_toml=WHOLE_JOB,
            identification=Identification(sheet_number="S 1"),
            actor="Ann",
            clock=lambda: self.now,
        )
        inspection.acknowledge_cautions(("stand clear",))
        inspection.put_in_service(
            GaugeInService(
                inventory_number="M 4", unit="mm", resolution="0.001", source="p", format="auto"
            )
        )
        inspection.put_in_service(standard("ST-A", "110", "A"))
        inspection.put_in_service(standard("ST-B", "100", "B"))
        inspection.note_temperatures(Decimal("22.5"), Decimal("21.5"))
        self.model = BenchModel(inspection, finish=lambda _: lambda: Sealing(None, None, ""))
        self.steps = self.model.steps
        self.desk = self.steps.desk
        self.steps.go_to(Rung.OPENING)
        self.number = 0

    def press(self, *texts):
        for text in texts:
            self.number += 1
            raw = f"{self.number}:{text}\r".encode()
            reading = Reading(Decimal(text), None, None, text, raw, "auto")
            self.model.take(Arrival(reading, self.number, self.now, float(self.number)))

    @property
    def held(self):
        return [one.value for one in self.desk.received]


@pytest.fixture
def bench():
    return Bench()


def test_presses_stay_with_their_check_through_steps_and_standards(bench):
    bench.press("110.001", "110.002")
    bench.steps.go_to(Rung.IDENTIFY)
    bench.steps.go_to(Rung.CLOSING)
    assert bench.held == []
    assert not bench.desk.is_taken_up
    bench.steps.go_to(Rung.OPENING)
    assert bench.held == ["110.001", "110.002"]
    assert bench.desk.is_taken_up
    bench.desk.choose_standard("ST-B")
    bench.press("100.001")
    bench.desk.choose_standard("ST-A")
    assert bench.held == ["110.001", "110.002"]


def test_presses_stay_when_a_check_between_readings_is_left(bench):
    bench.steps.go_to(Rung.READINGS)
    bench.steps.check_now("M 4")  # the first one is due
    bench.steps.go_to(Rung.READINGS)
    bench.steps.call_attention("knock", "M 4")
    bench.steps._between = True
    bench.desk.begin(bench.model.state, "between", "knock", "M 4")
    bench.press("110.003")
    bench.steps.leave_check()
    assert not bench.steps.is_checking
    assert "110.003" in bench.desk.held[0]
    assert bench.desk.held[0].startswith("Held for the check between readings of gauge M 4")


def test_a_check_that_was_not_stored_keeps_its_presses(bench):
    bench.desk.note_temperature("standard", "21.5")
    bench.press("110.001", "110.001", "110.001")
    bench.store.is_full = True
    with pytest.raises(ArchiveFullError):
        bench.steps.log_check()
    assert bench.held == ["110.001"] * 3
    bench.store.is_full = False
    assert bench.steps.log_check().good
    assert bench.desk.standard == "ST-B"  # the other seat's own comes next
    assert "on standard ST-B" in bench.steps.said
    assert bench.held == []
    bench.press("100.001")
    bench.steps.log_check()
    assert "on standard" not in bench.steps.said


def test_what_is_held_is_noted_before_the_seal_and_once(bench):
    bench.press("110.001", "110.002")
    bench.model.note_held()
    bench.model.note_held()
    (note,) = bench.model.state.notes
    assert note.payload.text == (
        "Held for the first check of gauge M 4 on the standard ST-A, and not logged: "
        "110.001 mm, 110.002 mm."
    )
    assert bench.held == []


def test_nothing_is_held_for_a_check_after_the_seal(bench):
    model = bench.model
    while model.can_skip:
        model.skip("a trial")
    for gap in model.gaps:
        model.seal_desk.give_reason(gap, "a trial")
    for _ in range(2):  # the second time knowing of what is remarked
        if not model.is_sealed:
            model.seal("Nothing was measured.")
    assert model.is_sealed
    bench.steps.go_to(Rung.CLOSING)
    bench.press("110.001")
    assert model.last.kind is ValueKind.NOT_STORED
    assert bench.held == []


def test_temperatures_that_were_noted_are_filled_in_and_what_is_typed_stays(bench):
    assert bench.desk.temperatures == {"shaft": "22.5", "gauge": "21.5", "standard": ""}
    assert bench.desk.is_filled_in
    bench.desk.note_temperature("shaft", "23")
    assert not bench.desk.is_filled_in
    bench.steps.go_to(Rung.OPENING)
    assert bench.desk.temperatures["shaft"] == "23"


def test_a_press_is_awaited_from_the_step_on_that_asks_for_one(bench):
    bench.steps.go_to(Rung.EQUIPMENT)
    bench.now += timedelta(minutes=5)
    assert bench.steps.awaited_s == 0
    bench.steps.go_to(Rung.OPENING)
    bench.now += timedelta(seconds=21)
    assert bench.steps.awaited_s == 21
    bench.steps.go_to(Rung.READINGS)
    assert bench.steps.awaited_s == 21
    bench.steps.go_to(Rung.VERDICT)
    assert bench.steps.awaited_s == 0


@pytest.mark.parametrize(
    ("size", "seats", "far"),
    [("110", ("A",), ""), ("111", ("A",), ""), ("111.1", ("A",), "A"), ("110", (), "B")],
)
def test_a_standard_is_far_beyond_what_the_budget_lets_it_bound(size, seats, far):
    found = far_standard(standard("ST", size, *seats), parse_plan(WHOLE_JOB))
    assert [f"seat {far} " in sentence for sentence in found] == [True] * bool(far)


def test_a_check_is_named_where_a_value_is_typed_for_it(bench):
    assert bench.desk.place == "the check on the standard ST-A with gauge M 4"
