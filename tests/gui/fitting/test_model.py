"""The fitting without a window: gate, isolation, steps, lines, seal, review."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.state import fold
from seatproof.core.units import Unit
from seatproof.devices.arrival import Arrival, Doubt
from seatproof.devices.formats import Reading, Refusal


def arrival(value, unit=None, number=1, doubts=()):
    text = f"{value}"
    content = Reading(Decimal(text), unit, None, text, text.encode(), "auto")
    return Arrival(content, number, datetime(2026, 3, 2, tzinfo=UTC), 0.0, doubts)


def go_to(model, step_id):
    ids = [step.id for step in model.state.plan.fitting]
    model.go_to(ids.index(step_id))


def test_released_seat_is_begun_without_a_reason(sealed):
    model = sealed()
    assert (model.obstacle, model.banner) == ("", "")
    model.begin()
    assert model.state.fitting.begun.payload.released


@pytest.mark.parametrize("verdict", ["does not conform", "not proven"])
def test_seat_that_is_not_released_says_why_and_can_still_be_recorded(sealed, verdict):
    model = sealed(verdict=verdict)
    assert model.obstacle == "Seat A is not found to conform, and no disposition accepts the shaft."
    with pytest.raises(CommandRefusedError, match="Give a reason for fitting all the same"):
        model.begin()
    model.begin("trial fit")
    assert model.banner.splitlines() == [
        f"NOT RELEASED FOR FITTING: {model.obstacle}",
        "Begun without release: trial fit",
    ]


def test_concession_releases(sealed, clock):
    model = sealed(verdict="not proven")
    inspection = model.inspection
    lead = Inspection.resume(inspection.store, model.state.inspection, actor="Lead", clock=clock)
    lead.dispose("concession", "slow running", authority="design office")
    inspection.state = lead.state
    assert model.obstacle == ""


def test_nothing_is_answered_before_the_isolation_is_confirmed(sealed):
    model = sealed()
    model.begin()
    with pytest.raises(CommandRefusedError, match="Confirm the isolation"):
        model.answer("met")
    model.confirm_isolation("P-7")
    model.answer("met")
    assert model.state.fitting.isolations[0].payload.permit == "P-7"


def test_isolation_is_confirmed_anew_by_each_person_and_each_day(ready, clock):
    model = ready()
    assert model.is_isolated
    model.change_person("Bea")
    assert not model.is_isolated
    model.confirm_isolation()
    clock.next_day()
    assert not model.is_isolated
    model.confirm_isolation()
    assert [entry.actor for entry in model.state.fitting.isolations] == ["Ann", "Bea", "Bea"]


def test_isolation_that_is_not_so_is_recorded_and_stays_on_the_screen(sealed):
    model = sealed()
    model.begin()
    model.go_without_isolation("done on the bench")
    assert model.is_isolated
    assert "isolation of the machine was not confirmed" in model.banner
    model.answer("met")


def test_what_is_not_met_needs_words(ready):
    model = ready()
    with pytest.raises(CommandRefusedError, match="Say what was found"):
        model.answer("not met")
    model.answer("not met", "wheel not blocked")
    assert model.steps[0].word == "not met"
    model.answer("not applicable")
    assert model.steps[0].met is True
    assert len(model.state.fitting.answers["locked"]) == 2


def test_marks_that_differ_are_not_met(ready):
    model = ready()
    go_to(model, "parts")
    with pytest.raises(CommandRefusedError, match="Read the marks"):
        model.read_marks({"bearing ring": " ", "box": ""})
    model.read_marks({"bearing ring": "K 17", "box": "K 71"})
    assert "do not belong together" in model.finding(model.step).sentences[0]
    assert model.state.fitting.answer("parts").answer == "not met"
    model.read_marks({"bearing ring": "K 17", "box": "k17"})
    assert model.state.fitting.answer("parts").answer == "met"


@pytest.mark.parametrize(
    ("typed", "said"),
    [("0,04", "is no length"), ("", "is no length"), ("four", "is no length")],
)
def test_length_that_is_none_is_refused(ready, typed, said):
    model = ready()
    go_to(model, "clearance-before")
    with pytest.raises(CommandRefusedError, match=said):
        model.type_value(typed)
    assert model.state.fitting.answer("clearance-before") is None


def test_clearance_is_held_against_its_limits(ready):
    model = ready()
    go_to(model, "clearance-before")
    model.type_value("0.065")
    assert model.state.fitting.answer("clearance-before").answer == "not met"
    model.choose_place("top")
    model.type_value("0.05")
    answered = model.state.fitting.answer("clearance-before")
    assert (answered.answer, answered.values["top"].by_hand) == ("met", True)


def test_gauges_button_gives_a_length(ready):
    model = ready()
    go_to(model, "clearance-after")
    model.take(arrival("0.0016", Unit.INCH), "M1")
    value = model.state.fitting.answer("clearance-after").values["top"]
    assert (value.unit, value.value_mm) == ("in", "0.04064")
    assert value.received.raw_hex == b"0.0016".hex()


def test_gaps_are_logged_joint_by_joint_and_compared_with_the_seat(ready):
    model = ready("screw pump")
    go_to(model, "gaps")
    expected = model.expected_mm(model.step)
    # mean of h7 on 3 15/16 in: nominal 100.0125 less 17.5 µm, closing 99.9617 mm: π/2 · 33.3 µm
    assert expected == Decimal("0.052")
    model.type_value("0.0020")
    assert model.state.fitting.answer("gaps").answer == ""
    assert model.place(model.step) == "joint opposite"
    model.type_value("0.0022")
    assert model.state.fitting.answer("gaps").answer == "met"
    assert "leads to expect 0.002 in at each joint" in model.finding(model.step).sentences[0]


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [("0", "0.001", "is closed"), ("0.002", "0.006", "do not sit alike")],
)
def test_gaps_that_are_closed_or_unequal_are_not_met(ready, first, second, said):
    model = ready("screw pump")
    go_to(model, "gaps")
    model.type_value(first)
    model.type_value(second)
    assert model.state.fitting.answer("gaps").answer == "not met"
    assert said in " ".join(model.finding(model.step).sentences)


def test_amount_is_typed_and_held_against_its_limits(ready):
    model = ready()
    go_to(model, "grease")
    for text in ("much", "-3"):
        with pytest.raises(CommandRefusedError, match="is no amount"):
            model.type_amount(text)
    model.type_amount("160")
    assert model.state.fitting.answer("grease").answer == "not met"
    model.type_amount("130")
    assert model.state.fitting.answer("grease").answer == "met"


@pytest.mark.parametrize(
    ("step", "sent", "number", "said"),
    [
        ("locked", arrival("110.01"), "M1", "this step takes no value"),
        ("clearance-before", arrival("0.04"), "X9", "which gives no lengths"),
        ("clearance-before", arrival("0.04", doubts=(Doubt.REPEATED,)), "M1", "was not taken"),
        (
            "clearance-before",
            Arrival(Refusal("The gauge has no value.", "?", b"?"), 1, datetime.now(tz=UTC), 0.0),
            "M1",
            "has no value",
        ),
    ],
)
def test_what_comes_and_belongs_nowhere_is_said(ready, step, sent, number, said):
    model = ready()
    go_to(model, step)
    before = model.state.last.seq
    model.take(sent, number)
    assert said in model.problem
    assert model.state.last.seq == before


def test_going_on_takes_the_next_open_step(ready):
    model = ready()
    go_to(model, "nut")
    model.answer("met")
    model.go_on()
    assert model.step.id == "clearance-after"
    go_to(model, "turned")
    model.answer("free")
    model.go_on()
    assert model.step.id == "locked"


def do_all(model):
    """Do every step of the kiln fan as the plan asks."""
    for step in model.state.plan.fitting:
        go_to(model, step.id)
        match step.kind:
            case "check":
                model.answer("met")
            case "identity":
                model.read_marks(dict.fromkeys(step.parts, "K 17"))
            case "value":
                for _ in step.places:
                    model.type_value("0.05" if not step.joint_gaps else "0.002")
            case "quantity":
                model.type_amount("130")
            case "count":
                model.answer("free")
            case "torque":
                model.bolting.note_threads(step, "lightly oiled")
                model.bolting.put_in_service(step, model.tools()[0])
                while (turn := model.bolting.turn(step)) is not None:
                    target = step.stages[turn.stage].target
                    if target is None:
                        model.bolting.confirm(step)
                    else:
                        model.bolting.type_torque(step, str(target))


@pytest.mark.parametrize("plan", ["kiln fan", "screw pump"])
def test_whole_fitting_is_sealed_and_reviewed_in_the_same_chain(ready, plan):
    model = ready(plan)
    do_all(model)
    assert model.gaps == ()
    assert all(view.met for view in model.steps)
    model.seal("Fitted as recorded.")
    assert model.is_sealed
    assert not model.do(lambda: model.answer("met"))
    assert "sealed" in model.problem
    with pytest.raises(CommandRefusedError, match="another person's review"):
        model.review("ann", "accepted", "")
    model.review("Cid", "accepted", "seen")
    assert model.fitting_review.actor == "Cid"
    assert fold(model.inspection.store.events(model.state.inspection)) == model.state


def test_open_steps_keep_it_from_its_seal_until_each_has_a_reason(ready):
    model = ready()
    with pytest.raises(CommandRefusedError, match="cannot be sealed yet"):
        model.seal("Fitted.")
    for gap in model.gaps:
        model.give_reason(gap, "bearing damaged, job stopped")
    assert model.open_gaps == ()
    model.seal("Fitted in part.")
    assert len(model.seal_entry.payload.gaps) == 10


def test_figure_without_a_source_cannot_be_sealed(ready, plans):
    bare = plans["kiln fan"].replace(
        'source = { document = "made-up leaflet KF-2", issue = "3" }\n', ""
    )
    model = ready(toml=bare)
    do_all(model)
    for gap in model.gaps:
        model.give_reason(gap, "never mind")
    assert {gap.reason_may_close for gap in model.open_gaps} == {False}
    with pytest.raises(CommandRefusedError, match="does not say from which paper"):
        model.seal("Fitted.")
