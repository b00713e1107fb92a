"""Telling a machine's typing from a person's by its pace."""

import pytest

from seatproof.gui.bench.typing import LEAST_CHARACTERS, PACE_S, PaceKeeper


def feed(keeper, text, gap_s, start_s=1.0):
    """Type characters; return the lines a machine typed, and what went by hand, in order."""
    lines, by_hand = [], []
    at_s = start_s
    for character in text:
        typed = keeper.feed(character, character, at_s, is_repeat=False)
        by_hand += typed.by_hand
        lines += [typed.line] if typed.line else []
        at_s += gap_s
    return lines, by_hand, at_s


def test_a_machines_line_is_one_line_and_no_key():
    keeper = PaceKeeper()
    lines, by_hand, _ = feed(keeper, "110.012\r", 0.002)
    assert lines == ["110.012\r"]
    assert by_hand == []
    assert not keeper.is_holding


def test_a_persons_characters_pass_by_in_order():
    keeper = PaceKeeper()
    lines, by_hand, _ = feed(keeper, "a wet shaft\r", 0.08)
    assert lines == []
    assert [*by_hand, *keeper.pause().by_hand] == list("a wet shaft\r")


@pytest.mark.parametrize("end", ["\r", "\n", "\t"])
def test_every_end_ends_a_line(end):
    lines, _, _ = feed(PaceKeeper(), f"12.345{end}", 0.01)
    assert lines == [f"12.345{end}"]


def test_two_fingers_at_once_are_no_machine():
    keeper = PaceKeeper()
    _, by_hand, _ = feed(keeper, "ab", 0.01)
    assert by_hand == []
    assert keeper.pause().by_hand == ("a", "b")


def test_a_line_without_an_end_is_not_let_into_a_field():
    keeper = PaceKeeper()
    feed(keeper, "110.012", 0.005)
    assert keeper.pause().line == "110.012"


def test_a_hand_that_was_typing_keeps_its_characters_when_the_gauge_cuts_in():
    keeper = PaceKeeper()
    _, by_hand, at_s = feed(keeper, "x", 0.0)
    lines, more, _ = feed(keeper, "110.012\r", 0.002, start_s=at_s + 2 * PACE_S)
    assert lines == ["110.012\r"]
    assert [*by_hand, *more] == ["x"]


def test_a_key_held_down_is_a_hand():
    keeper = PaceKeeper()
    kept = [keeper.feed("a", n, n * 0.03, is_repeat=n > 0) for n in range(12)]
    settled = [key for typed in kept for key in typed.by_hand]
    assert [*settled, *keeper.pause().by_hand] == list(range(12))
    assert all(not typed.line for typed in kept)


def test_a_return_alone_is_a_hand():
    typed = PaceKeeper().feed("\r", "return", 1.0, is_repeat=False)
    assert typed.by_hand == ("return",)


def test_the_least_line_is_longer_than_what_hands_do():
    short = "1" * (LEAST_CHARACTERS - 1) + "\r"
    lines, by_hand, _ = feed(PaceKeeper(), short, 0.001)
    assert lines == []
    assert by_hand == list(short)
