"""Several gauges at once, each by its inventory number, with a line and a thread of its own."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from seatproof.devices.arrival import Arrival
from seatproof.devices.errors import SourceError
from seatproof.devices.gauge import GaugeReader
from seatproof.devices.line_state import LineState


@dataclass(frozen=True, slots=True)
class FromGauge:
    """What a gauge of a group sent or what became of its line."""

    inventory_number: str
    content: Arrival | LineState


class GaugeGroup:
    """Starts and stops the readers of several gauges.

    Parameters
    ----------
    sources : mapping of str to str
        The source of each gauge by its inventory number.
    make_reader : callable
        Makes the reader of a source, with the two callbacks it is to call.
    on_news : callable
        Called with a `FromGauge`, from the threads of the readers; make it one that may be.

    Raises
    ------
    SourceError
        Two gauges have the same source: their values could not be told apart.
    """

    def __init__(
        self,
        sources: Mapping[str, str],
        make_reader: Callable[
            [str, Callable[[Arrival], None], Callable[[LineState], None]], GaugeReader
        ],
        *,
        on_news: Callable[[FromGauge], None],
    ) -> None:
        by_source: dict[str, str] = {}
        for number, source in sources.items():
            other = by_source.setdefault(source, number)
            if other != number:
                reason = f"the gauges {other} and {number} cannot both be on it."
                raise SourceError(source, reason)
        self.readers = {
            number: make_reader(source, _tagged(number, on_news), _tagged(number, on_news))
            for number, source in sources.items()
        }

    def start(self) -> None:
        for reader in self.readers.values():
            reader.start()

    def stop(self, timeout_s: float = 1.0) -> bool:
        """Stop all; return whether all ended within the time."""
        for reader in self.readers.values():
            reader.stop(0.0)  # all begin to stop before the first is waited for
        ended = [reader.stop(timeout_s) for reader in self.readers.values()]
        return all(ended)


def _tagged(
    number: str, on_news: Callable[[FromGauge], None]
) -> "Callable[[Arrival | LineState], None]":
    return lambda content: on_news(FromGauge(number, content))
