from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar

import pytest
from serial.tools import list_ports
from serial.tools.list_ports_common import ListPortInfo

from seatproof.devices.discovery import PortFound, find_ports, lasting_source_of, port_of
from seatproof.devices.errors import AlikeError, PortMissingError, SourceError
from seatproof.devices.gauge import GaugeReader
from seatproof.devices.group import FromGauge, GaugeGroup
from seatproof.devices.line_state import LineKind
from seatproof.devices.simulated.line import HAS_PTY, SimulatedLine
from seatproof.devices.transport import LineSettings, open_transport
from seatproof.devices.typed import TypedLine

KNOWN = PortFound("COM5", "adapter", 0x1234, 0xABCD, "A1B2", "1-2")
PLAIN = PortFound("COM3", "adapter", 0x1234, 0x0001, None, "1-3")
TWIN = PortFound("COM12", "adapter", 0x1234, 0x0001, None, "1-4")
BUILT_IN = PortFound("COM1", "communications port")


def listed(port: PortFound) -> ListPortInfo:
    info = ListPortInfo(port.name)
    info.description = port.description
    info.vid, info.pid = port.vendor, port.product
    info.serial_number, info.location = port.serial_number, port.socket
    return info


@pytest.fixture
def plugged(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    def plug(*ports: PortFound) -> None:
        monkeypatch.setattr(list_ports, "comports", lambda: [listed(port) for port in ports])

    return plug


def test_ports_are_in_natural_order_with_what_the_system_knows(
    plugged: Callable[..., None],
) -> None:
    plugged(TWIN, KNOWN, PortFound("ttyS9", "n/a"), BUILT_IN, PLAIN)
    assert find_ports() == (BUILT_IN, PLAIN, KNOWN, TWIN)


def test_lasting_source_names_the_adapter_and_not_the_port() -> None:
    assert KNOWN.lasting_source == "usb:1234:abcd:A1B2"
    assert PLAIN.lasting_source == "usb:1234:0001@1-3"
    assert BUILT_IN.lasting_source == "COM1"
    for port in (KNOWN, PLAIN):
        assert port_of(port.lasting_source, (BUILT_IN, KNOWN, PLAIN, TWIN)) == port.name


def test_adapter_is_found_again_under_another_port_name_and_in_another_socket() -> None:
    moved = PortFound("COM9", "adapter", 0x1234, 0xABCD, "A1B2", "1-7")
    assert port_of("usb:1234:ABCD:A1B2", (moved, PLAIN)) == "COM9"
    renumbered = PortFound("COM9", "adapter", 0x1234, 0x0001, None, "1-3")
    assert port_of("usb:1234:0001@1-3", (renumbered, TWIN)) == "COM9"


def test_two_alike_are_asked_about_by_name() -> None:
    with pytest.raises(AlikeError) as caught:
        port_of("usb:1234:0001", (PLAIN, TWIN))
    assert caught.value.candidates == ("COM3", "COM12")
    assert "COM3 and COM12 look alike" in str(caught.value)


def test_one_without_a_serial_number_in_another_socket_is_asked_about() -> None:
    with pytest.raises(AlikeError, match=r"COM12 looks like .* may be another gauge's"):
        port_of("usb:1234:0001@1-3", (TWIN,))


@pytest.mark.parametrize("source", ["usb:1234:abcd:ZZZ", "usb:9999:0001", "usb:9999:0001@1-3"])
def test_adapter_that_is_not_there_is_missing(source: str) -> None:
    with pytest.raises(PortMissingError):
        port_of(source, (KNOWN, PLAIN))


@pytest.mark.parametrize("source", ["usb:", "usb:12:34", "usb:xxxx:0001", "usb:1234:0001:a b"])
def test_adapter_that_is_wrongly_written_is_told(source: str) -> None:
    with pytest.raises(SourceError, match="seatproof ports"):
        port_of(source, ())


def test_what_a_port_seems_to_be_names_its_twin() -> None:
    ports = (BUILT_IN, PLAIN, KNOWN, TWIN)
    assert BUILT_IN.seems(ports) == "a built-in port"
    assert KNOWN.seems(ports) == "a USB adapter"
    assert "just like the one at COM12" in PLAIN.seems(ports)
    assert "without a serial number" in PLAIN.seems(ports)


def test_lasting_source_of_a_port_is_that_of_its_adapter(plugged: Callable[..., None]) -> None:
    plugged(BUILT_IN, PLAIN, KNOWN, TWIN)
    assert lasting_source_of("COM5") == "usb:1234:abcd:A1B2"
    assert lasting_source_of("COM3") == "usb:1234:0001@1-3"
    assert lasting_source_of("COM1") is None, "a built-in port has nothing but its name"
    assert lasting_source_of("COM99") is None
    cloned = PortFound("COM6", "adapter", 0x1234, 0xABCD, "A1B2", "1-7")
    plugged(KNOWN, cloned)
    assert lasting_source_of("COM5") == "usb:1234:abcd:A1B2@1-2", "the socket tells the clones"
    plugged(replace(PLAIN, socket=None), replace(TWIN, socket=None))
    assert lasting_source_of("COM3") is None, "nothing tells them apart"


@pytest.mark.skipif(not HAS_PTY, reason="needs a pseudo-terminal")
@pytest.mark.parametrize("is_named", [True, False], ids=["by its ids", "by its first port"])
def test_reader_follows_an_adapter_to_its_new_port_name(
    is_named: bool,
    journal: Any,
    started: Callable[[GaugeReader], GaugeReader],
    plugged: Callable[..., None],
    tmp_path: Path,
) -> None:
    def adapter_at(name: str) -> PortFound:
        return PortFound(name, "adapter", 0x1234, 0xABCD, "A1B2", "1-2")

    # By links, that are gone with their lines: the system gives a terminal's name to the next who
    # asks, and a reader that tries again would open it.
    with (
        SimulatedLine(link=tmp_path / "first") as first,
        SimulatedLine(link=tmp_path / "second") as second,
    ):
        plugged(adapter_at(first.source))
        started(
            GaugeReader(
                "usb:1234:abcd:A1B2" if is_named else first.source,
                LineSettings(settle_s=0.05),
                on_arrival=journal.on_arrival,
                on_line=journal.on_line,
                retry_after_s=(0.01,),
            )
        )
        journal.wait_for_kind(LineKind.CONNECTED)
        assert any(first.source in state.sentence for state in journal.states)
        first.send(b"1.5\r")
        journal.wait_for_arrivals(1)
        plugged(adapter_at(second.source))
        first.unplug()
        connected = f"Connected: port {second.source} "
        journal.wait_for(lambda j: any(s.sentence.startswith(connected) for s in j.states))
        second.send(b"2.5\r")
        journal.wait_for_arrivals(2)
    assert journal.values == ["1.5", "2.5"]


def test_another_adapter_under_the_old_port_name_is_not_taken_for_the_gauge(
    journal: Any, started: Callable[[GaugeReader], GaugeReader], plugged: Callable[..., None]
) -> None:
    plugged(PLAIN)
    opened: list[str] = []

    def open_line(source: str, settings: LineSettings) -> TypedLine:
        del settings
        name = port_of(source, find_ports()) if source.startswith("usb:") else source
        opened.append(name)
        line = Named(name)
        line.feed("1.5\n")
        return line

    reader = started(
        GaugeReader(
            "COM3",
            LineSettings(settle_s=0.0),
            on_arrival=journal.on_arrival,
            on_line=journal.on_line,
            retry_after_s=(0.01,),
            open_line=open_line,
        )
    )
    journal.wait_for_arrivals(1)
    # The gauge goes, and a twin of its adapter comes in another socket and gets the name.
    plugged(replace(TWIN, name="COM3"))
    Named.made[-1].close()
    journal.wait_for(lambda j: any("may be another gauge's" in s.sentence for s in j.states))
    assert opened == ["COM3"]
    plugged(replace(TWIN, name="COM3"), replace(PLAIN, name="COM9"))
    journal.wait_for_arrivals(2)
    assert opened == ["COM3", "COM9"]
    assert reader.stop(5.0)


class Named(TypedLine):
    """A line with the name of a port, fed by hand."""

    made: ClassVar[list["Named"]] = []

    def __init__(self, name: str) -> None:
        super().__init__()
        self.port_name = name  # type: ignore[misc]  # a typed line has none
        self.made.append(self)


def test_opening_one_of_two_alike_is_refused(plugged: Callable[..., None]) -> None:
    plugged(PLAIN, TWIN)
    with pytest.raises(AlikeError):
        open_transport("usb:1234:0001", LineSettings())


# --- several gauges ------------------------------------------------------------------------------


def test_two_gauges_are_never_mixed(journal: Any) -> None:
    news: list[FromGauge] = []

    def make_reader(source: str, on_arrival: Any, on_line: Any) -> GaugeReader:
        def both(content: Any, then: Any, note: Any) -> None:
            then(content)
            note(content)

        return GaugeReader(
            source,
            LineSettings(settle_s=0.05),
            on_arrival=lambda arrival: both(arrival, on_arrival, journal.on_arrival),
            on_line=lambda state: both(state, on_line, journal.on_line),
        )

    with SimulatedLine(tcp=True) as first, SimulatedLine(tcp=True) as second:
        sources = {"MIC-1": first.source, "IND-2": second.source}
        group = GaugeGroup(sources, make_reader, on_news=news.append)
        group.start()
        try:
            journal.wait_for_kind(LineKind.CONNECTED, 2)
            for n in range(5):
                first.send(f"1.{n}\r".encode())
                second.send(f"2.{n}\r".encode())
            journal.wait_for_arrivals(10)
        finally:
            assert group.stop()
    got = [
        (n.inventory_number, n.content.content.text) for n in news if hasattr(n.content, "content")
    ]
    assert sorted(got) == [("IND-2", f"2.{n}") for n in range(5)] + [
        ("MIC-1", f"1.{n}") for n in range(5)
    ]


def test_two_gauges_on_one_source_are_refused() -> None:
    with pytest.raises(SourceError, match="MIC-1 and IND-2 cannot both"):
        GaugeGroup(
            {"MIC-1": "COM5", "IND-2": "COM5"},
            lambda *_: pytest.fail("no reader is made"),
            on_news=lambda _: None,
        )
