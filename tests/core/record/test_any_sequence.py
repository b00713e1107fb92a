"""Whatever is asked, in any order, nothing is lost and the record gives the same state."""

from datetime import timedelta
from decimal import Decimal

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
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

from seatproof.core.people.signer import Signer
from seatproof.core.plan.points import PointKey
from seatproof.core.record.checks import due
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.events import check_chain
from seatproof.core.record.gaps import doubted, gaps
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.signing import EXAMINED
from seatproof.core.record.state import LoggedReading, fold
from seatproof.core.units import Unit

reasons = st.sampled_from(["burr", "slipped", "wrong point"])
owing = st.sampled_from([("burr", False), ("wrong point", False), ("", True)])
keys = st.builds(PointKey, st.just("A"), st.integers(1, 3), st.integers(1, 2)) | st.builds(
    PointKey, st.just("B"), st.just(1), st.integers(1, 2)
)
strangers = st.sampled_from([PointKey("A", 4, 1), PointKey("A", 0, 1), PointKey("Z", 1, 1)])
values = st.sampled_from(["99.98", "99.99", "100.01", "89.99", "120", "3.937", "98.8"])
KEY = Ed25519PrivateKey.generate()


def measuring(method):
    return precondition(lambda self: self.state.sealed is None)(method)


def test_any_sequence_of_commands_keeps_the_record_whole(bench_of, strict_of, standard_of, checked):
    class Inspector(RuleBasedStateMachine):
        @initialize(repeats=st.integers(1, 3))
        def open(self, repeats):
            self.bench = bench_of(toml=strict_of(repeats=repeats))
            self.bench.inspection.put_in_service(standard_of())
            self.pressed = 0
            self.seen = ()

        @property
        def state(self):
            return self.bench.state

        @property
        def do(self):
            return self.bench.inspection

        # --- presses -----------------------------------------------------------------------------

        @measuring
        @rule(value=values, doubts=st.sampled_from([(), (), ("it came twice",)]))
        def press(self, value, doubts):
            self.pressed += 1
            cursor = self.state.cursor
            taken = self.bench.press(value, doubts=doubts)
            if isinstance(taken, LoggedReading):
                assert taken.key == cursor
                assert taken.counts
            else:
                assert self.state.cursor == cursor

        @measuring
        @rule(key=keys, reason=st.just(("", False)) | owing)
        def aim(self, key, reason):
            text, owed = reason
            needs_reason = self.state.is_complete(key) and not text and not owed
            if needs_reason or not self.state.is_to_do(key.seat_id):
                self.refused(lambda: self.do.aim(key, text, owed=owed))
                return
            self.do.aim(key, text, owed=owed)
            assert self.state.cursor == key

        @precondition(lambda self: self.state.sealed is None and self.state.last_reading())
        @rule(data=st.data(), reason=owing)
        def take_back(self, data, reason):
            counting = [seq for seq, reading in self.state.readings.items() if reading.counts]
            seq = data.draw(st.sampled_from([None, *counting]))
            newest = self.state.last_reading().seq if seq is None else seq
            key = self.do.take_back(reason[0], seq, owed=reason[1])
            assert key == self.state.readings[newest].key
            assert not self.state.readings[newest].counts

        @precondition(lambda self: self.state.cursor and self.state.is_open(self.state.cursor))
        @rule(reason=owing)
        def skip(self, reason):
            key = self.do.skip(reason[0], owed=reason[1])
            assert key in self.state.skipped

        @precondition(lambda self: self.state.sealed is None and self.state.waiting_presses())
        @rule(data=st.data(), key=keys, reason=owing, read_as=st.sampled_from([None, Unit.INCH]))
        def use(self, data, key, reason, read_as):
            press = data.draw(st.sampled_from(self.state.waiting_presses()))
            if not self.state.is_to_do(key.seat_id):
                self.refused(lambda: self.do.use_parked(press.seq, key, "r"))
                return
            reading = self.do.use_parked(press.seq, key, reason[0], owed=reason[1], read_as=read_as)
            assert reading.received.raw_hex == press.received.raw_hex
            assert reading.received.value == press.received.value

        @precondition(lambda self: self.state.sealed is None and self.state.waiting_presses())
        @rule(data=st.data(), reason=owing)
        def discard(self, data, reason):
            press = data.draw(st.sampled_from(self.state.waiting_presses()))
            self.do.discard_parked(press.seq, reason[0], owed=reason[1])

        @precondition(lambda self: self.state.sealed is None and self.state.last_reading())
        @rule()
        def repeat(self):
            if not self.state.is_to_do(self.state.last_reading().key.seat_id):
                self.refused(lambda: self.do.ask_repeat("doubted"))
                return
            key = self.do.ask_repeat("doubted")
            assert self.state.cursor == key
            assert self.state.is_open(key) or key in self.state.skipped

        @precondition(lambda self: self.state.sealed is None and self.state.owed)
        @rule(data=st.data(), reason=reasons)
        def give(self, data, reason):
            of = data.draw(st.sampled_from(sorted(self.state.owed)))
            self.do.give_reason(of, reason)
            assert of not in self.state.owed

        @measuring
        @rule(
            walk=st.sampled_from(["station by station", "orientation by orientation"]),
            back=st.booleans(),
        )
        def choose_walk(self, walk, back):
            cursor = self.state.cursor
            self.do.choose_walk(walk, there_and_back=back)
            assert self.state.cursor == cursor

        # --- beside the presses ------------------------------------------------------------------

        @measuring
        @rule(
            shown=st.sampled_from(["100.000", "100.001", "100.009"]),
            warm=st.sampled_from([{}, {"shaft_c": "21", "gauge_c": "25"}]),
        )
        def check(self, shown, warm):
            logged = checked(self.bench, [shown], "between", **warm)
            assert self.state.checks[-1] is logged

        @measuring
        @rule(what=st.sampled_from(["knock", "battery"]))
        def attention(self, what):
            self.do.call_attention(what)
            assert due(self.state, self.bench.clock())

        @measuring
        @rule(seat=st.sampled_from("AB"), answer=st.sampled_from(["met", "not applicable"]))
        def condition(self, seat, answer):
            self.do.answer_condition(seat, "clean", answer)
            assert self.state.conditions[seat, "clean"].payload.answer == answer

        @measuring
        @rule(name=st.sampled_from(["Bo", "Cem", "Åsa Test"]))
        def other_person(self, name):
            if name != self.do.actor:
                self.do.change_inspector(name)

        @measuring
        @rule(seats=st.sampled_from([(), ("A",), ("B",)]))
        def seats_to_do(self, seats):
            said = self.state.identification.model_copy(update={"seats": seats})
            self.do.correct_identification(said, "other order")

        @rule(back=st.integers(1, 10_000))
        def clock_goes_back(self, back):
            self.bench._now -= timedelta(seconds=back)

        @rule(key=st.none() | keys)
        def note(self, key):
            self.do.add_note("seen", key=key)

        # --- the seal and after ------------------------------------------------------------------

        @measuring
        @rule(explained=st.booleans())
        def seal(self, explained):
            standing = gaps(self.state)
            reasons = {gap.what: "it had to be" for gap in standing} if explained else {}
            if all(gap.reason_may_close for gap in standing) and (explained or not standing):
                self.do.seal({}, "s", reasons)
                assert [gap.what for gap in self.state.sealed.gaps] == list(reasons)
                assert gaps(self.state) == standing
            else:
                self.refused(lambda: self.do.seal({}, "s", reasons))

        @precondition(lambda self: self.state.sealed is not None)
        @rule(what=st.sampled_from(["sign", "review", "ask", "answer", "dispose"]))
        def afterwards(self, what):
            self.bench.inspection = Inspection.resume(
                self.bench.store, self.state.inspection, actor="Lead", clock=self.bench.clock
            )
            last = self.state.last
            if what == "sign":
                signer = Signer("a" * 32, "Bo", ("auditor",), KEY)
                self.do.sign(
                    signer.sign(
                        inspection=last.inspection,
                        of_seq=last.seq,
                        of_hash=last.hash,
                        meaning=EXAMINED,
                        moment=self.bench.clock(),
                    )
                )
            elif what == "review":
                self.do.review("accepted")
            elif what == "ask":
                self.do.ask("Why?")
            elif what == "dispose":
                self.do.dispose("rework", "worn")
            else:
                for question in self.state.open_questions():
                    self.do.answer(question.seq, "Because.")

        # --- what is refused ---------------------------------------------------------------------

        def refused(self, command):
            state, count = self.state, len(self.bench.store.kept)
            with pytest.raises(CommandRefusedError, match=r"\.$"):
                command()
            assert self.state is state
            assert len(self.bench.store.kept) == count

        @rule(key=strangers, which=st.integers(0, 12))
        def illegal(self, key, which):
            do = self.do
            self.refused(
                [
                    lambda: do.aim(key, "r"),
                    lambda: do.skip("r", key),
                    lambda: do.add_note("n", key=key),
                    lambda: do.add_note(" "),
                    lambda: do.take_back("r", seq=1),
                    lambda: do.use_parked(1, key, "r"),
                    lambda: do.discard_parked(1, "r"),
                    lambda: do.answer_condition("A", "painted", "met"),
                    lambda: do.answer_condition("A", "clean", "not met"),
                    lambda: do.note_temperatures(Decimal(500), Decimal(20)),
                    lambda: do.take(Press(Decimal(1), None, "1", b"1", "number", 1, gauge="M-9")),
                    lambda: do.answer(1, "r"),
                    lambda: do.change_inspector(" "),
                ][which]
            )

        @precondition(lambda self: self.state.sealed is not None)
        @rule(which=st.integers(0, 7))
        def illegal_after_the_seal(self, which):
            do = self.do
            self.refused(
                [
                    lambda: self.bench.press("99.99"),
                    lambda: do.aim(PointKey("A", 1, 1), "r"),
                    lambda: do.call_attention("knock"),
                    lambda: do.put_in_service(self.state.gauge),
                    lambda: do.choose_walk("station by station", there_and_back=False),
                    lambda: do.answer_condition("A", "clean", "met"),
                    lambda: do.note_temperatures(Decimal(20), Decimal(20)),
                    lambda: do.seal({}, "s"),
                ][which]
            )

        # --- what always holds -------------------------------------------------------------------

        @invariant()
        def every_press_is_kept(self):
            own = [reading for reading in self.state.readings.values() if not reading.from_parked]
            assert len(own) + len(self.state.parked) == self.pressed

        @invariant()
        def nothing_logged_was_changed(self):
            kept = tuple(self.bench.store.kept)
            assert kept[: len(self.seen)] == self.seen
            assert self.state.events == kept
            self.seen = kept

        @invariant()
        def counting_readings_fit_the_plan(self):
            state = self.state
            for point in state.plan.points():
                counting = state.counting.get(point.key, ())
                asked = len(state.repeats.get(point.key, ()))
                assert len(counting) <= state.plan.seat(point.seat_id).repeats + asked
                assert all(state.readings[seq].counts for seq in counting)
            counted = {seq for group in state.counting.values() for seq in group}
            assert counted == {seq for seq, reading in state.readings.items() if reading.counts}

        @invariant()
        def cursor_is_a_point_to_press_at(self):
            state = self.state
            if state.sealed is not None:
                assert state.cursor is None
            elif state.cursor is None:
                assert state.open_points() == ()
            elif state.is_complete(state.cursor):
                assert state.redo_reason
            if state.redo_reason:
                assert state.counting[state.cursor]
            if state.redo_owed is not None:
                assert state.redo_owed in state.owed

        @invariant()
        def doubted_points_are_measured_and_have_their_gap(self):
            standing = set(gaps(self.state))
            for key, why in doubted(self.state).items():
                assert self.state.counting[key]
                assert standing.issuperset(why)
            assert len({gap.what for gap in standing}) == len(standing)

        def teardown(self):
            check_chain(self.bench.store.kept)
            assert fold(self.bench.store.kept) == self.state

    run_state_machine_as_test(
        Inspector, settings=settings(max_examples=30, stateful_step_count=30, deadline=None)
    )
