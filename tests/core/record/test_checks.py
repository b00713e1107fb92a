"""When the next reference check is due, and what a gauge should show on its standard."""

from datetime import timedelta
from decimal import Decimal

import pytest

from seatproof.core.record.checks import check_due, due, expected_mm
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import GaugeInService


@pytest.fixture
def bench(bench_of, strict_of, standard_of):
    bench = bench_of(toml=strict_of())
    bench.inspection.put_in_service(standard_of())
    return bench


def now(bench, minutes=0):
    return bench._now + timedelta(minutes=minutes)


def test_opening_check_is_due_first(bench, checked):
    (first,) = due(bench.state, now(bench))
    assert (first.gauge, first.occasion) == ("M-1", "start")
    checked(bench, ["100.000"])
    assert due(bench.state, now(bench)) == ()


def test_time_asks_for_the_next(bench, checked):
    checked(bench, ["100.000"])
    assert check_due(bench.state, now(bench, 29.9)) is None
    assert check_due(bench.state, now(bench, 30)) == (
        "The last check of gauge M-1 was 30 minutes ago; the plan asks for one every 30 minutes."
    )


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("knock", "Gauge M-1 was knocked; check it again."),
        ("battery", "Gauge M-1 has a new battery; check it again."),
        ("other", "Something happened that asks for a check of gauge M-1 (fell); check it again."),
    ],
)
def test_what_happened_asks_for_the_next(bench, checked, what, said):
    checked(bench, ["100.000"])
    bench.inspection.call_attention(what, note="fell" if what == "other" else "")
    assert check_due(bench.state, now(bench)) == said
    checked(bench, ["100.000"], "between")
    assert check_due(bench.state, now(bench)) is None


def test_other_person_and_other_gauge_ask_for_the_next(bench, checked):
    checked(bench, ["100.000"])
    bench.inspection.change_inspector("Bo")
    assert check_due(bench.state, now(bench)) == "Bo measures now; check gauge M-1 again."
    checked(bench, ["100.000"], "between")
    bench.inspection.put_in_service(bench.state.gauge)
    assert check_due(bench.state, now(bench)) == (
        "Gauge M-1 was put in service anew; check it again."
    )


def test_temperature_asks_for_the_next(bench, checked):
    checked(bench, ["100.000"], shaft_c="21.0", gauge_c="21.0")
    bench.inspection.note_temperatures(Decimal("22.9"), Decimal("21.0"))
    assert check_due(bench.state, now(bench)) is None
    bench.inspection.note_temperatures(Decimal("23.0"), Decimal("21.0"))
    assert check_due(bench.state, now(bench)) == (
        "The shaft has changed by 2.0 K since the last check of gauge M-1; check it again."
    )


def test_bad_check_asks_for_the_next(bench, checked):
    checked(bench, ["100.010"])
    assert "was beyond the limit" in check_due(bench.state, now(bench))


def test_each_gauge_is_asked_for_its_own(bench, checked):
    gauge = bench.state.gauge
    second = GaugeInService.model_validate(
        gauge.model_dump() | {"inventory_number": "M-2", "seats": ("B",)}
    )
    bench.inspection.put_in_service(second)
    assert [one.gauge for one in due(bench.state, now(bench))] == ["M-1", "M-2"]
    checked(bench, ["90.000"], gauge="M-2", expected="90")
    assert [one.gauge for one in due(bench.state, now(bench))] == ["M-1"]


def test_plan_without_checks_asks_for_none(bench_of):
    bench = bench_of()
    bench.inspection.change_inspector("Bo")
    assert due(bench.state, now(bench, 600)) == ()


def test_nothing_is_due_after_the_seal(bench_of):
    bench = bench_of()
    bench.fill(lambda point: "99.99")
    bench.inspection.seal({}, "s")
    assert due(bench.state, now(bench)) == ()


def test_expected_value_follows_both_temperatures(standard_of):
    standard = standard_of(size_mm="100", expansion_per_kelvin="0.00001")
    gauge = GaugeInService(
        inventory_number="M", unit="mm", resolution="0.001", source="s", format="f",
        expansion_per_kelvin="0.00002",
    )  # fmt: skip
    # By hand: 100 · (1 + 10e-6·5 − 20e-6·3) = 100 · (1 − 10e-6)
    assert expected_mm(standard, gauge, Decimal(25), Decimal(23)) == Decimal("99.9990000")
    assert expected_mm(standard, gauge) == Decimal(100)


def test_check_of_a_stranger_is_refused(bench, checked):
    count = len(bench.store.kept)
    for more in ({"on": "S-9"}, {"shaft_c": "200", "gauge_c": "20"}):
        with pytest.raises(CommandRefusedError):
            checked(bench, ["100.000"], **more)
    assert len(bench.store.kept) == count


def test_temperatures_of_a_check_are_those_of_the_inspection(bench, checked):
    logged = checked(bench, ["100.000"], shaft_c="24", gauge_c="21", standard_c="20")
    seq, noted = bench.state.temperatures[-1]
    assert seq == logged.seq
    assert (noted.shaft_c, noted.gauge_c, noted.standard_c) == ("24", "21", "20")
