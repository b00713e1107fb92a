"""Working out a format with a person's answers, over a line that sends what it is told."""

import re
import time

from seatproof.core.units import Unit
from seatproof.devices.transport import LineSettings
from seatproof.gui.gauges.working_out import Step, WorkingOut
from seatproof.gui.shared.saying import use_language

PATIENCE_S = 10.0


class ToldLine:
    """A line that gives what is put into it; `speed` is the only one at which it is readable."""

    def __init__(self, speed=9600):
        self.speed = speed
        self.settings = None
        self.waiting = []
        self.skipped_s = 0.0

    def open(self, source, settings):
        self.settings = settings
        return self

    def read(self, timeout_s):
        if not self.waiting:
            time.sleep(min(timeout_s, 0.01))
            return b""
        data = self.waiting.pop(0)
        right = self.settings.speed == self.speed
        return data if right else bytes(byte ^ 0xD5 for byte in data)

    def write(self, data):
        raise AssertionError("nothing is asked here")

    def close(self):
        pass


def until(holds):
    deadline = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < deadline, "waited in vain"
        time.sleep(0.01)


def hold(work, line, presses):
    for sent, shown in presses:
        line.waiting.append(sent)
        until(work.poll)
        if work.step is Step.SHOWN:
            work.shown(shown)


def test_three_presses_settle_a_format():
    line = ToldLine()
    work = WorkingOut("COM3", LineSettings(), "M-07", line.open)
    assert work.wish.startswith("Show a large value")
    hold(work, line, [(b"+110.016\r", "110.016 mm"), (b"-000.012\r", "-0.012"),
                      (b"+003.500\r", "3.500")])  # fmt: skip
    try:
        assert work.step is Step.DONE
        assert work.form.name == "M-07"
        assert work.form.unit is Unit.MM
        assert work.form.line == LineSettings()
        assert "31 31 30" in work.explained()
    finally:
        work.stop()


def test_a_display_that_cannot_be_read_is_asked_for_again():
    line = ToldLine()
    work = WorkingOut("COM3", LineSettings(), "M-07", line.open)
    try:
        line.waiting.append(b"+110.016\r")
        until(work.poll)
        work.shown("about 110")
        assert work.step is Step.SHOWN
        assert "all its decimals" in work.trouble
        work.not_this_one()
        assert work.step is Step.PRESS
        assert work.presses == ()
    finally:
        work.stop()


def test_the_speed_is_found_first():
    line = ToldLine(speed=4800)
    work = WorkingOut("COM3", None, "M-07", line.open)
    try:
        assert "Trying 9600" in work.wish
        line.waiting.append(b"+110.016\r")
        until(work.poll)
        assert "Trying 4800" in work.wish
        line.waiting.append(b"+110.016\r")
        until(work.poll)
        assert work.settings.speed == 4800
        assert work.wish.startswith("Show a large value")
    finally:
        work.stop()


def test_a_line_that_cannot_be_opened_says_so(tmp_path):
    work = WorkingOut(str(tmp_path / "no port"), LineSettings(), "M-07")
    until(work.poll)
    assert work.step is Step.STOPPED
    assert "no port" in work.wish
    work.stop()


def test_it_is_all_said_in_the_language_of_the_window():
    use_language("de")
    line = ToldLine()
    work = WorkingOut("COM3", LineSettings(), "M-07", line.open)
    try:
        assert work.wish.startswith("Einen großen Wert")
        hold(work, line, [(b"+110.016\r", "110,016 mm"), (b"-000.012\r", "-0,012"),
                          (b"+003.500\r", "3,500")])  # fmt: skip
        assert work.step is Step.DONE
        explained = work.explained()
        assert "Ein Telegramm endet bei CR" in explained
        assert "Ein Vorzeichen, " in explained
        assert "Ziffern mit Dezimalpunkt" in explained
        assert re.search(r"\^ +Vorzeichen$", explained, re.MULTILINE)
    finally:
        work.stop()
