"""The plot of diameter along the seat on the screen: limits, local sizes, station means, line."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any, Final

import pyqtgraph as pg
from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from seatproof.core import figures
from seatproof.core.plots.along import AlongPlot, SizeMark
from seatproof.core.plots.steps import step_above
from seatproof.core.units import UM_PER_MM, Unit, from_mm
from seatproof.gui.bench.plot import FittedLabel, PlotArea, PlotPanel, finite_pairs
from seatproof.gui.shared.legend import Entry, PaintMark
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.theme import Theme

# One step of the departure axis: a micrometre, or a ten-thousandth of an inch.
_STEP_UM: Final = {Unit.MM: 1.0, Unit.INCH: 2.54}
_BAR: Final = 0.018  # half the length of a station mean's bar, in lengths of the seat
_MARGIN_X: Final = 0.05
_MARGIN_Y: Final = 0.06
_UNIT_WORDS: Final = {Unit.MM: "mm", Unit.INCH: wording("inches")}
_STEP_WORDS: Final = {Unit.MM: wording("in µm"), Unit.INCH: wording("in units of 0.0001 in")}

_MOST_SIZES: Final = 600


class AlongView(PlotPanel):
    """Shows departures from the nominal size along a seat; double click fits it again."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        axes = {
            "left": _FigureAxis("left", signed=True),
            "bottom": _FigureAxis("bottom"),
            "right": _FigureAxis("right"),
        }
        super().__init__(theme, PlotArea(axes), parent)
        self._plot: AlongPlot | None = None
        self._unit = Unit.MM
        self._station: int | None = None
        self.setAccessibleName(say("Diameter along the seat"))
        self._footer = FittedLabel(theme)
        layout = self.layout()
        assert isinstance(layout, QVBoxLayout)  # the panel's own
        layout.insertWidget(2, self._footer)
        self._view.disableAutoRange()
        self._items = _Items.put_into(self._area.plotItem, self._tip)
        self._view.sigResized.connect(self.fit)
        self._restyle()
        self._refresh()

    def show_plot(
        self, plot: AlongPlot | None, unit: Unit = Unit.MM, station: int | None = None
    ) -> None:
        """Show a plot in the plan's unit; `station` is the current one. What is zoomed stays so."""
        is_new = plot is None or self._plot is None or self._extent() != self._extent_of(plot, unit)
        self._plot, self._unit, self._station = plot, unit, station
        self._refresh()
        if is_new:
            self.fit()

    def fit(self) -> None:
        """Show the whole plot."""
        extent = self._extent()
        if extent is not None:
            (left, right), (low, high) = extent
            self._view.setRange(xRange=(left, right), yRange=(low, high), padding=0)

    def sizeHint(self) -> QSize:
        em = self.fontMetrics().height()
        return QSize(32 * em, 20 * em)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._footer.setVisible(self.height() >= 9 * self.fontMetrics().height())
        self._letter_limits()

    # --- what is shown ---------------------------------------------------------------------------

    def _restyle(self) -> None:
        self._area.setBackground(self._theme.paper)
        self._style_axes(self._theme)
        self._items.style(self._theme, self.font())

    def _refresh(self) -> None:
        plot = self._plot
        self._items.set_visible(plot is not None)
        for name in ("left", "bottom"):
            self._area.plotItem.showAxis(name, plot is not None)
        if plot is None:
            self._header.set_wordings(
                say("no sizes: these readings show form alone"), say("no sizes")
            )
            self._footer.set_wordings()
            self._legend.set_entries(())
            return
        self._show_limits(plot)
        self._letter_limits()
        self._show_sizes(plot)
        self._show_means(plot)
        self._header.set_wordings(*self._header_wordings(plot))
        unit = say(_UNIT_WORDS[self._unit])
        self._footer.set_wordings(
            say("distance from the datum face, in {unit}", unit=unit),
            say("from the datum face, in {unit}", unit=unit),
            unit,
        )
        self._legend.set_entries(self._legend_entries(plot))

    def _show_limits(self, plot: AlongPlot) -> None:
        items = self._items
        for line, zone, limit_um in (
            (items.lower, items.lower_zone, plot.lower_um),
            (items.upper, items.upper_zone, plot.upper_um),
        ):
            line.setValue(self._y(limit_um))
            zone.setRegion((self._y(limit_um - plot.guard_um), self._y(limit_um + plot.guard_um)))
            zone.setVisible(plot.guard_um > 0)
        items.ends.setData(
            [self._x(z_mm) for z_mm in (plot.from_mm, plot.from_mm, plot.to_mm, plot.to_mm)],
            [self._y(y_um) for y_um in (plot.lower_um, plot.upper_um) * 2],
            connect="pairs",
        )

    def _letter_limits(self) -> None:
        """Write the limits beside the plot; where that is too narrow, their names on the lines."""
        plot, items = self._plot, self._items
        axis = self._area.plotItem.getAxis("right")
        em = self.fontMetrics().height()
        beside = plot is not None and self.width() >= 26 * em
        self._area.plotItem.showAxis("right", beside)
        named = not beside and self.height() >= 8 * em
        items.lower.label.setVisible(named)
        items.upper.label.setVisible(named)
        if plot is None:
            return
        texts = [
            f"{word}\n{again(figures.size(plot.nominal_mm + limit_um / UM_PER_MM, self._unit))}"
            for word, limit_um in (
                (say("lower limit"), plot.lower_um),
                (say("upper limit"), plot.upper_um),
            )
        ]
        places = (self._y(plot.lower_um), self._y(plot.upper_um))
        axis.setTicks([list(zip(places, texts, strict=True))])
        lines = [line for text in texts for line in text.split("\n")]
        axis.setWidth(max(self.fontMetrics().horizontalAdvance(line) for line in lines) + 16)

    def _show_sizes(self, plot: AlongPlot) -> None:
        here = [size for size in plot.sizes if size.station == self._station]
        elsewhere = _shown_elsewhere([size for size in plot.sizes if size.station != self._station])
        for scatter, sizes in ((self._items.others, elsewhere), (self._items.current, here)):
            drawable = [s for s in sizes if isfinite(s.z_mm) and isfinite(s.departure_um)]
            scatter.setData(
                x=[self._x(size.z_mm) for size in drawable],
                y=[self._y(size.departure_um) for size in drawable],
                data=drawable,
            )

    def _show_means(self, plot: AlongPlot) -> None:
        half = _BAR * (plot.to_mm - plot.from_mm)
        z_mm, departures = finite_pairs(*_columns(plot.means))
        bars_x = [self._x(z + side * half) for z in z_mm for side in (-1, 1)]
        bars_y = [self._y(value) for value in departures for _ in range(2)]
        self._items.bars.setData(bars_x, bars_y, connect="pairs")
        order = z_mm.argsort()
        self._items.means.setData(
            [self._x(z) for z in z_mm[order]], [self._y(value) for value in departures[order]]
        )
        z_mm, departures = finite_pairs(*_columns(plot.line))
        self._items.line.setData([self._x(z) for z in z_mm], [self._y(v) for v in departures])

    def _tip(self, x: float, y: float, data: SizeMark) -> str:
        del x, y
        plot = self._plot
        return "" if plot is None else self._story(plot, data)

    def _story(self, plot: AlongPlot, size: SizeMark) -> str:
        size_mm = plot.nominal_mm + size.departure_um / UM_PER_MM
        return say(
            "station {station}, orientation {orientation}",
            station=str(size.station),
            orientation=str(size.orientation),
        ) + again(f"\n{figures.size_unit(size_mm, self._unit)}")

    def _header_wordings(self, plot: AlongPlot) -> tuple[str, ...]:
        nominal = f"{figures.position(plot.nominal_mm, self._unit)} {self._unit}"
        step = again(_STEP_WORDS[self._unit])
        return (
            say("departure from the nominal size {nominal}, {step}", nominal=nominal, step=step),
            say("departure from {nominal}, {step}", nominal=nominal, step=step),
            say("departure, {unit}", unit=step),
            step,
        )

    def _legend_entries(self, plot: AlongPlot) -> list[Entry]:
        entries = []
        if plot.sizes:
            entries.append(Entry(_dot_mark(strong=False), say("local size")))
        if any(size.station == self._station for size in plot.sizes):
            entries.append(
                Entry(
                    _dot_mark(strong=True),
                    say("station {station}", station=str(self._station)),
                    strong=True,
                )
            )
        if plot.means:
            entries.append(Entry(_bar_mark, say("station mean"), wide=True))
        if plot.line:
            entries.append(Entry(_line_mark, say("fitted line"), wide=True))
        if plot.guard_um > 0:
            entries.append(Entry(_zone_mark, say("guard band"), wide=True))
        return entries

    # --- coordinates of the plot: the plan's unit along, steps of the departure axis up -----------

    def _x(self, z_mm: float) -> float:
        return _along(z_mm, self._unit)

    def _y(self, departure_um: float) -> float:
        return departure_um / _STEP_UM[self._unit]

    def _extent(self) -> tuple[tuple[float, float], tuple[float, float]] | None:
        return self._extent_of(self._plot, self._unit)

    def _extent_of(
        self, plot: AlongPlot | None, unit: Unit
    ) -> tuple[tuple[float, float], tuple[float, float]] | None:
        if plot is None:
            return None
        left, right = _along(plot.from_mm, unit), _along(plot.to_mm, unit)
        lowest, highest = (value / _STEP_UM[unit] for value in plot.extent_um())
        over_x = _MARGIN_X * (right - left)
        # Room for the lettering of the limits, which has a height on the screen.
        lettering = 1.6 * self.fontMetrics().height() / max(self._view.height(), 1.0)
        over_y = max(_MARGIN_Y, min(lettering, 0.3)) * (highest - lowest)
        return (left - over_x, right + over_x), (lowest - over_y, highest + over_y)

    def _style_axes(self, theme: Theme) -> None:
        for name in ("left", "bottom", "right"):
            axis = self._area.plotItem.getAxis(name)
            axis.setPen(pg.mkPen(theme.edge, width=1))
            axis.setTextPen(pg.mkPen(theme.ink))
            axis.setTickFont(self.font())
        metrics = self.fontMetrics()
        # Set outright: left to itself, an axis drops the figures that are wider than its last ones.
        self._area.plotItem.getAxis("left").setWidth(metrics.horizontalAdvance("+000") + 12)
        # The uppermost figure stands half over the end of its axis.
        self._area.plotItem.setContentsMargins(0, round(0.55 * metrics.height()), 0, 0)
        self._area.plotItem.getAxis("bottom").setHeight(round(1.3 * metrics.height()) + 6)


class _FigureAxis(pg.AxisItem):
    """An axis whose figures are written as all others are."""

    def __init__(self, orientation: str, *, signed: bool = False) -> None:
        super().__init__(orientation)
        self._signed = signed
        self.enableAutoSIPrefix(False)

    def tickSpacing(
        self, lowest: float, highest: float, length: float
    ) -> list[tuple[float, float]]:
        """Space figures so that they keep apart in the present lettering, at round steps."""
        em = QFontMetricsF(self.style["tickFont"] or QFont()).height()
        about = max(length / ((2.0 if self.orientation == "left" else 3.5) * em), 1.0)
        return [(step_above((highest - lowest) / about), 0.0)]

    def tickStrings(self, values: Sequence[float], scale: float, spacing: float) -> list[str]:
        texts = super().tickStrings(values, scale, spacing)
        return [
            again(figures.received(f"+{text}" if self._signed and float(text) > 0 else text))
            for text in texts
        ]


@dataclass(slots=True)
class _Items:
    """The parts of the plot; made once and given new data, never thrown away."""

    lower_zone: pg.LinearRegionItem
    upper_zone: pg.LinearRegionItem
    ends: pg.PlotCurveItem
    nominal: pg.InfiniteLine
    lower: pg.InfiniteLine
    upper: pg.InfiniteLine
    means: pg.PlotCurveItem
    line: pg.PlotCurveItem
    bars: pg.PlotCurveItem
    others: pg.ScatterPlotItem
    current: pg.ScatterPlotItem

    @classmethod
    def put_into(cls, plot: pg.PlotItem, tip: Callable[[float, float, SizeMark], str]) -> "_Items":
        def limit(above: bool) -> pg.InfiniteLine:
            # The lettering stands outside the limits, where it hides nothing that matters.
            place = {"position": 0.02, "anchors": [(0, 1 if above else 0)] * 2, "movable": False}
            name = say("upper limit") if above else say("lower limit")
            return pg.InfiniteLine(angle=0, label=name, labelOpts=place)

        def zone() -> pg.LinearRegionItem:
            return pg.LinearRegionItem(orientation="horizontal", movable=False)

        items = cls(
            lower_zone=zone(),
            upper_zone=zone(),
            ends=pg.PlotCurveItem(),
            nominal=pg.InfiniteLine(pos=0.0, angle=0),
            lower=limit(above=False),
            upper=limit(above=True),
            means=pg.PlotCurveItem(antialias=True),
            line=pg.PlotCurveItem(antialias=True),
            bars=pg.PlotCurveItem(),
            others=pg.ScatterPlotItem(hoverable=True, tip=tip, antialias=True),
            current=pg.ScatterPlotItem(hoverable=True, tip=tip, antialias=True),
        )
        for z, item in enumerate(items.all()):
            item.setZValue(z - 20)
            plot.addItem(item, ignoreBounds=True)
        return items

    def all(self) -> tuple[Any, ...]:
        return (
            self.lower_zone,
            self.upper_zone,
            self.ends,
            self.nominal,
            self.lower,
            self.upper,
            self.others,
            self.means,
            self.line,
            self.bars,
            self.current,
        )

    def set_visible(self, visible: bool) -> None:
        for item in self.all():
            item.setVisible(visible)

    def style(self, theme: Theme, font: QFont) -> None:
        em = QFontMetricsF(font).height()
        for zone in (self.lower_zone, self.upper_zone):
            zone.setBrush(pg.mkBrush(theme.guard))
            for edge in zone.lines:
                edge.setPen(pg.mkPen(theme.edge, width=1, style=Qt.PenStyle.DotLine))
        self.ends.setPen(pg.mkPen(theme.grid, width=1))
        self.nominal.setPen(pg.mkPen(theme.grid, width=1))
        for limit in (self.lower, self.upper):
            limit.setPen(pg.mkPen(theme.ink, width=2.4))
            limit.label.setColor(theme.ink)
            limit.label.setFont(font)
        self.means.setPen(pg.mkPen(theme.inside, width=1))
        self.bars.setPen(pg.mkPen(theme.inside, width=3.5))
        self.line.setPen(pg.mkPen(theme.inside, width=1.8, style=Qt.PenStyle.DashLine))
        self.others.setSize(0.4 * em)
        self.others.setPen(pg.mkPen(theme.faint_ink, width=1.2))
        self.others.setBrush(pg.mkBrush(theme.paper))
        self.current.setSize(0.62 * em)
        self.current.setPen(pg.mkPen(theme.paper, width=1))
        self.current.setBrush(pg.mkBrush(theme.ink))


def _shown_elsewhere(sizes: list[SizeMark]) -> list[SizeMark]:
    """Return the sizes of other stations; of very many only each station's extremes."""
    if len(sizes) <= _MOST_SIZES:
        return sizes
    by_station: dict[int, list[SizeMark]] = {}
    for size in sizes:
        by_station.setdefault(size.station, []).append(size)
    kept = []
    for here in by_station.values():
        ordered = sorted(here, key=lambda size: size.departure_um)
        kept += [ordered[0], ordered[-1]]
    return kept


def _along(z_mm: float, unit: Unit) -> float:
    return float(from_mm(float(z_mm), unit))


def _columns(pairs: Sequence[tuple[float, float]]) -> tuple[list[float], list[float]]:
    return [first for first, _ in pairs], [second for _, second in pairs]


def _dot_mark(*, strong: bool) -> PaintMark:
    def paint(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(theme.ink if strong else theme.faint_ink), 1.2))
        painter.setBrush(QColor(theme.ink if strong else theme.paper))
        radius = (0.4 if strong else 0.27) * size
        painter.drawEllipse(centre, radius, radius)

    return paint


def _bar_mark(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
    _stroke(painter, centre, size, QPen(theme.inside, 3.5))


def _line_mark(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
    _stroke(painter, centre, size, QPen(theme.inside, 1.8, Qt.PenStyle.DashLine))


def _zone_mark(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
    painter.setPen(QPen(theme.edge, 1, Qt.PenStyle.DotLine))
    painter.setBrush(theme.guard)
    painter.drawRect(
        round(centre.x() - size), round(centre.y() - size / 2), round(2 * size), round(size)
    )


def _stroke(painter: QPainter, centre: QPointF, size: float, pen: QPen) -> None:
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    reach = QPointF(0.9 * size, 0)
    painter.drawLine(centre - reach, centre + reach)
