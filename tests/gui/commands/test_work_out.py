import argparse
import io
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from seatproof.devices.declared.file import load_format
from seatproof.devices.errors import PortMissingError
from seatproof.devices.formats import Reading
from seatproof.devices.framing import Frame
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.typed import TYPED_SETTINGS
from seatproof.devices.wire_log import WireLog
from seatproof.gui.commands import work_out
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.work_out import Interview

posix_only = pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
PROGRAM = [sys.executable, "-m", "seatproof.gui.main"]

PRESSES = [(b"-\x00012345\r\x12", "-12.345 mm"), (b"+\x00067890\r\x12", "67.890 mm"),
           (b"+\x00000012\r\x12", "0.012 mm")]  # fmt: skip


class Person:
    """Presses and types from a list, and remembers what was said."""

    def __init__(self, *presses: tuple[bytes, str]) -> None:
        self.raws = iter([raw for raw, _ in presses])
        self.typed = iter([typed for _, typed in presses])
        self.said: list[str] = []

    def interview(self) -> Interview:
        return Interview(
            lambda: next(self.raws, b""),
            ask=lambda _question: next(self.typed, None),
            say=self.said.append,
            name="mine",
        )


def test_interview_ends_when_the_format_is_settled() -> None:
    person = Person(*PRESSES, (b"never asked for", ""))
    found = person.interview().hold()
    assert found is not None
    assert found.is_settled
    assert next(person.raws) == b"never asked for"
    assert "All 3 presses are read" in person.said[-1]
    assert any("^^" in said for said in person.said)


def test_interview_asks_for_the_press_that_is_missing() -> None:
    person = Person((b"1.25\r", "1.25"), (b"12.50\r", "12.50"), (b"0.11\r", "0.11"), (b"", ""))
    found = person.interview().hold()
    assert found is not None
    assert found.format is not None
    assert "press once with a negative value" in person.said[-2]
    assert "Nothing came" in person.said[-1]


def test_interview_asks_again_for_a_display_that_is_no_number() -> None:
    person = Person(*PRESSES)
    person.typed = iter(["twelve", "-12.345", "67.890", "0.012"])
    found = person.interview().hold()
    assert found is not None
    assert found.is_settled
    assert any("as the display shows it" in said for said in person.said)


@pytest.mark.parametrize("last", [None, "q\n", "done"])
def test_person_may_end_the_interview(last: str | None) -> None:
    person = Person(*PRESSES)
    person.typed = iter([last])  # type: ignore[list-item]  # None is the end of the input
    assert person.interview().hold() is None


# --- the command ---------------------------------------------------------------------------------


@pytest.fixture
def command() -> Callable[..., int]:
    parser = argparse.ArgumentParser(prog="seatproof")
    work_out.add_parser(parser.add_subparsers(required=True))

    def call(*words: str) -> int:
        args = parser.parse_args(["work-out", *words])
        status: int = args.run(args)
        return status

    return call


@pytest.fixture
def line() -> Iterator[SimulatedLine]:
    with SimulatedLine(tcp=True) as line:
        yield line


def test_mistakes_in_the_options_are_told(
    command: Callable[..., int], line: SimulatedLine, tmp_path: Path
) -> None:
    with pytest.raises(CommandError, match="4800 7E2"):
        command(line.source, "--line", "fast")
    with pytest.raises(CommandError, match="without slashes"):
        command(line.source, "--name", "a/b")
    with pytest.raises(CommandError, match="--request"):
        command(line.source, "--request", "\\x0")
    with pytest.raises(PortMissingError):
        command("/dev/no-such-port")
    with pytest.raises(SystemExit):
        command(line.source, "-o", "gauge.txt")


def test_silent_gauge_is_told_and_nothing_is_written(
    command: Callable[..., int],
    line: SimulatedLine,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = tmp_path / "gauge.toml"
    assert command(line.source, "--wait", "0.05", "-o", str(out)) == 1
    assert "Nothing came" in capsys.readouterr().out
    assert not out.exists()
    with pytest.raises(CommandError, match="Nothing came"):
        command(line.source, "--wait", "0.05", "--search-line")


@posix_only
def test_format_worked_out_on_a_port_is_read_by_listening(tmp_path: Path) -> None:
    out = tmp_path / "gauge.toml"
    with (
        SimulatedLine(link=tmp_path / "port") as gauge,
        subprocess.Popen(
            [*PROGRAM, "work-out", gauge.source, "-o", str(out), "--line", "4800 8N1"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        ) as process,
    ):
        assert process.stdin is not None
        assert process.stdout is not None
        said = ""
        for raw, shown in PRESSES:
            while "press its button" not in (told := process.stdout.readline()):
                assert told, said
                said += told
            gauge.send(raw)
            process.stdin.write(f"{shown}\n")
            process.stdin.flush()
        rest, _ = process.communicate(timeout=20)
        said += rest
        assert process.returncode == 0, said
    assert "6 digits, of which the last 3 are decimals" in said
    form = load_format(out)
    assert form.line is not None
    assert str(form.line) == "4800 8N1"
    capture = tmp_path / "capture.bin"
    capture.write_bytes(b"-\x00009891\r\x12+\x00--To--\r\x12")
    done = subprocess.run(
        [*PROGRAM, "listen", f"file:{capture}", "--format", str(out), "--json"],
        capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    first, second = done.stdout.splitlines()
    assert '"value": "-9.891", "unit": "mm"' in first
    assert '"kind": "refused"' in second


def test_gauge_that_answers_is_asked_at_enter_and_its_request_is_kept(
    command: Callable[..., int],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    values = [("+12.345", b"+012.345\r"), ("-6.789", b"-006.789\r"), ("0.012", b"+000.012\r")]
    typed = "".join(f"\n{shown}\n" for shown, _ in values)
    monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
    out = tmp_path / "asked.toml"
    with SimulatedLine(tcp=True) as gauge:
        answers = iter(values)

        def answer() -> None:
            for _, raw in answers:
                assert gauge.receive(10.0) == b"1\r"
                gauge.send(raw)

        far_end = threading.Thread(target=answer)
        far_end.start()
        status = command(gauge.source, "--request", r"1\r", "--wait", "5", "-o", str(out))
        far_end.join()
    assert status == 0
    assert "press Enter to ask it" in capsys.readouterr().out
    form = load_format(out)
    assert form.request is not None
    assert form.request.octets == b"1\r"


def test_line_is_searched_press_by_press(
    command: Callable[..., int],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    with SimulatedLine(tcp=True) as gauge:  # no pseudo-terminal takes seven bits
        stop = threading.Event()

        def press_again_and_again() -> None:
            # With 7 data bits and even parity at this speed, the eighth bit is the parity's.
            while not stop.wait(0.9):
                gauge.send(bytes(b | 0x80 if b.bit_count() % 2 else b for b in b"+066.22\r"))

        presses = threading.Thread(target=press_again_and_again)
        presses.start()
        try:
            status = command(
                gauge.source, "--search-line", "--wait", "3", "-o", str(tmp_path / "x.toml")
            )
        finally:
            stop.set()
            presses.join()
    assert status == 1  # nobody typed a display
    assert "The line is 9600 7E1." in capsys.readouterr().out


def test_gauge_that_types_is_worked_out_from_typed_lines(
    command: Callable[..., int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "typed.toml"
    lines = ["+24.35", "24.35", "-01.23", "-1.23", "+00.67", "0.67", ""]
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join(lines)))
    assert command("keyboard", "-o", str(out)) == 0
    form = load_format(out)
    assert form.line == TYPED_SETTINGS
    assert isinstance(form.read(Frame(b"-12.34", b"-12.34\r")), Reading)
    with pytest.raises(CommandError, match="no line to search"):
        command("keyboard", "--search-line")


def test_presses_of_a_saved_log_are_told_apart_by_their_times(
    command: Callable[..., int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = WireLog()
    for n, (raw, _) in enumerate(PRESSES):
        log.add(10.0 * n, "in", raw)
    log.save(tmp_path / "wire")
    out = tmp_path / "logged.toml"
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join(shown for _, shown in PRESSES)))
    assert command(f"file:{tmp_path / 'wire'}", "-o", str(out)) == 0
    assert load_format(out).unit == "mm"


def test_capture_that_ends_too_soon_is_told(
    command: Callable[..., int],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    (tmp_path / "raw").write_bytes(b"1.5\r")
    monkeypatch.setattr(sys, "stdin", io.StringIO("1.5\n"))
    assert command(f"file:{tmp_path / 'raw'}", "-o", str(tmp_path / "f.toml")) == 1
    assert "Nothing came" in capsys.readouterr().out
    with pytest.raises(SystemExit):
        command(f"file:{tmp_path / 'raw'}", "--wait", "nan")
