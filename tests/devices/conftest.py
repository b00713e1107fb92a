import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from seatproof.devices.formats import Reading, Refusal
from seatproof.devices.gauge import Arrival, GaugeReader, LineKind, LineState

WAIT_S = 5.0


@pytest.fixture(autouse=True)
def no_thread_left() -> Iterator[None]:
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


class Journal:
    """Writes down what a reader tells, and waits for it with a limit."""

    def __init__(self) -> None:
        self.arrivals: list[Arrival] = []
        self.states: list[LineState] = []
        self._news = threading.Condition()

    def on_arrival(self, arrival: Arrival) -> None:
        with self._news:
            self.arrivals.append(arrival)
            self._news.notify_all()

    def on_line(self, state: LineState) -> None:
        with self._news:
            self.states.append(state)
            self._news.notify_all()

    def wait_for(self, holds: Callable[["Journal"], bool]) -> None:
        with self._news:
            assert self._news.wait_for(lambda: holds(self), WAIT_S), (self.states, self.arrivals)

    def wait_for_kind(self, kind: LineKind, times: int = 1) -> None:
        self.wait_for(lambda journal: journal.kinds.count(kind) >= times)

    def wait_for_arrivals(self, count: int) -> None:
        self.wait_for(lambda journal: len(journal.arrivals) >= count)

    @property
    def kinds(self) -> list[LineKind]:
        return [state.kind for state in self.states]

    @property
    def values(self) -> list[str | None]:
        """The value of each arrival as exact text; None for a refusal."""
        return [
            str(a.content.value) if isinstance(a.content, Reading) else None for a in self.arrivals
        ]

    @property
    def reasons(self) -> list[str]:
        return [a.content.reason for a in self.arrivals if isinstance(a.content, Refusal)]


@pytest.fixture
def journal() -> Journal:
    return Journal()


@pytest.fixture
def started() -> Iterator[Callable[[GaugeReader], GaugeReader]]:
    """Start readers; stop each of them at the end of the test, within the time promised."""
    readers: list[GaugeReader] = []

    def start(reader: GaugeReader) -> GaugeReader:
        readers.append(reader)
        reader.start()
        return reader

    yield start
    stopped = [reader.stop(1.0) for reader in readers]
    assert all(stopped)


@pytest.fixture
def open_descriptors() -> Callable[[], int]:
    """Count this process's open descriptors, where the system shows them."""
    folder = Path("/proc/self/fd")
    if not folder.exists():
        pytest.skip("this system does not list a process's descriptors")
    return lambda: len(list(folder.iterdir()))
