"""What is wrong with the gauges' lines, and when it is said."""

from seatproof.devices.line_state import LineKind, LineState, Symptom
from seatproof.gui.bench.line_board import LineBoard

UP = LineState(LineKind.CONNECTED, "Connected.", "p")
SILENT = LineState(LineKind.CONNECTED, "Nothing has come.", "p", symptom=Symptom.SILENCE)
FLOOD = LineState(LineKind.CONNECTED, "Bytes without end.", "p", symptom=Symptom.FLOOD)
LOST = LineState(LineKind.LOST, "It is gone.", "p")


class Board(LineBoard):
    def __init__(self):
        self.waited_s = 0.0
        super().__init__(lambda: self.waited_s)


def test_silence_is_said_once_a_press_was_awaited_for_as_long():
    board = Board()
    board.take("M", UP)
    board.take("M", SILENT)
    assert board.trouble == ()
    assert board.shown == {"M": UP}
    board.waited_s = 20.0
    assert board.trouble == ("M: Nothing has come.",)
    board.take("M", UP)  # something came
    assert board.trouble == ()


def test_other_symptoms_and_losses_are_said_at_once():
    board = Board()
    board.take("M", FLOOD)
    assert board.trouble == ("M: Bytes without end.",)
    board.take("M", LOST)
    assert board.trouble == ("M: It is gone. Everything logged is kept.",)


def test_a_gauge_is_gone_when_it_was_there_or_never_came():
    board = Board()
    assert board.take("M", LOST)
    assert not board.take("M", LOST)
    board.take("M", UP)
    assert board.take("M", LOST)
