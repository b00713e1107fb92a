"""What an export says it did."""

from pathlib import Path

import pytest

from seatproof.gui.records.exporting import Exported


@pytest.mark.parametrize(
    ("files", "inspections", "says"),
    [
        (1, 1, "1 file of 1 inspection is in out."),
        (3, 1, "3 files of 1 inspection are in out."),
        (6, 2, "6 files of 2 inspections are in out."),
        (0, 0, "0 files of 0 inspections are in out."),
    ],
)
def test_one_and_many_are_told_apart(files, inspections, says):
    done = Exported((Path("x"),) * files, inspections, (), is_cancelled=False)
    assert done.sentence(Path("out")) == says
