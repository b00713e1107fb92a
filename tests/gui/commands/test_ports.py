import argparse
import json
from collections.abc import Callable

import pytest

from seatproof.devices.discovery import PortFound
from seatproof.gui.commands import ports

PORTS = (
    PortFound("COM3", "adapter one", 0x1234, 0x0001, None, "1-3"),
    PortFound("COM5", "adapter two", 0x1234, 0xABCD, "A1B2", "1-2"),
)


@pytest.fixture
def command() -> Callable[..., int]:
    parser = argparse.ArgumentParser(prog="seatproof")
    ports.add_parser(parser.add_subparsers(required=True))

    def call(*words: str) -> int:
        args = parser.parse_args(["ports", *words])
        status: int = args.run(args)
        return status

    return call


def test_ports_are_listed_with_what_they_seem_to_be(
    command: Callable[..., int],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(ports, "find_ports", lambda: PORTS)
    monkeypatch.setattr(ports, "who_holds", {"COM5": "cat (process 7)"}.get)
    assert command() == 0
    shown = capsys.readouterr().out
    assert "COM3: adapter one\n    a USB adapter without a serial number" in shown
    assert "found again as usb:1234:abcd:A1B2\n    in use by cat (process 7)" in shown
    assert command("--json") == 0
    documents = json.loads(capsys.readouterr().out)
    assert [document["port"] for document in documents] == ["COM3", "COM5"]
    assert documents[1]["vendor"] == "1234"
    assert documents[1]["source"] == "usb:1234:abcd:A1B2"
    assert documents[1]["held_by"] == "cat (process 7)"


def test_no_port_says_what_to_do(
    command: Callable[..., int],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(ports, "find_ports", lambda: ())
    assert command() == 0
    assert "Plug the gauge's cable in" in capsys.readouterr().out
    assert command("--json") == 0
    assert json.loads(capsys.readouterr().out) == []
