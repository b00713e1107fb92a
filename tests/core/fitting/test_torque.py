"""The next bolt, and what is said of acts that depart from the plan."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.fitting.torque import (
    Departure,
    Loosened,
    Reordered,
    Tightened,
    Turn,
    follow,
)
from seatproof.core.plan.fitting import TorqueStep

COVER = TorqueStep.model_validate(
    {
        "id": "cover",
        "kind": "torque",
        "text": "Housing cover",
        "pattern": "circle",
        "bolts": 4,
        "stage": [
            {"name": "by hand", "kind": "snug"},
            {"name": "full", "kind": "full", "target": 40, "tolerance": 2},
            {"name": "once round", "kind": "check", "target": 40, "tolerance": 2},
        ],
    }
)
ORDER = ("1", "3", "2", "4")


def acts_of(*stages_bolts):
    return [
        Tightened(seq, stage, bolt, *more) for seq, (stage, bolt, *more) in enumerate(stages_bolts)
    ]


def whole_stages(*stages):
    torque = {0: None, 1: Decimal(40), 2: Decimal(40)}
    return [(stage, bolt, torque[stage]) for stage in stages for bolt in ORDER]


def test_work_as_planned_goes_through_every_stage_without_a_departure():
    acts = acts_of(*whole_stages(0, 1, 2))
    turns = [follow(COVER, acts[:done]).next for done in range(len(acts))]
    assert turns == [Turn(act.stage, act.bolt) for act in acts]
    end = follow(COVER, acts)
    assert end.is_complete
    assert end.departures == {}
    assert end.done == (ORDER, ORDER, ORDER)
    assert end.rounds == (1, 1, 1)


def test_bolt_out_of_order_is_named_and_the_missed_one_stays_next():
    progress = follow(COVER, acts_of((0, "3")))
    assert progress.departures == {0: (Departure.OUT_OF_ORDER,)}
    assert progress.next == Turn(0, "1")


def test_bolt_done_twice_is_named():
    progress = follow(COVER, acts_of((0, "1"), (0, "1")))
    assert progress.departures == {1: (Departure.REPEATED,)}
    assert progress.next == Turn(0, "3")


def test_stage_begun_too_early_is_named_and_the_one_before_stays_open():
    progress = follow(COVER, acts_of((0, "1"), (1, "1", Decimal(40))))
    assert progress.departures == {1: (Departure.AHEAD,)}
    assert progress.next == Turn(0, "3")
    assert progress.done[1] == ("1",)


@pytest.mark.parametrize(
    ("torque", "departure"),
    [("37.9", Departure.BELOW), ("38", None), ("42", None), ("42.1", Departure.ABOVE)],
)
def test_torque_is_held_against_its_tolerance(torque, departure):
    acts = acts_of(*whole_stages(0), (1, "1", Decimal(torque)))
    progress = follow(COVER, acts)
    assert progress.departures == ({4: (departure,)} if departure else {})
    # Too little is not done yet; too much cannot be taken back by turning on.
    assert progress.next == Turn(1, "1" if departure is Departure.BELOW else "3")


def test_bolt_below_the_tolerance_is_done_once_it_reaches_it():
    acts = acts_of(*whole_stages(0), (1, "1", Decimal(30)), (1, "1", Decimal(40)))
    progress = follow(COVER, acts)
    assert progress.departures == {4: (Departure.BELOW,)}
    assert progress.next == Turn(1, "3")


def test_check_pass_goes_round_again_until_no_bolt_turns():
    forty = Decimal(40)
    first = [(2, bolt, forty, bolt == "2") for bolt in ORDER]
    acts = acts_of(*whole_stages(0, 1), *first)
    progress = follow(COVER, acts)
    assert progress.next == Turn(2, "1")
    assert progress.rounds[2] == 2
    acts = acts_of(*whole_stages(0, 1), *first, *[(2, bolt, forty) for bolt in ORDER])
    assert follow(COVER, acts).is_complete


def test_loosening_begins_again_and_is_counted():
    acts = [*acts_of(*whole_stages(0, 1)), Loosened(8)]
    progress = follow(COVER, acts)
    assert progress.next == Turn(0, "1")
    assert progress.restarts == 1
    assert progress.done == ((), (), ())


def test_another_order_holds_from_there_on():
    chosen = ("4", "2", "3", "1")
    acts = [Tightened(0, 0, "1"), Reordered(1, 0, chosen), Tightened(2, 0, "4")]
    progress = follow(COVER, acts)
    assert progress.departures == {}
    assert progress.orders[0] == chosen
    assert progress.orders[1] == ORDER
    assert progress.next == Turn(0, "2")


@pytest.mark.parametrize(
    ("stage", "order", "said"),
    [(3, ORDER, "no stage 4"), (0, ("1", "2"), "every bolt"), (0, ("1",) * 4, "every bolt")],
)
def test_order_that_is_none_is_an_error(stage, order, said):
    with pytest.raises(ValueError, match=said):
        follow(COVER, [Reordered(0, stage, order)])


def test_bolt_that_stays_too_tight_is_named_until_it_is_loosened():
    acts = [*acts_of(*whole_stages(0)), Tightened(9, 1, "1", Decimal(45))]
    assert follow(COVER, acts).too_tight == (Turn(1, "1"),)
    assert follow(COVER, [*acts, Loosened(10)]).too_tight == ()


@pytest.mark.parametrize(("stage", "bolt"), [(3, "1"), (-1, "1"), (0, "5")])
def test_unknown_bolt_or_stage_is_an_error(stage, bolt):
    with pytest.raises(ValueError, match="has no bolt"):
        follow(COVER, [Tightened(0, stage, bolt)])


@given(
    st.lists(
        st.one_of(
            st.builds(
                Tightened,
                seq=st.just(0),
                stage=st.integers(0, 2),
                bolt=st.sampled_from(ORDER),
                torque=st.sampled_from([None, Decimal(30), Decimal(40), Decimal(50)]),
                turned=st.booleans(),
            ),
            st.just(Loosened(0)),
        ),
        max_size=40,
    )
)
def test_doing_what_is_asked_always_ends_the_work(acts):
    done = list(acts)
    for _ in range(25):  # at most: a stage half done, and two rounds more
        turn = follow(COVER, done).next
        if turn is None:
            break
        torque = COVER.stages[turn.stage].target
        done.append(Tightened(len(done), turn.stage, turn.bolt, torque))
    assert follow(COVER, done).is_complete
