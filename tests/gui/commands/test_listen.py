import argparse
import io
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import cycle
from pathlib import Path

import pytest

from seatproof.devices.declared.file import save_format
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.pressing import Pressing
from seatproof.devices.declared.text import TextLayout
from seatproof.devices.errors import FormatError, PortBusyError, PortMissingError, SourceError
from seatproof.devices.picking import Take
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.transport import LineSettings, Transport, open_transport
from seatproof.devices.wire_log import WireLog
from seatproof.gui.commands import listen
from seatproof.gui.commands.errors import CommandError

posix_only = pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal and signals")
PROGRAM = [sys.executable, "-m", "seatproof.gui.main"]

Command = Callable[..., int]


@pytest.fixture
def command() -> Command:
    parser = argparse.ArgumentParser(prog="seatproof")
    listen.add_parser(parser.add_subparsers(required=True))

    def call(*words: str) -> int:
        args = parser.parse_args(["listen", *words])
        status: int = args.run(args)
        return status

    return call


@pytest.fixture
def capture(tmp_path: Path) -> str:
    path = tmp_path / "capture.bin"
    path.write_bytes(b"01A+00024.350\r911\r-1.23 in\r\n12.5 \xb5m\r")
    return f"file:{path}"


def test_json_prints_one_document_a_frame_and_nothing_else(
    command: Command, capture: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command(capture, "--json") == 0
    documents = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    for document in documents:
        assert document.pop("t").endswith("+00:00")
    assert documents == [
        {
            "kind": "reading",
            "value": "24.350",
            "unit": None,
            "channel": "01A",
            "text": "01A+00024.350",
            "hex": "30 31 41 2b 30 30 30 32 34 2e 33 35 30 0d",
        },
        {
            "kind": "refused",
            "reason": documents[1]["reason"],
            "text": "911",
            "hex": "39 31 31 0d",
        },
        {
            "kind": "reading",
            "value": "-1.23",
            "unit": "in",
            "channel": None,
            "text": "-1.23 in",
            "hex": "2d 31 2e 32 33 20 69 6e 0d",
        },
        {
            "kind": "reading",
            "value": "12.5",
            "unit": "um",
            "channel": None,
            "doubts": ["differs"],
            "text": "12.5 µm",
            "hex": "31 32 2e 35 20 b5 6d 0d",
        },
    ]
    assert "whole number" in documents[1]["reason"]


def test_text_shows_value_unit_channel_and_reason(
    command: Command, capture: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command(capture) == 0
    first, second, third, fourth = capsys.readouterr().out.splitlines()
    assert first.split()[1:] == ["24.350", "01A", "01A+00024.350"]
    assert second.split()[1:3] == ["refused", "911"]
    assert "whole number" in second
    assert third.split()[1:] == ["-1.23", "in", "-1.23", "in"]
    assert "µm" in fourth


def test_count_ends_after_so_many_frames(
    command: Command, capture: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command(capture, "--count", "2") == 0
    assert len(capsys.readouterr().out.splitlines()) == 2


@pytest.mark.parametrize("count", ["0", "-1", "x", "1.5", "٣"])
def test_count_is_a_number_of_frames(
    command: Command, capture: str, count: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as caught:
        command(capture, "--count", count)
    assert caught.value.code == 2
    assert "--count" in capsys.readouterr().err


def test_source_that_cannot_be_opened_is_told_at_once(command: Command, tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="No such file"):
        command(f"file:{tmp_path / 'none'}")
    with pytest.raises(SourceError, match="socket://HOST:PORT"):
        command("http://host")
    with pytest.raises(PortMissingError):
        command("/dev/no-such-port")


@posix_only
def test_listening_waits_out_an_unplugging_and_ends_cleanly_with_ctrl_c(tmp_path: Path) -> None:
    with (
        SimulatedLine(link=tmp_path / "gauge") as line,
        subprocess.Popen(
            [*PROGRAM, "listen", line.source, "--json"],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        ) as process,
    ):
        assert process.stdout is not None
        assert process.stderr is not None
        assert "Connected" in process.stderr.readline()
        line.send(b"1.5\r")
        assert json.loads(process.stdout.readline())["value"] == "1.5"
        line.unplug()
        assert "is gone" in process.stderr.readline()
        line.replug()
        while "Connected" not in (told := process.stderr.readline()):
            assert "Trying again" in told
        line.send(b"2.5\r")
        assert json.loads(process.stdout.readline())["value"] == "2.5"
        process.send_signal(signal.SIGINT)
        rest, complaints = process.communicate(timeout=10)
        assert process.returncode == 0
        assert rest == complaints == ""


def in_json(
    command: Command, capsys: pytest.CaptureFixture[str], *words: str
) -> list[dict[str, str]]:
    assert command(*words, "--json") == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_format_and_unit_are_taken_by_name_and_from_a_file(
    command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "capture.bin"
    path.write_bytes(b"-\x00009891\r\x12+\x00--To--\r\x12")
    options = ("--format", "sign nul six digits", "--unit", "mm")
    first, second = in_json(command, capsys, f"file:{path}", *options)
    assert (first["value"], first["unit"]) == ("-9.891", "mm")
    assert "look at its display" in second["reason"]
    with pytest.raises(FormatError, match="no format is called so"):
        command(f"file:{path}", "--format", "guess")
    with pytest.raises(CommandError, match="--unit"):
        command(f"file:{path}", "--unit", "mm")


def test_timed_capture_shows_doubts_and_packets_their_button(
    command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = WireLog()
    log.add(0.0, "in", b"24.350\r")
    log.add(0.004, "in", b"24.350\r")
    log.save(tmp_path / "wire")
    first, second = in_json(command, capsys, f"file:{tmp_path / 'wire'}")
    assert "doubts" not in first
    assert second["doubts"] == ["repeated", "burst"]
    command(f"file:{tmp_path / 'wire'}")
    assert "(doubtful: the same value came twice" in capsys.readouterr().out
    (tmp_path / "packets").write_bytes(bytes.fromhex("aa 56 34 12 04"))
    (packet,) = in_json(
        command, capsys, f"file:{tmp_path / 'packets'}", "--format", "five bytes packed digits"
    )
    assert packet["confirmed"] is True


def test_several_gauges_are_named_by_their_inventory_numbers(
    command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "one=1").write_bytes(b"1.5\r")
    (tmp_path / "two").write_bytes(b"2.5\r")
    found = in_json(
        command, capsys, f"MIC-1=file:{tmp_path / 'one=1'}", f"IND 2=file:{tmp_path / 'two'}"
    )
    assert {(d["gauge"], d["value"]) for d in found} == {("MIC-1", "1.5"), ("IND 2", "2.5")}
    assert "gauge" not in in_json(command, capsys, f"file:{tmp_path / 'one=1'}")[0]
    with pytest.raises(CommandError, match="NUMBER=SOURCE"):
        command("COM5", "COM6")
    with pytest.raises(CommandError, match="twice"):
        command("A=COM5", "A=COM6")


def test_every_byte_is_saved_for_support(
    command: Command, capture: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    saved = tmp_path / "wire"
    live = in_json(command, capsys, capture, "--save-log", str(saved))
    again = in_json(command, capsys, f"file:{saved}")
    assert [document["hex"] for document in again] == [document["hex"] for document in live]


@posix_only
def test_log_is_saved_when_the_system_asks_the_program_to_end(tmp_path: Path) -> None:
    saved = tmp_path / "wire"
    with (
        SimulatedLine(link=tmp_path / "gauge") as line,
        subprocess.Popen(
            [*PROGRAM, "listen", line.source, "--save-log", str(saved)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        ) as process,
    ):
        assert process.stdout is not None
        assert process.stderr is not None
        assert "Connected" in process.stderr.readline()
        line.send(b"1.5\r")
        assert "1.5" in process.stdout.readline()
        process.terminate()
        process.communicate(timeout=10)
        assert process.returncode == 0
    assert '"in": "31' in saved.read_text("utf-8")


def test_typed_values_are_read_from_standard_input(
    command: Command, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("24.350\n24.35024.350\n-1.5\n"))
    found = in_json(command, capsys, "keyboard")
    assert [document.get("value") for document in found] == ["24.350", None, "-1.5"]


def test_options_that_do_not_fit_are_told(command: Command, capture: str) -> None:
    with pytest.raises(CommandError, match="--ask-every"):
        command(capture, "--ask-every", "1")
    with pytest.raises(CommandError, match="--line"):
        command(capture, "--line", "9600")
    for words in (["--window", "0"], ["--stable-within", "-1"], ["--take", "all"]):
        with pytest.raises(SystemExit):
            command(capture, *words)


@posix_only
def test_enter_asks_a_gauge_that_answers(tmp_path: Path) -> None:
    with (
        SimulatedLine(link=tmp_path / "gauge") as line,
        subprocess.Popen(
            [*PROGRAM, "listen", line.source, "--json", "--count", "1", "--request", r"1\r"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        ) as process,
    ):
        assert process.stdin is not None
        assert process.stderr is not None
        assert "Connected" in process.stderr.readline()
        process.stdin.write("\n")
        process.stdin.flush()
        assert line.receive(5.0) == b"1\r"
        line.send(b"01A+0000.1234\r")
        told, _ = process.communicate(timeout=10)
        assert json.loads(told)["value"] == "0.1234"


@posix_only
def test_enter_opens_a_window_that_gives_the_largest_value_of_a_stream(tmp_path: Path) -> None:
    options = ["--take", "maximum", "--window", "1", "--count", "1", "--json"]
    with (
        SimulatedLine(link=tmp_path / "gauge") as line,
        subprocess.Popen(
            [*PROGRAM, "listen", line.source, *options],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        ) as process,
    ):
        assert process.stdin is not None
        assert process.stderr is not None
        assert "Connected" in process.stderr.readline()
        process.stdin.write("\n")
        process.stdin.flush()
        turning = cycle(["24.351", "24.357", "24.350"])
        while process.poll() is None:
            line.send(f"+0{next(turning)}\r".encode())
            time.sleep(0.05)  # the pace of the gauge
        assert process.stdout is not None
        assert json.loads(process.stdout.read())["value"] == "24.357"
        process.communicate()


def test_program_says_one_sentence_and_exits_with_2(tmp_path: Path) -> None:
    done = subprocess.run(
        [*PROGRAM, "listen", f"file:{tmp_path / 'none'}"],
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "none cannot be used" in done.stderr


@posix_only
def test_busy_port_is_waited_for_and_told_once(tmp_path: Path) -> None:
    with SimulatedLine(link=tmp_path / "gauge") as line:
        other = open_transport(line.source, LineSettings())
        with subprocess.Popen(
            [*PROGRAM, "listen", line.source, "--json", "--count", "1"],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        ) as process:
            assert process.stderr is not None
            assert "is busy" in process.stderr.readline()
            other.close()
            assert "Connected" in process.stderr.readline()
            line.send(b"1.5\r")
            told, rest = process.communicate(timeout=10)
    assert json.loads(told)["value"] == "1.5"
    assert rest == ""


def test_port_that_stays_busy_is_given_up_after_a_while(
    command: Command, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def busy(source: str, settings: LineSettings) -> Transport:
        del settings
        raise PortBusyError(source, holder="modem (process 7)")

    monkeypatch.setattr(listen, "open_transport", busy)
    monkeypatch.setattr(listen, "_BUSY_S", 0.2)
    monkeypatch.setattr(listen, "_LOOK_UP_S", 0.05)
    with pytest.raises(PortBusyError, match=r"modem \(process 7\)"):
        command("COM10")
    assert capsys.readouterr().err.count("is busy") == 1


def test_format_says_how_a_stream_is_taken_unless_an_option_does(
    command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    form = GaugeFormat(name="stream", layout=TextLayout(), pressing=Pressing(take=Take.CONFIRMED))
    save_format(form, tmp_path / "stream.toml")
    (tmp_path / "bytes").write_bytes(b"1.5\r2.5\r")
    words = (f"file:{tmp_path / 'bytes'}", "--format", str(tmp_path / "stream.toml"), "--json")
    assert command(*words) == 0
    assert capsys.readouterr().out == "", "no value of it is marked as sent at a button"
    assert command(*words, "--take", "each") == 0
    assert capsys.readouterr().out.count('"reading"') == 2
