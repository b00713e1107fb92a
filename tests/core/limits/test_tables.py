from itertools import pairwise
from math import sqrt

import pytest

from seatproof.core.limits.tables import iso286_tables


@pytest.fixture(scope="module")
def tables():
    return iso286_tables()


@pytest.mark.parametrize(
    ("name", "row_count", "last_mm", "cell_count"),
    # The counts of numbers are those of the standard's tables: 404, 912, 953 and 78.
    [
        ("tolerances", 21, 3150, 404),
        ("shafts", 41, 3150, 912),
        ("holes", 41, 3150, 953),
        ("delta", 13, 500, 78),
    ],
)
def test_tables_are_complete(tables, name, row_count, last_mm, cell_count):
    table = getattr(tables, name)
    assert len(table.up_to_mm) == len(table.cells_um) == row_count
    assert table.up_to_mm[-1] == last_mm
    assert all(first < second for first, second in pairwise(table.up_to_mm))
    assert sum(len(cells) for cells in table.cells_um) == cell_count


def test_tables_are_read_once():
    assert iso286_tables() is iso286_tables()


def test_tolerances_follow_the_formula_of_the_standard(tables):
    # ISO 286-1: i = 0.45 D^(1/3) + 0.001 D up to 500 mm, I = 0.004 D + 2.1 above, D the geometric
    # mean of the step's ends. The standard rounds unevenly, hence 7 %; its small steps do not
    # follow the formula at all.
    factors = dict(
        zip(
            range(5, 19),
            (7, 10, 16, 25, 40, 64, 100, 160, 250, 400, 640, 1000, 1600, 2500),
            strict=True,
        )
    )
    steps = list(pairwise(tables.tolerances.up_to_mm))
    for (over_mm, up_to_mm), cells in zip(steps, tables.tolerances.cells_um[1:], strict=True):
        if over_mm < 10:
            continue
        mean_mm = sqrt(over_mm * up_to_mm)
        unit_um = (
            0.45 * mean_mm ** (1 / 3) + 0.001 * mean_mm
            if up_to_mm <= 500
            else 0.004 * mean_mm + 2.1
        )
        for grade, factor in factors.items():
            assert float(cells[f"IT{grade}"]) == pytest.approx(factor * unit_um, rel=0.07)


def test_finest_tolerances_follow_the_formulas_of_the_standard(tables):
    # ISO 286-1, up to 500 mm: IT01 = 0.3 + 0.008 D, IT0 = 0.5 + 0.012 D, IT1 = 0.8 + 0.020 D (µm).
    # The standard keeps to preferred numbers here, which lie up to a quarter away.
    formulas = {"IT01": (0.3, 0.008), "IT0": (0.5, 0.012), "IT1": (0.8, 0.020)}
    steps = [(over, up_to) for over, up_to in pairwise(tables.tolerances.up_to_mm) if up_to <= 500]
    for (over_mm, up_to_mm), cells in zip(steps, tables.tolerances.cells_um[1:], strict=False):
        for grade, (constant_um, slope_um) in formulas.items():
            expected_um = constant_um + slope_um * sqrt(over_mm * up_to_mm)
            assert abs(float(cells[grade]) - expected_um) < 0.25 * float(cells[grade])


def test_tolerances_grow_with_grade_and_never_shrink_with_size(tables):
    for cells in tables.tolerances.cells_um:
        assert all(finer < coarser for finer, coarser in pairwise(cells.values()))
    for smaller, larger in pairwise(tables.tolerances.cells_um):
        assert all(smaller[grade] <= larger[grade] for grade in larger)


def test_delta_is_the_step_between_neighbouring_grades(tables):
    # ISO 286-1: Δ = IT(n) - IT(n-1) over 3 up to 500 mm.
    for up_to_mm, cells in zip(tables.delta.up_to_mm[1:], tables.delta.cells_um[1:], strict=True):
        for grade in range(3, 9):
            step_um = tables.tolerances.value_um(
                up_to_mm, f"IT{grade}"
            ) - tables.tolerances.value_um(up_to_mm, f"IT{grade - 1}")
            assert cells[f"IT{grade}"] == step_um


def test_hole_deviations_are_those_of_the_shaft_with_the_other_sign(tables):
    same = {letter: letter for letter in tables.shaft_letters if letter not in ("j", "js", "k")}
    columns = {hole: letter.upper() for hole, letter in same.items()}
    columns |= {"k_it4_it7": "K_to_it8", "m": "M_to_it8", "n": "N_to_it8"}
    for shaft_cells, hole_cells in zip(tables.shafts.cells_um, tables.holes.cells_um, strict=True):
        for shaft, hole in columns.items():
            assert (shaft in shaft_cells) == (hole in hole_cells)
            assert shaft_cells.get(shaft, 0) == -hole_cells.get(hole, 0)
