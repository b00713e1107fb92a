"""Global risks against a worked table and a simulation of seats that are made and measured."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.verdict.errors import KnowledgeError
from seatproof.core.verdict.limits import Limits, Zone
from seatproof.core.verdict.risk import Prior, global_risks
from seatproof.core.verdict.rule import Rule

H6_100 = Limits.of(-22, 0)
PROCESS = Prior(-14.0, 7.0)


def zone_of(band_in_u, uncertainty):
    return Zone(-22.0 + band_in_u * uncertainty, -band_in_u * uncertainty)


def test_share_of_bad_seats_of_the_process():
    # Φ(−8/7) + Φ(−2) = 0.12655 + 0.02275.
    assert 1.0 - PROCESS.inside(H6_100) == pytest.approx(0.1493, abs=5e-5)


# JCGM 106, 9.5: integrals worked out for seats of N(-14, 7) µm and h6 at 100 mm, in per cent, to
# the digits in which they were tabulated.
@pytest.mark.parametrize(
    ("uncertainty", "band_in_u", "consumer", "producer", "digits"),
    [
        (3.25, 0.0, 3.3, 6.9, 0.05),
        (3.25, 1.645, 0.20, 35.0, 0.5),
        (1.618, 0.0, 2.0, 2.9, 0.05),
        (1.618, 1.645, 0.11, 13.8, 0.05),
        (1.618, 2.0, 0.05, 17.2, 0.05),
    ],
)
def test_table_of_global_risks(uncertainty, band_in_u, consumer, producer, digits):
    risks = global_risks(PROCESS, H6_100, zone_of(band_in_u, uncertainty), uncertainty)
    assert 100.0 * risks.consumer == pytest.approx(consumer, abs=0.05 if not band_in_u else 0.005)
    assert 100.0 * risks.producer == pytest.approx(producer, abs=digits)
    assert risks.outside == pytest.approx(0.1493, abs=5e-5)


@pytest.mark.parametrize("uncertainty", [0.3, 3.25, 12.0])
def test_simulated_seats_agree(uncertainty):
    rng = np.random.default_rng(11)
    true = rng.normal(-14.0, 7.0, 400_000)
    read = true + rng.normal(0.0, uncertainty, true.size)
    zone = Rule(guarded=True).acceptance_zone(H6_100, uncertainty) or Zone(-22.0, 0.0)
    accepted = (read >= zone.lower) & (read <= zone.upper)
    good = (true >= -22.0) & (true <= 0.0)
    risks = global_risks(PROCESS, H6_100, zone, uncertainty)
    # Four standard errors of a share near one half, and less for smaller ones.
    assert risks.consumer == pytest.approx(np.mean(accepted & ~good), abs=0.003)
    assert risks.producer == pytest.approx(np.mean(~accepted & good), abs=0.003)


@settings(max_examples=30, deadline=None)
@given(
    st.floats(-60, 60),
    st.floats(0.2, 40),
    st.floats(1e-3, 30),
    st.floats(0, 9),
)
def test_risks_and_right_decisions_add_up_to_one(mean, sd, uncertainty, band):
    prior = Prior(mean, sd)
    risks = global_risks(prior, H6_100, Zone(-22.0 + band, -band), uncertainty)
    everything = global_risks(prior, H6_100, Zone(-1e9, 1e9), uncertainty)
    assert 0.0 <= risks.consumer <= risks.outside + 1e-9
    assert -1e-12 <= risks.producer <= 1.0 - risks.outside + 1e-9
    # What accepts everything passes all bad ones and refuses no good one.
    assert everything.consumer == pytest.approx(risks.outside, abs=1e-7)
    assert everything.producer == pytest.approx(0.0, abs=1e-7)


@settings(max_examples=30, deadline=None)
@given(st.floats(0, 8), st.floats(0.1, 2.5))
def test_wider_guard_band_trades_one_risk_for_the_other(band, more):
    narrow = global_risks(PROCESS, H6_100, Zone(-22.0 + band, -band), 2.0)
    wide = global_risks(PROCESS, H6_100, Zone(-22.0 + band + more, -band - more), 2.0)
    assert wide.consumer < narrow.consumer
    assert wide.producer > narrow.producer


def test_rule_that_accepts_nothing_refuses_every_good_seat():
    risks = global_risks(PROCESS, H6_100, None, 9.0)
    assert (risks.consumer, risks.producer) == (0.0, PROCESS.inside(H6_100))


def test_impossible_processes_are_refused():
    for wrong in ((float("nan"), 1.0), (0.0, 0.0), (0.0, float("inf"))):
        with pytest.raises(KnowledgeError, match="process"):
            Prior(*wrong)
    with pytest.raises(KnowledgeError, match="standard uncertainty"):
        global_risks(PROCESS, H6_100, Zone(-22.0, 0.0), 0.0)
