"""Whatever an inspector does, in any order, nothing is lost and the record gives the same state."""

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.events import check_chain
from seatproof.core.record.state import LoggedReading, fold

reasons = st.sampled_from(["burr", "slipped", "wrong point"])
keys = st.builds(PointKey, st.just("A"), st.integers(1, 2), st.integers(1, 2))


def test_any_sequence_of_commands_keeps_every_reading(bench_of):
    class Inspector(RuleBasedStateMachine):
        @initialize(
            repeats=st.integers(1, 3),
            walk=st.sampled_from(["station by station", "orientation by orientation"]),
        )
        def open(self, repeats, walk):
            self.bench = bench_of(stations=[10, 50], repeats=repeats, walk=walk)
            self.pressed = 0
            self.seen = ()

        @property
        def state(self):
            return self.bench.state

        @rule(
            value=st.sampled_from(["99.98", "99.99", "100.01", "120", "3.937"]),
            doubts=st.sampled_from([(), (), ("it came twice",)]),
        )
        def press(self, value, doubts):
            self.pressed += 1
            cursor = self.state.cursor
            taken = self.bench.press(value, doubts=doubts)
            if isinstance(taken, LoggedReading):
                assert taken.key == cursor
                assert taken.counts
            else:
                assert self.state.cursor == cursor

        @rule(key=keys, reason=st.just("") | reasons)
        def aim(self, key, reason):
            if self.state.is_complete(key) and not reason:
                try:
                    self.bench.inspection.aim(key)
                except CommandRefusedError:
                    return
                raise AssertionError("aimed without a reason")
            self.bench.inspection.aim(key, reason)
            assert self.state.cursor == key

        @precondition(lambda self: self.state.last_reading() is not None)
        @rule(reason=reasons)
        def take_back(self, reason):
            newest = self.state.last_reading()
            assert self.bench.inspection.take_back(reason) == newest.key == self.state.cursor
            assert not self.state.readings[newest.seq].counts

        @precondition(lambda self: self.state.cursor and self.state.is_open(self.state.cursor))
        @rule(reason=reasons)
        def skip(self, reason):
            key = self.bench.inspection.skip(reason)
            assert self.state.skipped[key] == reason

        @precondition(lambda self: self.state.waiting_presses())
        @rule(data=st.data(), key=keys, reason=reasons)
        def use(self, data, key, reason):
            press = data.draw(st.sampled_from(self.state.waiting_presses()))
            reading = self.bench.inspection.use_parked(press.seq, key, reason)
            assert reading.received == press.received

        @precondition(lambda self: self.state.waiting_presses())
        @rule(data=st.data(), reason=reasons)
        def discard(self, data, reason):
            press = data.draw(st.sampled_from(self.state.waiting_presses()))
            self.bench.inspection.discard_parked(press.seq, reason)

        @invariant()
        def every_press_is_kept(self):
            own = [reading for reading in self.state.readings.values() if not reading.from_parked]
            assert len(own) + len(self.state.parked) == self.pressed

        @invariant()
        def nothing_logged_was_changed(self):
            kept = tuple(self.bench.store.kept)
            assert kept[: len(self.seen)] == self.seen
            self.seen = kept

        @invariant()
        def counting_readings_fit_the_plan(self):
            state = self.state
            for point in state.plan.points():
                counting = state.counting.get(point.key, ())
                assert len(counting) <= state.plan.seat("A").repeats
                assert all(state.readings[seq].counts for seq in counting)
            counted = {seq for group in state.counting.values() for seq in group}
            assert counted == {seq for seq, reading in state.readings.items() if reading.counts}

        @invariant()
        def cursor_is_a_point_to_press_at(self):
            state = self.state
            if state.cursor is None:
                assert state.open_points() == ()
            elif state.is_complete(state.cursor):
                assert state.redo_reason
            if state.redo_reason:
                assert state.counting[state.cursor]

        def teardown(self):
            check_chain(self.bench.store.kept)
            assert fold(self.bench.store.kept) == self.state

    run_state_machine_as_test(
        Inspector, settings=settings(max_examples=150, stateful_step_count=25, deadline=None)
    )
