"""The readings: drawings, plots, the last value, parked presses and verdicts of one seat.

Roomy windows show everything at once; where the window is small for its text, drawings, plots and
verdicts share one place and are turned to with Ctrl+1, 2, 3.
"""

import gc
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QEvent, QSize, Qt, QTimer
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.gui.bench.drawing_place import DrawingPlace
from seatproof.gui.bench.end_view import EndView
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.parked_list import ParkedList
from seatproof.gui.bench.polar_words import notes
from seatproof.gui.bench.shaft_view import ShaftView
from seatproof.gui.bench.simulated_panel import SimulatedPanel
from seatproof.gui.bench.story_card import StoryCard
from seatproof.gui.bench.value_card import ValueCard
from seatproof.gui.bench.verdict_list import VerdictList, said_heading
from seatproof.gui.bench.zoom_pane import ZoomPlace
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.scrolling import scrolling
from seatproof.gui.shared.theme import Theme

if TYPE_CHECKING:
    from seatproof.gui.bench.along_view import AlongView
    from seatproof.gui.bench.polar_view import PolarView

# Below this much room for a letter of ordinary size the page folds; found by looking at it.
_ROOMY_EM = (62.0, 34.0)

# Plots take longer to draw than a press may take to show, so they get at most this share of time.
_PLOT_SHARE = 0.3
_LEAST_MS_BETWEEN_PLOTS = 40
_PLOT_SHARES = (6, 7)  # of the room, polar and along
_MS_FOR_THE_VALUE = 12  # the value itself is painted first


class ReadingsPage(QWidget):
    """Shows the readings of a `BenchModel`; decides nothing.

    `show_now` paints what a press changes; `show_results` what follows from it, now or a little
    later where results come faster than they can be drawn.
    """

    def __init__(
        self,
        model: BenchModel,
        theme: Theme,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._model = model
        self._refit = QTimer(self)
        self._refit.setSingleShot(True)
        self._refit.setInterval(0)
        self._refit.timeout.connect(self._fit_anew)
        self._plot_later = QTimer(self)
        self._plot_later.setSingleShot(True)
        self._plot_later.timeout.connect(self._show_results)
        self._since_plots = QElapsedTimer()
        self._since_plots.start()
        self._wait_ms = 0

        self.drawings = DrawingPlace(theme, model.plan)
        self.drawings.show_map(on=model.shows_map)
        self.drawings.map.point_chosen.connect(self.shaft.point_chosen)
        self.drawings.turned.connect(self._drawing_turned)
        self.end = EndView(theme)
        self.drawings.whole_wanted.connect(self.end.fit)
        self._end_place = ZoomPlace(self.end, say("Whole"))
        self._theme = theme
        self._views: tuple[PolarView, AlongView] | None = None
        self._is_loading = False
        self.value = ValueCard(theme)
        self.story = StoryCard()
        self.parked = ParkedList()
        self.verdicts = VerdictList(theme)
        self.blindness = QLabel(again(model.blindness))
        self.blindness.setWordWrap(True)
        self.blindness.setProperty("role", "small")
        self._tabs = QTabWidget()
        self._tabs.setDocumentMode(True)
        for number in range(3):
            keys = QShortcut(QKeySequence(f"Ctrl+{number + 1}"), self)
            keys.activated.connect(lambda number=number: self._tabs.setCurrentIndex(number))
        self._is_folded: bool | None = None
        self._build()

    def shut(self) -> None:
        """Draw no plots any longer."""
        self._plot_later.stop()

    @property
    def shaft(self) -> ShaftView:
        return self.drawings.shaft

    def hold(self, panel: SimulatedPanel) -> None:
        """Let the simulated gauge be pressed here."""
        if not self.isAncestorOf(panel):
            self._side.addWidget(panel)
            panel.show()

    def show_now(self) -> None:
        """Show what a press, or a person, has changed."""
        model = self._model
        points, seat, following = model.points, model.seat, model.next_point
        self.drawings.show_points(model.state, seat, points)
        station = following.station if following and following.seat_id == seat.id else None
        self.end.show_section(
            model.plan, seat, () if station is None else model.points_at(seat.id, station)
        )
        self.story.show_story(model.story)
        self.parked.show_parked(model.parked, model.use_places)
        self._parked_scroll.setVisible(bool(model.parked))

    def _drawing_turned(self) -> None:
        self._model.shows_map = self.drawings.is_map
        self._give_room_to_map()
        self.show_now()

    def show_results(self) -> None:
        """Show the plots and verdicts of the seat, soon."""
        if not self._plot_later.isActive():
            left_ms = self._wait_ms - self._since_plots.elapsed()
            self._plot_later.start(max(left_ms, _MS_FOR_THE_VALUE))

    def _show_results(self) -> None:
        took = QElapsedTimer()
        took.start()
        model = self._model
        seat, following = model.seat, model.next_point
        station = following.station if following and following.seat_id == seat.id else None
        if self._views is None:
            self._load_plots()
        else:
            polar, along = self._views
            plot, form, unit = model.polar, model.set_form, model.plan.unit
            polar.show_plot(plot, unit, station, form)
            polar.setToolTip("\n".join(notes(plot, form, unit) or map(again, model.polar_notes)))
            along.show_plot(model.along, model.plan.unit, station)
        self.verdicts.show_requirements(
            said_heading(model.plan, seat), model.requirements, model.insights
        )
        # As long again for whatever else there is to do, and more.
        self._wait_ms = max(_LEAST_MS_BETWEEN_PLOTS, round(took.elapsed() / _PLOT_SHARE))
        self._since_plots.restart()

    # --- the plots -------------------------------------------------------------------------------

    def _load_plots(self) -> None:
        """Load what draws plots beside the window: a press need not wait for it."""
        if not self._is_loading:
            self._is_loading = True
            self._model.beside(_plot_views, self._put_plots)

    def _put_plots(self, kinds: "tuple[type[PolarView], type[AlongView]]") -> None:
        polar, along = kinds
        self._views = polar(self._theme), along(self._theme)
        for place, (view, share) in enumerate(zip(self._views, _PLOT_SHARES, strict=True)):
            self._plots.add(view, share, place)
        gc.freeze()  # as the rest of the bench: it lives as long, and is not to be looked through
        self._show_results()

    @property
    def has_plots(self) -> bool:
        """Whether plots are there already; they are loaded while the gauge's line settles."""
        return self._views is not None

    # --- layout ----------------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._fit(event.size())
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.FontChange:
            # Later: Qt is just now walking through all widgets, and must not find them moved.
            self._refit.start()
        super().changeEvent(event)

    def _fit_anew(self) -> None:
        """Lay everything out for a new size of letters, by which widths are counted."""
        self._is_folded = None
        self._fit(self.size())

    def _fit(self, size: QSize) -> None:
        em = self.fontMetrics().height()
        wide, high = _ROOMY_EM
        self._fold(size.width() < wide * em or size.height() < high * em)

    def _build(self) -> None:
        self._drawings = Shares((self.drawings, 5))
        self._plots = Shares()
        self._judgement = QFrame()
        judgement = QVBoxLayout(self._judgement)
        judgement.setContentsMargins(0, 0, 0, 0)
        judgement.addWidget(self.verdicts)
        judgement.addWidget(self.blindness)
        judgement.addStretch(1)
        self._judgement_scroll = scrolling(self._judgement)

        self._parked_scroll = scrolling(self.parked)
        self._halves = QSplitter(Qt.Orientation.Vertical)
        self._halves.setChildrenCollapsible(False)
        self._left = QVBoxLayout()
        self._left.addWidget(self._halves, 1)
        self._left.addWidget(self._tabs, 1)
        self._side = QVBoxLayout()
        self._side.addWidget(self.value, 3)
        self._side.addWidget(self.story)
        self._side.addWidget(self._parked_scroll, 3)
        body = QHBoxLayout(self)
        body.setContentsMargins(0, 0, 0, 0)
        body.addLayout(self._left, 1)
        self._side_holder = QWidget()
        self._side_holder.setLayout(self._side)
        self._side.setContentsMargins(0, 0, 0, 0)
        body.addWidget(self._side_holder)

    def _fold(self, folded: bool) -> None:
        if folded == self._is_folded:
            return
        self._is_folded = folded
        em = self.fontMetrics().height()
        self._side_holder.setFixedWidth(int(em * (21 if not folded else 15)))
        (self._drawings if folded else self._plots).add(self._end_place, 2 if folded else 4)
        if folded:
            self._tabs.addTab(self._drawings, say("Shaft"))
            self._tabs.addTab(self._plots, say("Form and size"))
            self._tabs.addTab(self._judgement_scroll, say("Verdicts"))
            self._halves.hide()
            self._tabs.show()
        else:
            self._tabs.clear()
            self._tabs.hide()
            self._halves.addWidget(self._drawings)
            self._halves.addWidget(self._plots)
            self._halves.setSizes([1100, 1000])  # shares, not pixels: both grow with the window
            self._halves.show()
            self._side.insertWidget(3, self._judgement_scroll, 4)
            for widget in (self._drawings, self._plots, self._judgement_scroll):
                widget.show()
        self._give_room_to_map()

    def _give_room_to_map(self) -> None:
        """Let the map have the end view's room where both share one place."""
        self._end_place.setVisible(not (self._is_folded and self.drawings.is_map))


def _plot_views() -> "tuple[type[PolarView], type[AlongView]]":
    from seatproof.gui.bench.along_view import AlongView
    from seatproof.gui.bench.polar_view import PolarView

    return PolarView, AlongView


class Shares(QWidget):
    """Widgets side by side that get the whole room in fixed shares, whatever they would like."""

    def __init__(self, *parts: tuple[QWidget, int]) -> None:
        super().__init__()
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        for widget, share in parts:
            self.add(widget, share)

    def add(self, widget: QWidget, share: int, place: int = -1) -> None:
        """Put a widget before the one at a place, or last."""
        widget.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._row.insertWidget(place, widget, share)
