"""Tightening: what is asked first, what every act is said to be, orders, tools, lines."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from seatproof.core.equipment.item import Item
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.units import Unit
from seatproof.devices.arrival import Arrival, Doubt
from seatproof.devices.formats import Reading, Refusal
from seatproof.gui.fitting.tools import order_from


def arrival(text, unit=None, doubts=()):
    content = Reading(Decimal(text), unit, None, text, text.encode(), "auto")
    return Arrival(content, 1, datetime(2026, 3, 2, tzinfo=UTC), 0.0, doubts)


@pytest.fixture
def joint(ready):
    """Return the work on the torque step of a plan, with threads and tool said unless not."""

    def make(plan="kiln fan", *, prepared=True, **named):
        model = ready(plan, **named)
        ids = [step.kind for step in model.state.plan.fitting]
        model.go_to(ids.index("torque"))
        step = model.step
        if prepared:
            model.bolting.note_threads(step, "lightly oiled")
            model.bolting.put_in_service(step, model.tools()[0])
        return model, model.bolting, step

    return make


def tighten_round(bolting, step):
    for _ in step.bolt_names:
        bolting.confirm(step)


def test_threads_are_said_before_the_first_bolt(joint):
    model, bolting, step = joint(prepared=False)
    with pytest.raises(CommandRefusedError, match="state the threads are"):
        bolting.confirm(step)
    with pytest.raises(CommandRefusedError, match="in which state"):
        bolting.note_threads(step, " ")
    bolting.note_threads(step, "clean and dry")
    bolting.confirm(step)  # snug, by hand: no tool is wanted yet
    assert model.state.fitting.work[step.id][0].payload.tool == ""


def test_tool_is_in_service_before_a_stage_with_a_target(joint):
    model, bolting, step = joint(prepared=False)
    bolting.note_threads(step, "clean and dry")
    tighten_round(bolting, step)
    with pytest.raises(CommandRefusedError, match="Put the torque tool in service"):
        bolting.confirm(step)
    bolting.put_in_service(step, model.tools()[0])
    bolting.confirm(step)
    assert model.state.fitting.work[step.id][-1].payload.tool == "TT-7"


def test_going_on_without_a_tool_is_a_recorded_deviation(joint):
    model, bolting, step = joint(prepared=False, tools=())
    bolting.note_threads(step, "clean and dry")
    tighten_round(bolting, step)
    bolting.go_without_tool(step, "borrowed")
    bolting.confirm(step)
    assert "no torque tool" in model.state.deviations[-1].payload.what
    assert any("no tool in the record" in gap.what for gap in model.gaps)


@pytest.mark.parametrize(
    ("named", "said"),
    [
        ({"due": "2026-01-31"}, "was due on 2026-01-31"),
        ({"due": ""}, "has no calibration date"),
        ({"torque_class": "indicating tool, type I class B"}, "The plan asks for"),
    ],
)
def test_tool_with_a_fault_needs_a_reason(joint, tool, named, said):
    model, bolting, step = joint(prepared=False, tools=(tool(**named),))
    (item,) = model.tools()
    with pytest.raises(CommandRefusedError, match=said):
        bolting.put_in_service(step, item)
    bolting.put_in_service(step, item, "no other is here")
    assert model.state.fitting.tool("TT-7").override_reason == "no other is here"
    assert "used all the same: no other is here" in bolting.tool_words(step)


def test_what_is_no_torque_tool_is_refused(joint):
    _, bolting, step = joint(prepared=False)
    thermometer = Item(kind="thermometer", inventory_number="TH-1")
    with pytest.raises(CommandRefusedError, match="no torque tool"):
        bolting.put_in_service(step, thermometer)


@pytest.mark.parametrize("plan", ["kiln fan", "screw pump"])
def test_every_stage_goes_round_in_the_proposed_order(joint, plan):
    _, bolting, step = joint(plan)
    done = []
    while (turn := bolting.turn(step)) is not None:
        done.append((turn.stage, turn.bolt))
        (following,) = [bolt for bolt in bolting.bolts(step) if bolt.is_next]
        assert (following.name, following.words) == (turn.bolt, "next")
        bolting.confirm(step)
    assert done == [
        (stage, bolt) for stage in range(len(step.stages)) for bolt in step.proposed_order
    ]
    assert bolting.departures(step) == ()
    assert bolting.instruction(step) == "All bolts are done in every stage."
    with pytest.raises(CommandRefusedError, match="All bolts are done"):
        bolting.confirm(step)


def test_bolt_taken_out_of_order_is_said_with_the_one_it_missed(joint):
    model, bolting, step = joint()
    bolting.choose(step, "3")
    assert [bolt.words for bolt in bolting.bolts(step)][2] == "chosen"
    bolting.confirm(step)
    assert model.said == (
        "! Bolt 3, stage by hand: taken out of order. Bolt 1 was missed and stays next. It is "
        "recorded as it was done."
    )
    assert bolting.turn(step).bolt == "1"
    assert bolting.bolts(step)[2].is_departed


def test_tapping_again_goes_back_to_the_order(joint):
    _, bolting, step = joint()
    bolting.choose(step, "3")
    bolting.choose(step, "3")
    assert bolting.turn(step).bolt == "1"
    bolting.choose(step, "3")
    bolting.choose(step, "1")
    assert bolting.turn(step).bolt == "1"


def test_bolt_done_twice_is_said(joint):
    model, bolting, step = joint()
    bolting.confirm(step)
    bolting.choose(step, "1")
    bolting.confirm(step)
    assert "Bolt 1, stage by hand: tightened again, though it was done." in model.said
    assert bolting.departures(step) == (
        "Bolt 1, stage by hand: tightened again, though it was done.",
    )


@pytest.mark.parametrize(
    ("typed", "said", "following"),
    [("17.9", "17.9 N m is below the tolerance", "1"), ("22.5", "22.5 N m is above", "4")],
)
def test_torque_out_of_tolerance_is_said_and_recorded(joint, typed, said, following):
    model, bolting, step = joint()
    tighten_round(bolting, step)
    bolting.type_torque(step, typed)
    assert said in model.said
    assert bolting.turn(step).bolt == following
    assert model.state.fitting.work[step.id][-1].payload.torque == typed


@pytest.mark.parametrize("typed", ["", "20,5", "-3", "0", "tight"])
def test_torque_that_is_none_is_refused(joint, typed):
    model, bolting, step = joint()
    before = model.state.last.seq
    with pytest.raises(CommandRefusedError, match="is no torque"):
        bolting.type_torque(step, typed)
    assert model.state.last.seq == before


def test_bolt_that_bounces_is_taken_once(joint, clock):
    model, bolting, step = joint()
    times = iter([10.0, 10.2, 11.0])
    clock.seconds = lambda: next(times)
    bolting._seconds = clock.seconds
    bolting.confirm(step)
    with pytest.raises(CommandRefusedError, match="too soon"):
        bolting.confirm(step)
    bolting.confirm(step)
    assert len(model.state.fitting.work[step.id]) == 2


def test_check_pass_goes_round_until_no_bolt_turns(joint):
    _, bolting, step = joint()
    for _ in range(3):
        tighten_round(bolting, step)
    bolting.confirm(step, turned=True)
    for _ in step.bolt_names[1:]:
        bolting.confirm(step)
    assert "round 2" in bolting.stage_words(step)
    tighten_round(bolting, step)
    assert bolting.turn(step) is None


def test_loosening_is_recorded_and_begins_again(joint):
    model, bolting, step = joint()
    tighten_round(bolting, step)
    with pytest.raises(CommandRefusedError, match="Give a reason"):
        bolting.loosen(step, " ")
    bolting.loosen(step, "cover sat askew")
    turn = bolting.turn(step)
    assert (turn.stage, turn.bolt) == (0, "1")
    assert "Loosened and begun again once." in model.finding(step).sentences


def test_order_can_be_chosen_for_a_stage_with_a_reason(joint):
    model, bolting, step = joint()
    bolting.choose_order(step, "6, 5, 4, 3, 2, 1", "the leaflet names it")
    assert bolting.turn(step).bolt == "6"
    assert bolting.order_words(step) == "Order (chosen here): 6 – 5 – 4 – 3 – 2 – 1"
    tighten_round(bolting, step)
    assert bolting.departures(step) == ()
    assert bolting.order_words(step).startswith("Order (proposed): 1 – 4")
    assert "order chosen anew" in " ".join(model.finding(step).sentences)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1, 2, 3", "Bolt 4 is missing"),
        ("1, 2, 3, 4, 5, 6, 6", "Bolt 6 stands there twice"),
        ("1, 2, 3, 4, 5, seven", "no bolt “seven”"),
        ("", "Bolt 1 is missing"),
    ],
)
def test_order_that_is_none_is_refused(joint, text, said):
    _, _, step = joint()
    with pytest.raises(CommandRefusedError, match=said):
        order_from(step, text)


# --- the tool's line ------------------------------------------------------------------------------


def test_tool_with_a_line_confirms_the_bolt_and_is_converted_exactly(joint, tool):
    model, bolting, step = joint(tools=(tool(unit="lbf ft"),))
    tighten_round(bolting, step)
    model.take(arrival("15"), "TT-7")
    act = model.state.fitting.work[step.id][-1].payload
    assert act.torque == "20.337269224971006"  # 15 × 1.355 817 948 331 400 4
    assert (act.received.value, act.received.unit, act.received.raw_hex) == (
        "15",
        "lbf ft",
        b"15".hex(),
    )
    assert model.said == "✓ Bolt 1 at 20.34 N m: recorded."


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        (arrival("20", Unit.MM), "is a length"),
        (arrival("0"), "no torque above zero"),
        (arrival("20", doubts=(Doubt.REPEATED,)), "Check the bolt, then confirm"),
        (
            Arrival(Refusal("A damaged frame.", "?", b"?"), 1, datetime.now(tz=UTC), 0.0),
            "damaged frame",
        ),
    ],
)
def test_what_comes_from_the_tool_and_is_no_torque_is_said(joint, sent, said):
    model, bolting, step = joint()
    tighten_round(bolting, step)
    before = model.state.last.seq
    model.take(sent, "TT-7")
    assert said in model.problem
    assert model.state.last.seq == before


def test_value_of_a_micrometer_is_never_a_torque(joint):
    model, bolting, step = joint()
    tighten_round(bolting, step)
    before = model.state.last.seq
    model.take(arrival("110.012"), "M1")
    assert "M1, which is no torque tool in service" in model.problem
    assert model.state.last.seq == before
