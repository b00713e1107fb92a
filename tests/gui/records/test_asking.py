"""From what is typed to a question."""

from datetime import date

import pytest

from seatproof.gui.records.asking import AskingError, Typed


def test_filters_combine_and_only_sealed_ones_are_asked_for():
    query = Typed(
        text=" kiln ",
        seat="A",
        verdict="conforms",
        opened_from="2026-03-01",
        opened_to="2026-03-31",
    ).query()
    assert (query.text, query.seat, query.verdict, query.sealed) == ("kiln", "A", "conforms", True)
    assert (query.opened_from, query.opened_to) == (date(2026, 3, 1), date(2026, 3, 31))


def test_filters_are_counted_without_the_words():
    assert Typed(text="kiln").filters == 0
    assert Typed(text="kiln", gauge="M-1", state="sealed", asset=" ").filters == 2


@pytest.mark.parametrize("day", ["31.3.2026", "2026-02-30", "soon"])
def test_a_day_that_is_none_is_explained(day):
    with pytest.raises(AskingError, match="2026-03-31"):
        Typed(opened_to=day).query()


def test_days_do_not_go_backwards():
    with pytest.raises(AskingError, match="backwards"):
        Typed(opened_from="2026-03-31", opened_to="2026-03-01").query()
