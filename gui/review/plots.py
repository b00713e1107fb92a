"""The tabs of plots of an opened inspection: form, undulations, along, unrolled, earlier."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QCheckBox, QComboBox, QPushButton

from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.plots.form import form_plot, has_profiles
from seatproof.core.plots.taper import taper_plot
from seatproof.core.plots.undulations import station_spectra
from seatproof.core.plots.unrolled import unrolled_map
from seatproof.gui.review.figures.form import FormFigure
from seatproof.gui.review.figures.taper import TaperFigure
from seatproof.gui.review.figures.undulations import UndulationFigure
from seatproof.gui.review.figures.unrolled import MapFigure
from seatproof.gui.review.opened import Opened
from seatproof.gui.review.plot_tab import PlotTab
from seatproof.gui.shared.figure import Figure
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.theme import Theme

PlaceOf = Callable[[Figure], tuple[Path, str]]

_CIRCLES: Final = (
    (ReferenceCircle.LSC, wording("LSC least squares")),
    (ReferenceCircle.MZC, wording("MZC minimum zone")),
    (ReferenceCircle.MCC, wording("MCC circumscribed")),
    (ReferenceCircle.MIC, wording("MIC inscribed")),
)


class FormTab(PlotTab):
    """The polar form plot with the choice of circle, station and magnification."""

    def __init__(self, theme: Theme, place: PlaceOf) -> None:
        self._opened: Opened | None = None
        self._times: int | None = None
        self._shown_times = 1
        self.circle, self.station = QComboBox(), QComboBox()
        self.circle.setAccessibleName(say("Reference circle"))
        self.station.setAccessibleName(say("Station"))
        for circle, word in _CIRCLES:
            self.circle.addItem(say(word), circle)
        self.more, self.less = QPushButton("× 2"), QPushButton("÷ 2")
        self.more.setToolTip(say("magnify departures twice as much"))
        self.less.setToolTip(say("magnify departures half as much"))
        super().__init__(
            theme, self._figure, place, (self.circle, self.station, self.more, self.less)
        )
        self.circle.currentIndexChanged.connect(lambda _: self.refresh(keep_zoom=True))
        self.station.currentIndexChanged.connect(lambda _: self.refresh(keep_zoom=True))
        self.more.clicked.connect(lambda: self._magnify(2.0))
        self.less.clicked.connect(lambda: self._magnify(0.5))

    def show_opened(self, opened: Opened) -> None:
        self._opened, self._times = opened, None
        most = max((len(result.seat.stations_mm) for result in opened.seats), default=0)
        self.station.blockSignals(True)
        self.station.clear()
        self.station.addItem(say("all stations"), None)
        for number in range(1, most + 1):
            self.station.addItem(say("station {station}", station=str(number)), number)
        self.station.blockSignals(False)
        self.show_seats(_with_form(opened))

    def _magnify(self, factor: float) -> None:
        self._times = max(1, round(self._shown_times * factor))
        self.refresh(keep_zoom=True)

    def refresh(self, *, keep_zoom: bool = False) -> None:
        """Offer the circles only where a seat that is shown has profiles, then show it."""
        shown = [box.currentData() for box in (self.seat, self.beside) if box.currentData()]
        self.circle.setVisible(
            self._opened is not None
            and any(has_profiles(self._opened.evaluation.seat(seat_id)) for seat_id in shown)
        )
        super().refresh(keep_zoom=keep_zoom)

    def _figure(self, seat_id: str) -> Figure | None:
        if self._opened is None:
            return None
        plot = form_plot(
            self._opened.evaluation.seat(seat_id),
            self.circle.currentData(),
            self.station.currentData(),
            self._times,
        )
        self._shown_times = plot.magnification
        title = say("Form · {seat}", seat=self._opened.heading(seat_id))
        figure = FormFigure(plot, title, self._opened.datum)
        figure.file_name = f"Form {seat_id}"
        return figure


class UndulationTab(PlotTab):
    """The undulation spectrum of one station."""

    def __init__(self, theme: Theme, place: PlaceOf) -> None:
        self._opened: Opened | None = None
        self.station = QComboBox()
        self.station.setAccessibleName(say("Station"))
        super().__init__(theme, self._figure, place, (self.station,))
        self.station.currentIndexChanged.connect(lambda _: self.refresh())

    def show_opened(self, opened: Opened) -> None:
        self._opened = opened
        most = max((len(result.seat.stations_mm) for result in opened.seats), default=0)
        self.station.blockSignals(True)
        self.station.clear()
        for number in range(1, most + 1):
            self.station.addItem(say("station {station}", station=str(number)), number)
        self.station.blockSignals(False)
        self.show_seats(_with_form(opened))

    def _figure(self, seat_id: str) -> Figure | None:
        if self._opened is None:
            return None
        station = self.station.currentData() or 1
        found = station_spectra(self._opened.evaluation.seat(seat_id))
        spectrum = next((one for one in found if one.station == station), None)
        if spectrum is None:
            return None
        title = say(
            "Undulations · {seat} · {station}",
            seat=self._opened.heading(seat_id),
            station=again(spectrum.label),
        )
        figure = UndulationFigure(spectrum, title, self._opened.state.plan.unit)
        figure.file_name = f"Undulations {seat_id} {spectrum.label}"
        return figure


class TaperTab(PlotTab):
    """The diameters along the seat, with or without generatrices."""

    def __init__(self, theme: Theme, place: PlaceOf) -> None:
        self._opened: Opened | None = None
        self.generatrices = QCheckBox(say("generatrix by orientation"))
        self.generatrices.setChecked(True)
        super().__init__(theme, self._figure, place, (self.generatrices,))
        self.generatrices.toggled.connect(lambda _: self.refresh(keep_zoom=True))

    def show_opened(self, opened: Opened) -> None:
        self._opened = opened
        self.show_seats(_with_sizes(opened))

    def _figure(self, seat_id: str) -> Figure | None:
        if self._opened is None:
            return None
        plot = taper_plot(self._opened.evaluation.seat(seat_id))
        title = say("Along the seat · {seat}", seat=self._opened.heading(seat_id))
        unit = self._opened.state.plan.unit
        figure = TaperFigure(plot, title, unit, generatrices=self.generatrices.isChecked())
        figure.file_name = f"Along the seat {seat_id}"
        return figure


class MapTab(PlotTab):
    """The seat unrolled."""

    def __init__(self, theme: Theme, place: PlaceOf) -> None:
        self._opened: Opened | None = None
        super().__init__(theme, self._figure, place)

    def show_opened(self, opened: Opened) -> None:
        self._opened = opened
        self.show_seats(
            tuple(
                (result.seat.id, say("seat {seat}", seat=result.seat.id)) for result in opened.seats
            )
        )

    def _figure(self, seat_id: str) -> Figure | None:
        if self._opened is None:
            return None
        unrolled = unrolled_map(self._opened.evaluation.seat(seat_id))
        title = say("Unrolled · {seat}", seat=self._opened.heading(seat_id))
        figure = MapFigure(unrolled, title, self._opened.state.plan.unit)
        figure.file_name = f"Unrolled {seat_id}"
        return figure


def _with_form(opened: Opened) -> tuple[tuple[str, str], ...]:
    return tuple(
        (result.seat.id, say("seat {seat}", seat=result.seat.id))
        for result in opened.seats
        if result.stations or result.profiles or result.combined
    )


def _with_sizes(opened: Opened) -> tuple[tuple[str, str], ...]:
    return tuple(
        (result.seat.id, say("seat {seat}", seat=result.seat.id))
        for result in opened.seats
        if result.seat.method == "two-point"
    )
