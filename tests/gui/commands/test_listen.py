import argparse
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from seatproof.devices.errors import PortMissingError, SourceError
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.gui.commands import listen

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
