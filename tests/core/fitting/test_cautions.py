"""Cautions stand where they matter, and promise nothing."""

import pytest

from seatproof.core.files import example
from seatproof.core.fitting.cautions import ISOLATION, cautions_at
from seatproof.core.plan.file import parse_plan


@pytest.fixture
def steps():
    plan = parse_plan(example("kiln_fan_whole_job.toml").read_text(encoding="utf-8"))
    return {step.id: step for step in plan.fitting}


def test_the_plans_own_caution_comes_first(steps):
    assert cautions_at(steps["cover"])[0] == steps["cover"].caution


def test_turning_speaks_of_what_lets_go_and_gauging_of_the_feeler(steps):
    assert any("let go" in caution for caution in cautions_at(steps["turned"]))
    assert any("feeler" in caution for caution in cautions_at(steps["clearance-after"]))
    assert any("wrench" in caution for caution in cautions_at(steps["cover"]))


def test_every_step_has_one_and_none_calls_anything_safe(steps):
    said = [*ISOLATION, *(caution for step in steps.values() for caution in cautions_at(step))]
    assert all(cautions_at(step) for step in steps.values())
    assert not any("safe" in caution.casefold() for caution in said)
