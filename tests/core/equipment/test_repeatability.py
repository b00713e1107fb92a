"""A repeatability test, against a hand calculation and the formulas of the GUM."""

import math
from decimal import Decimal

import pytest

from seatproof.core.equipment.errors import EquipmentRefusedError
from seatproof.core.equipment.item import Item, ItemKind
from seatproof.core.equipment.repeatability import (
    entry_of,
    evaluate_presses,
    reading_uncertainty,
)

GAUGE = Item(
    kind=ItemKind.MICROMETER,
    inventory_number="M-07",
    resolution="0.001",
    permissible_error_mm="0.004",
)


def presses(*last_digits_um):
    return [Decimal("110.000") + Decimal(digit) / 1000 for digit in last_digits_um]


def test_mean_and_standard_deviation_by_hand():
    # 2, 4, 4, 4, 5, 5, 7, 9 has mean 5 and a sum of squares about it of 32
    test = evaluate_presses(presses(2, 4, 4, 4, 5, 5, 7, 9))
    assert test.mean_mm == pytest.approx(110.005, abs=1e-12)
    assert test.deviation_um == pytest.approx(math.sqrt(32 / 7), rel=1e-9)
    assert test.range_um == pytest.approx(7.0)


def test_one_press_says_nothing():
    with pytest.raises(EquipmentRefusedError, match="at least twice"):
        evaluate_presses(presses(1))


def test_u_of_a_reading_is_the_root_of_its_squares():
    test = evaluate_presses(presses(2, 4, 4, 4, 5, 5, 7, 9))
    found = reading_uncertainty(GAUGE, test)
    step, gauge = 0.5 / math.sqrt(3), 4.0 / math.sqrt(3)
    before = math.hypot(step, step, gauge)
    assert found.before_um == pytest.approx(2.0 * before, rel=1e-3)
    deviation = math.sqrt(32 / 7)
    after = math.hypot(deviation, step, gauge)
    # Welch-Satterthwaite with seven degrees of freedom behind the scatter; t of 95.45 %
    dof = after**4 / (deviation**4 / 7)
    assert 20 < dof < 40
    assert 2.0 * after < found.after_um < 2.12 * after
    assert "% of the variance" in found.gist


def test_scatter_below_the_step_does_not_count():
    test = evaluate_presses(presses(4, 4, 4, 4, 4))
    found = reading_uncertainty(GAUGE, test)
    assert found.after_um == pytest.approx(found.before_um)
    assert "repeats would not help" in found.gist


def test_what_the_register_does_not_know_is_said():
    bare = GAUGE.model_copy(update={"permissible_error_mm": None})
    assert reading_uncertainty(bare, evaluate_presses(presses(1, 2))).lacking


def test_what_is_kept_is_what_was_pressed():
    kept = entry_of(GAUGE, evaluate_presses(presses(1, 3)))
    assert kept.values_mm == ("110.001", "110.003")
    assert kept.deviation_mm == "0.0014142"
    assert kept.resolution_mm == "0.001"


def test_a_vee_block_gives_no_readings():
    block = Item(kind=ItemKind.VEE_BLOCK, inventory_number="V-1", vee_angle_deg="90")
    with pytest.raises(EquipmentRefusedError, match="no readings"):
        entry_of(block, evaluate_presses(presses(1, 3)))
