"""Suggested form tolerances, against ISO 286-1 Table 1 read off by hand."""

from decimal import Decimal

import pytest

from seatproof.core.suggestions.form import suggest_form

# Standard tolerances over 80 up to 120 mm, µm: IT4 10, IT5 15, IT6 22.
EXPECTED = {
    ("roundness", "IT5/2"): ("radial", 7.5),
    ("roundness", "IT4/2"): ("radial", 5.0),
    ("cylindricity", "IT5/2"): ("radial", 7.5),
    ("taper", "IT5"): ("diametral", 15.0),
    ("run_out", "IT5"): ("radial", 15.0),
    ("total_run_out", "IT4"): ("radial", 10.0),
}


def test_proportions_of_110_k6():
    found = {
        (one.characteristic, one.tolerance): (one.sense, one.limit_um)
        for one in suggest_form(Decimal(110), "k6")
    }
    assert EXPECTED.items() <= found.items()
    assert len(found) == 10


def test_the_usual_one_comes_first_and_says_where_it_comes_from():
    first = suggest_form(Decimal(110), "k6")[0]
    assert first.tolerance == "IT5/2"
    assert first.basis == (
        "one grade finer than the IT6 of the size, halved because it is counted on the radius"
    )


@pytest.mark.parametrize("name", ["", "k", "H7", "zz9", "k99"])
def test_nothing_is_suggested_for_what_is_no_class_of_shafts(name):
    assert suggest_form(Decimal(110), name) == ()


def test_a_grade_that_the_standard_does_not_give_is_left_out():
    texts = {one.tolerance for one in suggest_form(Decimal(50), "h1")}
    assert all(not text.startswith("IT-") for text in texts)
