"""An inspection against earlier ones of the same seat."""

from collections.abc import Callable

from seatproof.core.comparison.trend import Trend
from seatproof.gui.review.opened import Opened, earlier_sentences
from seatproof.gui.review.plot_tab import PlotTab
from seatproof.gui.review.plots import PlaceOf
from seatproof.gui.shared.figure import Figure
from seatproof.gui.shared.saying import say, wording
from seatproof.gui.shared.theme import Theme
from seatproof.gui.shared.trend_figure import TrendFigure

_NONE = wording(
    "Nothing to compare with: the record names neither machine nor shaft, or no inspection of the "
    "seat is in the archive."
)


class EarlierTab(PlotTab):
    """Shows a seat's trend, and in words what changed; `trend` reads it from the archive."""

    def __init__(
        self, theme: Theme, place: PlaceOf, trend: Callable[[Opened, str], Trend | None]
    ) -> None:
        self._opened: Opened | None = None
        self._trend = trend
        super().__init__(theme, self._figure, place)
        self.words.show()

    def show_opened(self, opened: Opened) -> None:
        self._opened = opened
        self.show_seats(
            tuple(
                (result.seat.id, say("seat {seat}", seat=result.seat.id))
                for result in opened.seats
                if result.seat.has_size
            )
        )

    def _figure(self, seat_id: str) -> Figure | None:
        if self._opened is None:
            return None
        trend = self._trend(self._opened, seat_id)
        if trend is None:
            self.words.setText(say(_NONE))
            return None
        seat = say("Seat {seat}", seat=seat_id)
        self.words.setText(f"{seat}: {' '.join(earlier_sentences(trend))}")
        heading = self._opened.heading(seat_id)
        figure = TrendFigure(trend, say("Over the years · {seat}", seat=heading))
        figure.file_name = f"Over the years {seat_id}"
        return figure
