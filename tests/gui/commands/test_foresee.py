import argparse
import json
from datetime import datetime, timedelta, timezone
from decimal import Decimal

import pytest

from seatproof.core.files import example
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.core.record.file import write_record
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.gui.commands import foresee
from seatproof.gui.commands.errors import CommandError

KILN = example("kiln_fan.toml")
PUMP = example("screw_pump.toml")

BUDGET = """[uncertainty]
method = "budget"
repeatability = 0.0009
repeatability_readings = 31
alignment = 0.00075
faces = 0.001
force = 0.0006
drift = 0.001
basis = "made up for a test"

"""
GAUGE = ("--step", "0.001", "--permissible-error", "0.005", "--temperatures", "26", "26")


@pytest.fixture
def command(capsys):
    parser = argparse.ArgumentParser(prog="seatproof")
    foresee.add_parser(parser.add_subparsers(required=True))

    def call(*words):
        args = parser.parse_args(["foresee", *map(str, words)])
        assert args.run(args) == 0
        return capsys.readouterr().out

    return call


@pytest.fixture
def document(command):
    def call(*words):
        return json.loads(command(*words, "--json"))

    return call


@pytest.fixture
def budgeted(tmp_path):
    """Return the kiln fan's plan with a budget in place of a stated uncertainty."""
    text = KILN.read_text(encoding="utf-8")
    start, end = text.index("[uncertainty]"), text.index("[decision]")
    path = tmp_path / "budget.toml"
    path.write_text(f"{text[:start]}{BUDGET}{text[end:]}", encoding="utf-8")
    return path


def test_text_tells_u_zone_and_smallest_set(command):
    out = command(KILN, "--seat", "A")
    # U = 3 µm, k = 2: 1.645 · 1.5 = 2.467 inside 110.003 and 110.025.
    assert "seat A, Coupling side, locating bearing: 5 stations × 6 orientations" in out
    assert "U 3.0 µm (k = 2.00); local sizes accepted from 110.0055 to 110.0225 mm" in out
    assert "fewest readings that leave 50 % of every tolerance: 3 stations × 4" in out
    assert "seat B" not in out
    assert out.rstrip().endswith("what is found decides.")


def test_what_cannot_be_proven_is_said_beside_its_name(command):
    assert "cylindricity  cannot be proven. Odd lobes are invisible" in command(KILN, "--seat", "B")


def test_json_has_every_seat_and_requirement(document):
    found = document(KILN)
    assert [seat["seat"] for seat in found["seats"]] == ["A", "B"]
    size = found["seats"][0]["requirements"][0]
    assert (size["characteristic"], size["provable"]) == ("size", True)
    assert size["zone_um"] == pytest.approx([3 + 2.4673, 25 - 2.4673], abs=1e-4)
    assert found["seats"][0]["design"]["readings"] == 30
    assert found["seats"][0]["smallest"]["design"]["readings"] == 12
    assert found["seats"][1]["provable"] is False


def test_other_numbers_of_points_can_be_tried(document):
    found = document(KILN, "--seat", "A", "--repeats", "4")["seats"][0]
    assert found["design"] == {"stations": 5, "orientations": 6, "repeats": 4, "readings": 120}
    few = document(KILN, "--seat", "A", "--stations", "1")["seats"][0]
    assert few["provable"] is False


def test_larger_share_asks_for_more_readings(document):
    smallest = document(KILN, "--seat", "A", "--share", "55")["seats"][0]["smallest"]
    assert smallest["design"]["readings"] > 12
    most = document(KILN, "--seat", "A", "--share", "95")["seats"][0]["smallest"]
    assert most["design"] is None
    assert 0.5 < most["best_share"] < 0.95


def test_inch_plan_is_told_in_inches(command):
    assert "in (k = 2.00); local sizes accepted from 3.9362" in command(PUMP)


def test_budget_of_a_gauge_is_foreseen(command, document, budgeted):
    found = document(budgeted, "--seat", "B", *GAUGE, "--repeats", "3")["seats"][0]
    # 100 mm at 26 °C with ±5 µm: worked by hand u = 3.25 µm with a standard's 0.5 µm, without
    # √(3.25² − 0.5²) = 3.21.
    assert found["requirements"][0]["standard_um"] == pytest.approx(3.21, abs=0.01)
    near = ("--standard", "100", "0.001", "--repeats", "3")
    found = document(budgeted, "--seat", "B", *GAUGE, *near)["seats"][0]
    assert found["requirements"][0]["standard_um"] == pytest.approx(1.53, abs=0.005)
    curve = ("--certificate", "75", "0.0012", "--certificate", "105", "0.0012", "--repeats", "3")
    found = document(budgeted, "--seat", "B", *GAUGE, *curve)["seats"][0]
    assert found["requirements"][0]["standard_um"] == pytest.approx(1.54, abs=0.005)
    out = command(budgeted, "--seat", "B", *GAUGE)
    assert "U of a local size by permissible error: 6." in out
    assert "(assuming a setting standard within 1 mm of the size)" in out


def test_wrong_decisions_of_a_process_are_counted(command, document, tmp_path):
    # Seats of N(−14, 7) µm, h6 at 100 mm, u = 1.618 µm: 0.11 % and 13.8 % by worked integrals.
    text = KILN.read_text(encoding="utf-8").replace("expanded = 0.003", "expanded = 0.003236")
    head, seat_b = text.split('id = "B"')
    path = tmp_path / "h6.toml"
    path.write_text(head + 'id = "B"' + seat_b.replace('"k6"', '"h6"'), encoding="utf-8")
    words = (path, "--seat", "B", "--process", "99.986", "0.007")
    risks = document(*words)["seats"][0]["risks"]
    assert 100 * risks["consumer"] == pytest.approx(0.11, abs=0.005)
    assert 100 * risks["producer"] == pytest.approx(13.8, abs=0.05)
    assert 100 * risks["outside"] == pytest.approx(14.93, abs=0.005)
    assert "0.11 would be accepted though outside, 13.78 not accepted" in command(*words)
    assert document(KILN)["seats"][0]["risks"] is None


def test_budget_without_a_gauge_says_what_to_state(command, budgeted):
    out = command(budgeted)
    assert "size          cannot be proven. The plan works with a budget" in out
    assert "fewest readings" not in out


@pytest.fixture
def record(tmp_path):
    """Return what writes the record of an inspection of seat A's first points."""

    class Store:
        def __init__(self):
            self.kept = []

        def append(self, event):
            self.kept.append(event)

        def events(self, inspection):
            return tuple(event for event in self.kept if event.inspection == inspection)

    def written(plan, values, shaft_c=20, gauge_c=20):
        store = Store()
        now = datetime(2024, 5, 17, 8, 30, tzinfo=timezone(timedelta(hours=2)))
        moments = (now + timedelta(seconds=number) for number in range(10_000))
        inspection = Inspection.create(
            store,
            plan_toml=plan,
            identification=Identification(sheet_number="T-1"),
            actor="Åsa Test",
            clock=lambda: next(moments),
        )
        inspection.acknowledge_cautions(("Isolate and lock the machine.",))
        inspection.put_in_service(
            GaugeInService(
                inventory_number="M-1",
                unit="mm",
                resolution="0.001",
                source="test",
                format="number",
                permissible_error_mm="0.002",
            )
        )
        inspection.note_temperatures(Decimal(shaft_c), Decimal(gauge_c))
        for number, value in enumerate(values, start=1):
            inspection.take(
                Press(
                    value=Decimal(value),
                    unit=None,
                    text=value,
                    raw=value.encode(),
                    format="number",
                    arrival=number,
                )
            )
        return write_record(store.kept, tmp_path / "inspection.json")

    return written


def test_record_under_way_says_what_to_measure_next(command, document, record):
    path = record(KILN.read_text(encoding="utf-8"), ["110.012"] * 4)
    found = document(path, "--seat", "A")["seats"][0]["next"]
    assert (found[0]["station"], found[0]["orientation"], found[0]["for"]) == (1, 5, "missing")
    assert "next: station 1 (158 mm) at 120°, for a point without all the readings" in command(path)


def test_complete_record_names_the_points_that_decide(document, record):
    # An oval seat, largest at 30°: up to 110.025 − 1.645 · 1.5 µm = 110.0225 would be accepted.
    oval = ["110.0205", "110.0229", "110.0205", "110.0160", "110.0138", "110.0160"]
    text = KILN.read_text(encoding="utf-8").replace(
        "repeatability = 0.0005", "repeatability = 0.0012"
    )
    found = document(record(text, oval * 5), "--seat", "A")["seats"][0]["next"]
    assert {one["for"] for one in found} == {"size"}
    assert {one["orientation"] for one in found} == {2}
    assert {one["station"] for one in found} == {1, 2, 3, 4, 5}
    assert 0.0 < found[0]["chance"] < 1.0
    assert found[0]["standard_then_um"] < found[0]["standard_now_um"]


def test_gauge_and_temperatures_of_a_record_are_used(document, record, budgeted):
    path = record(budgeted.read_text(encoding="utf-8"), [], 22, 21)
    by_record = document(path, "--seat", "A")["seats"][0]
    same = ("--step", "0.001", "--permissible-error", "0.002", "--temperatures", "22", "21")
    by_hand = document(budgeted, "--seat", "A", *same)["seats"][0]
    assert by_record["requirements"] == by_hand["requirements"]
    assert by_record["requirements"][0]["provable"] is True


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--seat", "C"), "those that are: A, B"),
        (("--share", "100"), "from 0 to below 100"),
        (("--share", "nan"), "from 0 to below 100"),
        (("--process", "110", "0"), "standard deviation of the process"),
        (("--stations", "0"), "give a number from 1 to 100"),
        (("--repeats", "21"), "give a number from 1 to 20"),
        (("--permissible-error", "0.004"), "with --step"),
        (("--step", "0"), "above zero"),
        (("--step", "0.001", "--temperatures", "hot", "20"), '"hot" is not a number'),
        (("--step", "0.001", "--temperatures", "20", "9999"), "cannot be meant"),
    ],
)
def test_what_cannot_be_foreseen_is_said_in_a_sentence(command, words, sentence):
    with pytest.raises(CommandError, match=sentence):
        command(KILN, *words)


def test_unusable_files_are_refused_by_their_own_errors(command, tmp_path):
    with pytest.raises(PlanError):
        command(tmp_path / "nothing.toml")
    broken = tmp_path / "broken.json"
    broken.write_text("{", encoding="utf-8")
    with pytest.raises(RecordError):
        command(broken)
    plan = tmp_path / "bad.toml"
    plan.write_text("format = 1", encoding="utf-8")
    with pytest.raises(PlanError):
        command(plan)
