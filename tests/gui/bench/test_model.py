"""The bench's view-model, without a window."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from seatproof.core.archive.errors import ArchiveFullError
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.files import example
from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.units import Unit
from seatproof.devices.formats import Reading, Refusal
from seatproof.devices.gauge import Arrival
from seatproof.gui.bench.last_value import ValueKind
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.points import PointMark
from seatproof.gui.bench.sealing import Sealing


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


class Bench:
    def __init__(self):
        self.store = Store()
        self.now = datetime(2025, 3, 1, 9, tzinfo=UTC)
        inspection = Inspection.create(
            self.store,
            plan_toml=example("kiln_fan.toml").read_text(encoding="utf-8"),
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
        self.finished = []
        self.model = BenchModel(inspection, finish=self.finish)
        self.changes = 0
        self.model.on_change = self.count
        self.number = 0

    def count(self):
        self.changes += 1

    def finish(self, state):
        self.finished.append(state)
        return lambda: Sealing(None, None, "")

    def press(self, text, unit=None):
        self.number += 1
        reading = Reading(
            value=Decimal(text),
            unit=unit,
            channel=None,
            text=text,
            raw=f"{self.number}:{text}\r".encode(),
            format="auto",
        )
        self.model.take(Arrival(reading, self.number, self.now, float(self.number)))


@pytest.fixture
def bench():
    return Bench()


def marks(model):
    return {view.point.key: view.mark for view in model.points}


def test_the_next_point_is_said_in_one_sentence(bench):
    assert bench.model.instruction == "Measure seat A, station 1 (158 mm), at 0°."
    bench.press("110.012")
    assert bench.model.instruction == "Measure seat A, station 1 (158 mm), at 30°."
    assert bench.model.progress == (1, 60)


def test_every_value_gets_the_mark_of_where_it_lies(bench):
    # k6 at 110 mm is +3 to +25 µm (ISO 286-1); no temperatures were noted, so as read.
    for value in ("110.003", "110.025", "110.026", "110.002"):
        bench.press(value)
    found = [view.mark for view in bench.model.points[:5]]
    assert found == [
        PointMark.INSIDE,
        PointMark.INSIDE,
        PointMark.ABOVE,
        PointMark.BELOW,
        PointMark.OPEN,
    ]
    assert bench.model.last.figures == "110.002"
    assert bench.model.last.note == "+2.0 µm from nominal"


def test_results_shown_are_those_of_a_whole_evaluation_whatever_was_done(bench):
    model = bench.model
    for number in range(33):
        bench.press(f"{110 if number < 30 else 100}.{10 + number % 7:03d}")
        assert model.evaluation == evaluate(model.state)
    model.take_back("knocked")
    assert model.evaluation == evaluate(model.state)
    model.skip("hole")
    model.go_to(PointKey("A", 2, 2), "doubted")
    bench.press("110.019")
    assert model.evaluation == evaluate(model.state)
    assert model.state.readings_at(PointKey("A", 2, 2))[0].received.value == "110.019"
    bench.press("4.3312")
    (parked,) = model.parked
    model.use_parked(parked.seq, model.next_point.key, "a trial")
    assert model.evaluation == evaluate(model.state)


def test_a_press_that_was_not_stored_is_not_shown_as_logged(bench):
    bench.press("110.012")
    bench.store.is_full = True
    bench.press("110.013")
    assert bench.model.last.kind is ValueKind.NOT_STORED
    assert "disk is full" in bench.model.last.note
    assert bench.model.progress == (1, 60)
    bench.store.is_full = False
    bench.press("110.014")
    assert bench.model.last.kind is ValueKind.LOGGED
    assert bench.model.progress == (2, 60)


def test_a_refused_frame_leaves_everything_as_it_was(bench):
    bench.press("110.012")
    refusal = Refusal("Cut short: press again.", "110.", b"110.\r")
    bench.model.take(Arrival(refusal, 2, bench.now, 9.0))
    assert bench.model.last.kind is ValueKind.REFUSED
    assert bench.model.last.note == "Cut short: press again."
    assert bench.model.progress == (1, 60)


def test_the_selection_goes_round_the_seat_and_moves_nothing(bench):
    model = bench.model
    model.move_selection(-1, 0)
    assert model.selected_point.key == PointKey("A", 5, 1)
    model.move_selection(0, -1)
    assert model.selected_point.key == PointKey("A", 5, 6)
    assert model.next_point.key == PointKey("A", 1, 1)
    model.show_next_seat()
    assert model.seat.id == "B"
    assert model.selected_point is None


def test_a_measured_point_is_gone_to_with_a_reason_only(bench):
    bench.press("110.012")
    key = PointKey("A", 1, 1)
    assert bench.model.needs_reason_to_go(key)
    with pytest.raises(CommandRefusedError, match="give a reason"):
        bench.model.go_to(key)
    assert not bench.model.needs_reason_to_go(PointKey("A", 1, 2))


def test_sealing_waits_for_every_point_and_every_parked_press(bench):
    model = bench.model
    bench.press("55.000")
    while model.can_skip:
        model.skip("a trial")
    assert not model.can_seal
    assert model.instruction == "All points are done. Decide on the parked presses, then seal."
    assert any("parked" in sentence for sentence in model.in_the_way)
    model.discard_parked(model.parked[0].seq, "not on the shaft")
    assert model.can_seal
    model.seal("As recorded.")
    assert model.is_sealed
    assert bench.finished == [model.state]
    assert not model.can_take_back
    bench.press("110.012")
    assert model.last.kind is ValueKind.NOT_STORED
    assert "sealed" in model.last.note


def test_an_answer_acts_on_what_was_asked_about_whatever_came_meanwhile(bench):
    model = bench.model
    bench.press("110.012")
    asked_about = model.last_reading
    next_then = model.next_point.key
    bench.press("110.013")
    model.take_back("knocked", asked_about.seq)
    assert [
        reading.received.value for reading in model.state.readings.values() if reading.counts
    ] == ["110.013"]
    assert model.next_point.key == asked_about.key
    with pytest.raises(CommandRefusedError, match="measured already"):
        model.skip("hole", next_then)
    model.skip("hole", PointKey("B", 5, 6))
    assert model.next_point.key == asked_about.key  # skipping elsewhere moves nothing
    assert PointKey("B", 5, 6) in model.state.skipped


def test_a_parked_press_gives_way_to_the_last_value_once_decided(bench):
    model = bench.model
    bench.press("110.012")
    bench.press("4.3312")
    assert model.last.kind is ValueKind.PARKED
    model.discard_parked(model.parked[0].seq, "wrong unit")
    assert model.last.kind is ValueKind.LOGGED
    assert model.last.figures == "110.012"


def test_a_points_story_tells_all_that_happened_there(bench):
    model = bench.model
    bench.press("110.012")
    model.go_to(PointKey("A", 1, 1), "dirt")
    bench.press("110.010")
    model.skip("cannot be reached")
    stories = {view.point.key: view.story for view in model.points}
    assert stories[PointKey("A", 1, 1)].splitlines() == [
        "Seat A, station 1 (158 mm), at 0°: inside the limits",
        '110.012 mm at 09:00:00, as "110.012" from M 4 – measured again: dirt',
        '110.010 mm at 09:00:00, as "110.010" from M 4',
    ]
    assert "cannot be reached" in stories[PointKey("A", 1, 2)]


def test_the_walk_is_changed_on_the_spot(bench):
    model = bench.model
    bench.press("110.012")
    model.choose_walk("Orientation by orientation")
    bench.press("110.013")
    assert model.next_point.key == PointKey("A", 2, 2)  # one station on at the same orientation
    assert model.state.readings_at(PointKey("A", 1, 1))


def test_a_point_is_selected_by_its_number_in_the_walk(bench):
    model = bench.model
    model.select_number(8)
    assert model.selected_point.key == PointKey("A", 2, 2)
    model.select_number(900)
    assert model.selected_point is None


def test_a_value_in_inches_is_used_as_inches(bench):
    model = bench.model
    bench.press("4.33110")
    (parked,) = model.parked
    assert parked.read_as is Unit.INCH
    model.use_parked(parked.seq, model.next_point.key, "gauge was switched", read_as=parked.read_as)
    (reading,) = model.state.readings.values()
    assert reading.value_mm == Decimal("4.33110") * Decimal("25.4")


def test_the_point_that_decides_is_named(bench):
    for value in ("110.012", "110.029", "110.013"):
        bench.press(value)
    # k6 at 110 mm ends at +25 µm (ISO 286-1), the second point lies at 30°.
    assert "Station 1 at 30° is 4.0 µm over the upper limit." in bench.model.insights
