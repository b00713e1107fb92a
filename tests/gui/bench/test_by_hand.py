"""A gauge without a wire, from the bench to the sheet; and a plan without a shaft, simulated."""

import pytest

from seatproof.core.archive.file import Archive
from seatproof.core.files import example
from seatproof.core.sheet.compose import compose
from seatproof.gui.setup.model import NO_WIRE, SIMULATED, SetupForm
from seatproof.gui.workplace import Workplace


def _form(plan_file, source):
    return SetupForm(
        plan_file=str(plan_file),
        inspector="M. Lindqvist",
        asset="fan",
        shaft_serial="1",
        work_order="1",
        source=source,
        gauge_number="M-12",
        gauge_description="micrometer",
        resolution="0.001",
    )


@pytest.fixture
def workplace(tmp_path):
    with Archive.open(tmp_path / "archive.seatproof") as archive:
        yield Workplace(archive)


def test_sheet_says_which_values_were_typed(workplace, tmp_path):
    bench = workplace.begin(_form(example("kiln_fan.toml"), NO_WIRE).setup())
    assert bench.model.typed_gauges == {"M-12"}
    for _ in range(3):
        bench.model.type_value("110.012")
    state = bench.model.state
    content = compose(state, bench.model.evaluation, "test")
    (typed,) = [one for one in content.remarks if "typed by hand" in one.what]
    assert typed.what.startswith("3 of 3 values")
    said = [fact.value for section in content.sections for fact in section.facts]
    assert any("its values are typed by hand" in value for value in said)
    assert not any("none" in value and "format" in value for value in said)


def test_own_plan_is_tried_on_a_made_up_shaft(workplace, tmp_path):
    plan = tmp_path / "own.toml"
    plan.write_text(example("kiln_fan.toml").read_text(encoding="utf-8"), encoding="utf-8")
    bench = workplace.begin(_form(plan, SIMULATED).setup())
    try:
        point = bench.model.next_point
        bench.simulated.aim(point)
        value = bench.simulated.measure()
        assert b"110.0" in value
    finally:
        bench.simulated.close()
