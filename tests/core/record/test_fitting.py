"""The fitting: released or not, its steps, its bolts, its seal."""

from decimal import Decimal

import pytest

from seatproof.core.fitting.torque import Departure, Loosened, Tightened, Turn, follow
from seatproof.core.record.errors import ChainBrokenError, CommandRefusedError
from seatproof.core.record.events import next_event
from seatproof.core.record.fitting_gaps import fitting_gaps
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import BoltTightened, StepAnswered, ToolInService
from seatproof.core.record.state import fold

STEPS = """
[[fitting]]
id = "clean"
kind = "check"
text = "Seat wiped dry"
seat = "A"

[[fitting]]
id = "clamp"
kind = "torque"
text = "Clamping bolts"
seat = "A"
pattern = "circle"
bolts = 2
source = {document = "Fitting sheet of the trial", issue = "1"}

[[fitting.stage]]
name = "first"
kind = "part"
target = 10
tolerance = 2

[[fitting.stage]]
name = "last"
kind = "full"
target = 20
tolerance = 2
"""


def content(verdict="conforms"):
    return {"verdict": verdict, "requirements": [{"seat": "A", "verdict": verdict}]}


@pytest.fixture
def measured(bench_of, plan_of):
    """Return what opens an inspection with fitting steps, measured and sealed."""

    def made(verdict="conforms"):
        bench = bench_of(toml=plan_of() + STEPS)
        bench.fill(lambda point: "99.99")
        bench.inspection.seal(content(verdict), "s")
        return bench

    return made


def tighten(bench, bolt, torque, stage=0, **more):
    bench.inspection.tighten(
        BoltTightened(step="clamp", stage=stage, bolt=bolt, torque=torque, **more)
    )


def fit(bench):
    do = bench.inspection
    do.begin_fitting()
    do.answer_step(StepAnswered(step="clean", answer="met"))
    do.note_threads("clamp", "thread oil, lightly")
    do.put_tool_in_service(ToolInService(inventory_number="T-1"))
    for stage, torque in enumerate(("10", "20")):
        for bolt in ("1", "2"):
            tighten(bench, bolt, torque, stage, tool="T-1")


def test_fitting_runs_from_seal_to_seal(measured):
    bench = measured()
    assert bench.state.fitting_released() is None
    fit(bench)
    assert bench.state.fitting.begun.payload.released
    assert fitting_gaps(bench.state) == ()
    (step,) = [one for one in bench.state.plan.fitting if one.kind == "torque"]
    assert follow(step, bench.state.fitting.acts("clamp")).is_complete
    bench.inspection.seal({}, "I fitted it.", part="fitting")
    assert fold(bench.store.kept) == bench.state
    with pytest.raises(CommandRefusedError, match="is sealed"):
        tighten(bench, "1", "20", 1)


def test_nothing_is_fitted_before_the_measuring_is_sealed(bench_of, plan_of):
    bench = bench_of(toml=plan_of() + STEPS)
    with pytest.raises(CommandRefusedError, match="is not sealed yet"):
        bench.inspection.begin_fitting()
    with pytest.raises(CommandRefusedError, match="before the seal"):
        bench.inspection.answer_step(StepAnswered(step="clean", answer="met"))


@pytest.mark.parametrize("verdict", ["does not conform", "not proven"])
def test_seat_that_is_not_proven_is_not_released(measured, verdict):
    bench = measured(verdict)
    assert bench.state.fitting_released(("A",)) == (
        "Seat A is not found to conform, and no disposition accepts the shaft."
    )
    with pytest.raises(CommandRefusedError, match="Give a reason for fitting all the same"):
        bench.inspection.begin_fitting()
    bench.inspection.begin_fitting("trial fit, comes off again")
    begun = bench.state.fitting.begun.payload
    assert (begun.released, begun.reason) == (False, "trial fit, comes off again")


def test_disposition_releases_or_forbids(measured):
    bench = measured("not proven")
    other = Inspection.resume(bench.store, bench.state.inspection, actor="Lead", clock=bench.clock)
    other.dispose("concession", "slow", authority="Design")
    assert other.state.fitting_released() is None
    other.dispose("rework", "grind it")
    assert other.state.fitting_released() == "The shaft was decided on: rework."


def test_work_is_taken_as_it_is_done(measured):
    bench = measured()
    bench.inspection.begin_fitting()
    tighten(bench, "2", "15")  # out of order and too tight
    bench.inspection.loosen("clamp", "begin again")
    tighten(bench, "1", None)
    acts = bench.state.fitting.acts("clamp")
    assert acts == (
        Tightened(acts[0].seq, 0, "2", Decimal(15)),
        Loosened(acts[1].seq),
        Tightened(acts[2].seq, 0, "1", None),
    )
    (step,) = [one for one in bench.state.plan.fitting if one.kind == "torque"]
    assert follow(step, acts).departures[acts[0].seq] == (
        Departure.OUT_OF_ORDER,
        Departure.ABOVE,
    )


def test_later_answer_counts_and_the_earlier_stays(measured):
    bench = measured()
    bench.inspection.begin_fitting()
    bench.inspection.answer_step(StepAnswered(step="clean", answer="not met", note="grease"))
    assert "Fitting step clean (Seat wiped dry) was found not met." in [
        gap.what for gap in fitting_gaps(bench.state)
    ]
    bench.inspection.answer_step(StepAnswered(step="clean", answer="met"))
    assert bench.state.fitting.answer("clean").answer == "met"
    assert len(bench.state.fitting.answers["clean"]) == 2


def test_seal_of_the_fitting_names_what_is_open(measured):
    bench = measured()
    bench.inspection.begin_fitting()
    what = [gap.what for gap in fitting_gaps(bench.state)]
    assert what == [
        "Fitting step clean (Seat wiped dry) was not answered.",
        "Fitting step clamp (Clamping bolts): the state of the threads was not noted.",
        "Fitting step clamp (Clamping bolts) is not finished: bolt 1 in stage first comes next.",
    ]
    with pytest.raises(CommandRefusedError, match="cannot be sealed yet: Fitting step clean"):
        bench.inspection.seal({}, "s", part="fitting")
    bench.inspection.seal({}, "s", dict.fromkeys(what, "bearing was damaged"), part="fitting")
    assert [gap.what for gap in bench.state.seals[-1].payload.gaps] == what


def test_figure_without_its_paper_cannot_be_sealed(bench_of, plan_of):
    steps = STEPS.replace('source = {document = "Fitting sheet of the trial", issue = "1"}\n', "")
    bench = bench_of(toml=plan_of() + steps)
    bench.fill(lambda point: "99.99")
    bench.inspection.seal(content(), "s")
    fit(bench)
    (gap,) = fitting_gaps(bench.state)
    with pytest.raises(CommandRefusedError, match="does not say from which paper"):
        bench.inspection.seal({}, "s", {gap.what: "never mind"}, part="fitting")


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (lambda do: do.answer_step(StepAnswered(step="paint", answer="met")), "no fitting step"),
        (lambda do: do.note_threads("clean", "oil"), "no bolts to tighten in a step clean"),
        (lambda do: do.loosen("clamp", " "), "Give a reason"),
        (
            lambda do: do.tighten(BoltTightened(step="clamp", stage=0, bolt="9")),
            "no bolt 9 in a stage 1",
        ),
        (
            lambda do: do.tighten(BoltTightened(step="clamp", stage=5, bolt="1")),
            "no bolt 1 in a stage 6",
        ),
        (
            lambda do: do.tighten(
                BoltTightened(step="clamp", stage=0, bolt="1", unit="lbf ft", torque="7")
            ),
            "a torque in lbf ft, and the plan has N m",
        ),
        (
            lambda do: do.tighten(BoltTightened(step="clamp", stage=0, bolt="1", tool="T-9")),
            "the tool T-9 was never in service",
        ),
        (
            lambda do: do.put_tool_in_service(
                ToolInService(inventory_number="T-1", calibration_due="2024-01-31")
            ),
            "The calibration of tool T-1 was due on 2024-01-31",
        ),
    ],
)
def test_what_is_not_there_is_refused(measured, command, said):
    bench = measured()
    bench.inspection.begin_fitting()
    state, count = bench.state, len(bench.store.kept)
    with pytest.raises(CommandRefusedError, match=said):
        command(bench.inspection)
    assert bench.state is state
    assert len(bench.store.kept) == count


def test_tool_stands_in_the_record(measured):
    bench = measured()
    bench.inspection.begin_fitting()
    tool = ToolInService(inventory_number="T-1", calibration_due="2024-12", tool_class="type II")
    bench.inspection.put_tool_in_service(tool)
    tighten(bench, "1", "10", tool="T-1")
    assert bench.state.fitting.tool("T-1") == tool


def test_bolts_without_a_tool_and_too_tight_ones_are_gaps(measured):
    bench = measured()
    bench.inspection.begin_fitting()
    tighten(bench, "1", "13")
    said = " ".join(gap.what for gap in fitting_gaps(bench.state))
    assert "bolts were tightened with no tool in the record" in said
    assert "bolt 1 is above the tolerance in stage first" in said


def test_value_half_measured_is_a_gap(measured):
    bench = measured()
    bench.inspection.begin_fitting()
    bench.inspection.answer_step(StepAnswered(step="clean", note="looked at one side"))
    said = " ".join(gap.what for gap in fitting_gaps(bench.state))
    assert "Fitting step clean (Seat wiped dry) is not answered wholly." in said


def test_order_chosen_holds_from_there_on(measured):
    bench = measured()
    bench.inspection.begin_fitting()
    bench.inspection.choose_order("clamp", 0, ("2", "1"), "bolt 1 is hard to reach")
    (step,) = [one for one in bench.state.plan.fitting if one.kind == "torque"]
    assert follow(step, bench.state.fitting.acts("clamp")).next == Turn(0, "2")
    assert fold(bench.store.kept) == bench.state
    for order, said in [(("1",), "every bolt of the joint once"), (("1", "1"), "every bolt")]:
        with pytest.raises(CommandRefusedError, match=said):
            bench.inspection.choose_order("clamp", 0, order, "why not")
    with pytest.raises(CommandRefusedError, match="no stage 8"):
        bench.inspection.choose_order("clamp", 7, ("2", "1"), "why not")
    with pytest.raises(CommandRefusedError, match="Give a reason"):
        bench.inspection.choose_order("clamp", 0, ("1", "2"), " ")


def test_isolation_is_confirmed_by_each_person(measured):
    bench = measured()
    bench.inspection.begin_fitting()
    bench.inspection.confirm_isolation(("Locked off.",), "P-7")
    (entry,) = bench.state.fitting.isolations
    assert (entry.actor, entry.payload.permit) == (bench.inspection.actor, "P-7")


def test_concession_counts_once_it_is_signed_where_the_plan_asks(bench_of, plan_of):
    bench = bench_of(toml=plan_of() + "\n[signing]\nsignatures = true\n" + STEPS)
    bench.fill(lambda point: "99.99")
    bench.inspection.seal(content("not proven"), "s")
    other = Inspection.resume(bench.store, bench.state.inspection, actor="Lead", clock=bench.clock)
    other.dispose("concession", "slow", authority="Design")
    assert other.state.fitting_released() == "The disposition (concession) is not signed yet."


def test_fitting_that_was_not_begun_has_no_events(measured):
    bench = measured()
    last = bench.state.last
    event = next_event(
        inspection=last.inspection,
        last=last,
        moment=last.moment,
        actor="x",
        kind="step answered",
        payload={"step": "clean", "answer": "met"},
    )
    with pytest.raises(ChainBrokenError, match="the fitting was not begun"):
        fold((*bench.store.kept, event))
