import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from seatproof.devices.errors import SimulationError
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.transport import LineSettings, open_transport

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")


@posix_only
def test_link_keeps_its_name_over_replugging_and_goes_at_the_end(tmp_path: Path) -> None:
    link = tmp_path / "gauge"
    with SimulatedLine(link=link) as line:
        assert line.source == str(link)
        assert link.is_symlink()
        line.unplug()
        line.unplug()
        assert not line.is_plugged
        assert not link.is_symlink()
        line.replug()
        line.replug()
        assert line.is_plugged
        assert link.is_symlink()
        open_transport(line.source, LineSettings()).close()
    assert not link.is_symlink()
    line.close()


@posix_only
def test_link_of_an_earlier_run_is_taken_over(tmp_path: Path) -> None:
    link = tmp_path / "gauge"
    link.symlink_to("/dev/no-such-port")
    with SimulatedLine(link=link) as line:
        open_transport(line.source, LineSettings()).close()


@posix_only
def test_link_that_became_anothers_is_left_alone(tmp_path: Path) -> None:
    link = tmp_path / "gauge"
    with SimulatedLine(link=link):
        link.unlink()
        link.symlink_to("/dev/no-such-port")
    assert str(link.readlink()) == "/dev/no-such-port"


@posix_only
def test_link_never_replaces_a_file(tmp_path: Path, open_descriptors: Callable[[], int]) -> None:
    link = tmp_path / "gauge"
    link.write_text("mine", encoding="utf-8")
    before = open_descriptors()
    with pytest.raises(SimulationError, match="a file of this name exists"):
        SimulatedLine(link=link)
    assert link.read_text(encoding="utf-8") == "mine"
    with pytest.raises(SimulationError, match="No such file"):
        SimulatedLine(link=tmp_path / "none" / "gauge")
    assert open_descriptors() == before


def test_network_line_takes_no_link(tmp_path: Path) -> None:
    with pytest.raises(SimulationError, match="leave the link out"):
        SimulatedLine(link=tmp_path / "gauge", tcp=True)


def test_network_line_keeps_its_port_over_replugging() -> None:
    with SimulatedLine(tcp=True) as line:
        source = line.source
        line.unplug()
        line.replug()
        assert line.source == source
        open_transport(source, LineSettings()).close()


def test_network_line_without_a_listener_takes_nothing() -> None:
    with SimulatedLine(tcp=True) as line:
        assert not line.send(b"1.5\r")
        transport = open_transport(line.source, LineSettings())
        assert line.send(b"1.5\r")
        assert transport.read(5.0).startswith(b"1")
        transport.close()


def test_network_line_survives_a_listener_that_goes() -> None:
    with SimulatedLine(tcp=True) as line:
        first = open_transport(line.source, LineSettings())
        assert line.send(b"1.5\r")
        first.close()
        second = open_transport(line.source, LineSettings())
        for _ in range(5):
            assert line.send(b"2.5\r")
        assert second.read(5.0).startswith(b"2")
        second.close()


@posix_only
def test_line_that_nobody_reads_loses_bytes_and_does_not_block() -> None:
    with SimulatedLine(tcp=False) as line:
        took_all = [line.send(b"01A+00110.012\r" * 100) for _ in range(100)]
        assert took_all[0]
        assert not took_all[-1]


@posix_only
def test_line_is_raw_before_anybody_sets_it() -> None:
    with SimulatedLine(tcp=False) as line:
        line.send(b"1.5\r")
        fd = os.open(line.source, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
        assert os.read(fd, 10) == b"1.5\r"
        os.write(fd, b"1\r")
        with pytest.raises(BlockingIOError):
            os.read(fd, 10)
        os.close(fd)


@pytest.mark.parametrize("tcp", [pytest.param(False, marks=posix_only), True])
def test_lines_leave_no_descriptor(tcp: bool, open_descriptors: Callable[[], int]) -> None:
    before = open_descriptors()
    for _ in range(20):
        with SimulatedLine(tcp=tcp) as line:
            line.unplug()
            line.replug()
    assert open_descriptors() == before
