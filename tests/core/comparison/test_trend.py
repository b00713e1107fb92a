"""A seat over the years: zero of departures, order, what is left out."""

from dataclasses import replace

import pytest

from seatproof.core.archive.query import Entry
from seatproof.core.archive.results import SeatResult
from seatproof.core.comparison.trend import trend_of


def inspected(number, mean_mm=100.01, nominal_mm=100.0, **entry):
    """Return what an archive holds of one inspection."""
    return (
        Entry(
            inspection=f"i{number}",
            opened_utc=f"20{10 + number}-03-01T08:00:00.000000Z",
            title="fan",
            thing="fan",
            sheet_number=f"S-{number}",
            events=70,
            sealed=True,
            number=number,
            **entry,
        ),
        SeatResult(
            seat="A",
            evaluation_version=2,
            nominal_mm=nominal_mm,
            lower_mm=nominal_mm + 0.003,
            upper_mm=nominal_mm + 0.025,
            verdict="conforms",
            mean_mm=mean_mm,
            smallest_mm=None if mean_mm is None else mean_mm - 0.002,
            largest_mm=None if mean_mm is None else mean_mm + 0.004,
            roundness_um=2.0,
            ovality_um=3.0,
            taper_um=-1.0,
            unit="mm",
        ),
    )


def test_departures_are_from_the_newest_nominal_size():
    trend = trend_of("A", [inspected(1, 99.9, nominal_mm=99.9), inspected(2)], "i2")
    first, second = trend.points
    assert trend.nominal_mm == 100.0
    assert first.mean_um == pytest.approx(-100.0)
    # The limits that held then stay theirs.
    assert (first.lower_um, first.upper_um) == pytest.approx((-97.0, -75.0))
    assert (second.smallest_um, second.mean_um, second.largest_um) == pytest.approx((8, 10, 14))
    assert (second.lower_um, second.upper_um) == pytest.approx((3.0, 25.0))


def test_the_one_before_is_that_before_the_marked_one():
    found = [inspected(number) for number in (1, 2, 3)]
    assert trend_of("A", found, "i2").before.sheet_number == "S-1"
    assert trend_of("A", found, "i2").this.sheet_number == "S-2"
    assert trend_of("A", found, "i1").before is None
    unmarked = trend_of("A", found)
    assert unmarked.this is None
    assert unmarked.before.sheet_number == "S-2"


def test_superseded_and_unmeasured_ones_are_left_out():
    entry, result = inspected(1)
    revised = (replace(entry, superseded_by="i9"), result)
    assert trend_of("A", [revised, inspected(2, None)]) is None
    assert [p.sheet_number for p in trend_of("A", [revised, inspected(3)]).points] == ["S-3"]
