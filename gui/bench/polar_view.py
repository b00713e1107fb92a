"""The polar form plot on the screen: deviations from the mean circle, station by station."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import cos, radians, sin
from typing import Any, Final

import numpy as np
import pyqtgraph as pg
from numpy.typing import ArrayLike, NDArray
from pyqtgraph.graphicsItems.ScatterPlotItem import Symbols
from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsPathItem, QWidget

from seatproof.core import figures
from seatproof.core.plots.polar import PolarPlot, PolarTrace
from seatproof.core.units import Unit
from seatproof.gui.bench.plot import PlotArea, PlotPanel, finite_pairs
from seatproof.gui.bench.polar_words import from_what, header
from seatproof.gui.bench.set_form import SetForm
from seatproof.gui.shared.legend import Entry, PaintMark
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme

# Seven shapes and five colours: no pair comes twice before the thirty-sixth station.
_SHAPES: Final = ("o", "s", "t1", "d", "star", "t", "h")
# In radii of the mean circle:
_RAYS_TO: Final = 1.33
_LABELS_AT: Final = 1.35  # the side of a label that is nearest to the middle
_COUNTING_AT: Final = 1.44
# How many heights of a line the radius must have for so many labels round the circle:
_TWELVE_LABELS_EM: Final = 4.0
_FOUR_LABELS_EM: Final = 2.2
_WIDEST_RING_LABEL: Final = 0.35  # of the radius; wider ones would cover too much of the plot
_RING_LABELS_DEG: Final = 105.0  # between orientations of the usual counts
_MOST_SPOTS: Final = 600
_DIAMETERS: Final = SetForm("two-point")
_ROUND_DEG: Final = np.linspace(0.0, 360.0, 181)


class PolarView(PlotPanel):
    """Shows a polar plot; the current station stands out. Double click fits it again."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, PlotArea(), parent)
        self._plot: PolarPlot | None = None
        self._unit = Unit.MM
        self._station: int | None = None
        self._form = _DIAMETERS
        self.setAccessibleName(say("Polar plot of the form"))
        item = self._area.plotItem
        item.hideAxis("left")
        item.hideAxis("bottom")
        self._view.setAspectLocked(True)
        self._view.setLimits(xMin=-30, xMax=30, yMin=-30, yMax=30, minXRange=0.02, minYRange=0.02)
        self._items = _Items.put_into(self._view)
        self._view.sigResized.connect(self._fit_and_refresh)
        self._view.sigRangeChanged.connect(self._letter)
        self._restyle()
        self._fit_and_refresh()

    def show_plot(
        self,
        plot: PolarPlot | None,
        unit: Unit = Unit.MM,
        station: int | None = None,
        form: SetForm | None = None,
    ) -> None:
        """Show a plot, its figures for a plan of this unit; `station` is the current one.

        `form` says how its readings were taken; without it they are diameters.
        """
        self._plot, self._unit, self._station = plot, unit, station
        self._form = form or _DIAMETERS
        self._refresh()

    def fit(self) -> None:
        """Show the whole plot, with room for the labels round it."""
        em = QFontMetricsF(self.font()).height()
        across, up = self._view.width() / 2, self._view.height() / 2
        px_per_radius = min(across - 3.0 * em, up - 1.7 * em) / _LABELS_AT
        if px_per_radius < _FOUR_LABELS_EM * em:  # all labels but that of 0° are left out
            px_per_radius = max(min(across - 2.0 * em, up - 0.4 * em) / _LABELS_AT, 1.0)
        half = across / px_per_radius, up / px_per_radius
        self._view.setRange(xRange=(-half[0], half[0]), yRange=(-half[1], half[1]), padding=0)

    def sizeHint(self) -> QSize:
        em = self.fontMetrics().height()
        return QSize(22 * em, 25 * em)

    # --- what is shown ---------------------------------------------------------------------------

    def _restyle(self) -> None:
        self._area.setBackground(self._theme.paper)
        self._items.style(self._theme)

    def _refresh(self) -> None:
        theme = self._theme
        traces = self._plot.traces if self._plot is not None else ()
        self._show_rings()
        self._show_traces(traces, theme)
        self._header.set_wordings(*self._header_wordings())
        self._legend.set_entries(self._legend_entries(traces, theme))
        self._letter()

    def _fit_and_refresh(self) -> None:
        self.fit()
        self._refresh()

    def _show_rings(self) -> None:
        items, plot = self._items, self._plot
        rings = [_circle(plot.relative(value)) for value in self._ring_values_um()] if plot else []
        xs = np.concatenate([ring[0] for ring in rings]) if rings else np.array([])
        ys = np.concatenate([ring[1] for ring in rings]) if rings else np.array([])
        joined = np.ones(len(xs), dtype=np.int32)
        joined[len(_ROUND_DEG) - 1 :: len(_ROUND_DEG)] = 0  # a ring does not go on into the next
        items.rings.setData(xs, ys, connect=joined)
        band = QPainterPath()
        if plot is not None and plot.band_um is not None:
            band.setFillRule(Qt.FillRule.OddEvenFill)
            for edge_um in plot.band_um:
                radius = max(plot.relative(edge_um), 0.0)
                band.addEllipse(QPointF(0, 0), radius, radius)
        items.band.setPath(band)

    def _show_traces(self, traces: tuple[PolarTrace, ...], theme: Theme) -> None:
        items, plot = self._items, self._plot
        items.provide_curves(len(traces))
        n_spots = sum(len(trace.angles_deg) for trace in traces)
        others: list[dict[str, Any]] = []
        current: list[dict[str, Any]] = []
        for trace, curve in zip(traces, items.curves, strict=False):
            assert plot is not None  # it has the traces
            is_current = trace.station == self._station
            angles, deviations = finite_pairs(trace.curve_deg, trace.curve_um)
            xs, ys = _around(angles, [plot.relative(value) for value in deviations])
            if len(xs):
                xs, ys = np.append(xs, xs[0]), np.append(ys, ys[0])
            curve.setData(xs, ys)
            curve.setPen(pg.mkPen(_colour(trace.station, theme), width=2.6 if is_current else 1.0))
            curve.setZValue(12 if is_current else 10)
            angles, deviations = finite_pairs(trace.angles_deg, trace.deviations_um)
            places = _around(angles, [plot.relative(value) for value in deviations])
            if not is_current and n_spots > _MOST_SPOTS:
                continue  # the curves say as much; so many markers hide each other
            look = self._look(trace.station, is_current, theme)
            spots = current if is_current else others
            for x, y, angle, deviation in zip(*places, angles, deviations, strict=True):
                story = self._story(trace.station, float(angle), float(deviation))
                spots.append({"pos": (x, y), "data": story, **look})
        for curve in items.curves[len(traces) :]:
            curve.setData([], [])
        items.others.setData(spots=others)
        items.current.setData(spots=current)

    def _look(self, station: int, is_current: bool, theme: Theme) -> dict[str, Any]:
        colour = _colour(station, theme)
        return {
            "size": self._marker_px() * (1.0 if is_current else 0.68),
            "symbol": _shape(station),
            "pen": pg.mkPen(colour, width=1.2),
            "brush": pg.mkBrush(colour if is_current else theme.paper),
        }

    def _story(self, station: int, angle_deg: float, deviation_um: float) -> str:
        return (
            f"{say('station {station}', station=str(station))} · {figures.angle(angle_deg)}\n"
            f"{again(figures.small(deviation_um, self._unit, sign=True))} {from_what(self._form)}"
        )

    def _marker_px(self) -> float:
        """Return the size of the current station's markers, small enough for a small circle."""
        em = QFontMetricsF(self.font()).height()
        return max(4.0, min(0.62 * em, 0.16 * self._px_per_radius()))

    def _px_per_radius(self) -> float:
        return 1.0 / max(self._view.viewPixelSize()[0], 1e-9)

    def _ring_values_um(self) -> list[float]:
        if self._plot is None:
            return []
        count = 4
        values = [step * self._plot.grid_um for step in range(-count, count + 1) if step]
        return [value for value in values if 0.05 < self._plot.relative(value) < _RAYS_TO]

    def _header_wordings(self) -> tuple[str, ...]:
        return () if self._plot is None else header(self._plot, self._form, self._unit)

    def _legend_entries(self, traces: tuple[PolarTrace, ...], theme: Theme) -> list[Entry]:
        ordered = sorted(traces, key=lambda trace: trace.station != self._station)
        entries = [
            Entry(_station_mark(trace.station), trace.label, trace.station == self._station)
            for trace in ordered
        ]
        if self._plot is not None and self._plot.band_um is not None:
            inner, outer = self._plot.band_um
            wide = figures.tolerance(round(outer - inner, 3), self._unit)
            entries.insert(
                1 if ordered else 0, Entry(_band_mark, say("tolerance zone {width}", width=wide))
            )
        return entries

    # --- lettering, which depends on the size on the screen --------------------------------------

    def _letter(self) -> None:
        """Place as many labels as have room at the present size."""
        metrics = QFontMetricsF(self.font())
        em = metrics.height()
        px_per_radius = self._px_per_radius()
        room = ((30, _TWELVE_LABELS_EM), (90, _FOUR_LABELS_EM))
        step_deg = next((step for step, least in room if px_per_radius >= least * em), 360)
        items, theme = self._items, self._theme
        for angle_deg, label in items.angle_labels.items():
            label.setVisible(angle_deg % step_deg == 0)
            label.setFont(self.font())
        step_deg = min(step_deg, 90)
        items.counting.setPath(_counting_path(0.32 * step_deg, 0.68 * step_deg))
        values = self._ring_values_um()
        ring_px = self._plot.relative(self._plot.grid_um) - 1.0 if self._plot else 0.0
        ring_px *= px_per_radius
        stride = next((n for n in (1, 2, 4) if n * ring_px >= 1.15 * em), 0)
        for number, label in enumerate(items.ring_labels):
            shown = False
            if stride and self._plot is not None and number < len(values):
                value_um = values[number]
                figure = figures.tolerance(abs(value_um), self._unit)
                figure = again(figure.removesuffix(f" {figures.small_unit(self._unit)}"))
                sign = "+" if value_um > 0 else figures.MINUS
                label.setPos(*_at(_RING_LABELS_DEG, self._plot.relative(value_um)))
                label.setText(f"{sign}{figure}", theme.faint_ink)
                label.setFont(self.font())
                label.fill = pg.mkBrush(theme.paper)
                on_stride = round(value_um / self._plot.grid_um) % stride == 0
                width = metrics.horizontalAdvance(f"{sign}{figure}")
                shown = on_stride and width <= _WIDEST_RING_LABEL * px_per_radius
            label.setVisible(shown)


@dataclass(slots=True)
class _Items:
    """The parts of the plot; made once and given new data, never thrown away."""

    view: pg.ViewBox
    band: QGraphicsPathItem
    rings: pg.PlotCurveItem
    rays: pg.PlotCurveItem
    mean: pg.PlotCurveItem
    datum: pg.PlotCurveItem
    counting: QGraphicsPathItem
    others: pg.ScatterPlotItem
    current: pg.ScatterPlotItem
    angle_labels: dict[int, pg.TextItem]
    ring_labels: list[pg.TextItem]
    curves: list[pg.PlotCurveItem] = field(default_factory=list)

    @classmethod
    def put_into(cls, view: pg.ViewBox) -> "_Items":
        rays = [(_at(angle, 0.0), _at(angle, _RAYS_TO)) for angle in range(30, 360, 30)]
        ray_x = [x for ray in rays for x, _ in ray]
        ray_y = [y for ray in rays for _, y in ray]
        items = cls(
            view=view,
            band=QGraphicsPathItem(),
            rings=pg.PlotCurveItem(antialias=True),
            rays=pg.PlotCurveItem(ray_x, ray_y, connect="pairs", antialias=True),
            mean=pg.PlotCurveItem(*_circle(1.0), antialias=True),
            datum=pg.PlotCurveItem([0.0, _RAYS_TO], [0.0, 0.0]),
            counting=QGraphicsPathItem(),
            others=pg.ScatterPlotItem(hoverable=True, tip=_tip, antialias=True),
            current=pg.ScatterPlotItem(hoverable=True, tip=_tip, antialias=True),
            angle_labels={
                angle: pg.TextItem(figures.angle(angle), anchor=_outwards(angle))
                for angle in range(0, 360, 30)
            },
            ring_labels=[pg.TextItem(anchor=(0.5, 0.5)) for _ in range(8)],
        )
        for z, item in enumerate(
            (items.band, items.rings, items.rays, items.mean, items.datum, items.counting)
        ):
            items._add(item, z - 10)
        for angle, label in items.angle_labels.items():
            label.setPos(*_at(angle, _LABELS_AT))
            items._add(label, 2)
        for label in items.ring_labels:
            items._add(label, 1)
        items._add(items.others, 11)
        items._add(items.current, 13)
        return items

    def _add(self, item: Any, z: float) -> None:
        item.setZValue(z)
        self.view.addItem(item, ignoreBounds=True)

    def provide_curves(self, count: int) -> None:
        """See to it that there are at least so many curves."""
        while len(self.curves) < count:
            curve = pg.PlotCurveItem(antialias=True)
            self._add(curve, 10)
            self.curves.append(curve)

    def style(self, theme: Theme) -> None:
        self.band.setBrush(pg.mkBrush(theme.band))
        self.band.setPen(pg.mkPen(theme.inside, width=1))
        self.rings.setPen(pg.mkPen(theme.grid, width=1))
        self.rays.setPen(pg.mkPen(theme.grid, width=1))
        self.mean.setPen(pg.mkPen(theme.ink, width=1.4))
        self.datum.setPen(pg.mkPen(theme.ink, width=2))
        self.counting.setPen(pg.mkPen(theme.ink, width=1.4))
        self.counting.setBrush(pg.mkBrush(theme.ink))
        for angle, label in self.angle_labels.items():
            label.setText(figures.angle(angle), theme.ink if angle == 0 else theme.faint_ink)


def _tip(x: float, y: float, data: str) -> str:
    return data


def _at(angle_deg: float, distance: float) -> tuple[float, float]:
    return distance * cos(radians(angle_deg)), distance * sin(radians(angle_deg))


def _around(
    angles_deg: ArrayLike, distances: Iterable[float]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    angles = np.radians(np.asarray(angles_deg, dtype=np.float64))
    # What lies further in than the middle would appear on the other side.
    radii = np.maximum(np.array(list(distances), dtype=np.float64), 0.0)
    return radii * np.cos(angles), radii * np.sin(angles)


def _circle(radius: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return _around(_ROUND_DEG, [radius] * len(_ROUND_DEG))


def _outwards(angle_deg: float) -> tuple[float, float]:
    """Return the anchor by which a label hangs on the middle, and lies outside its place."""
    x, y = _at(angle_deg, 0.5)
    return 0.5 - x, 0.5 + y


def _counting_path(from_deg: float, to_deg: float) -> QPainterPath:
    """Draw the way in which angles are counted, as an arc with an arrowhead."""
    path = QPainterPath()
    steps = np.linspace(from_deg, to_deg, 13)
    path.moveTo(*_at(steps[0], _COUNTING_AT))
    for angle in steps[1:]:
        path.lineTo(*_at(angle, _COUNTING_AT))
    for angle in steps[-2::-1]:  # back the same way, so that nothing is filled
        path.lineTo(*_at(angle, _COUNTING_AT))
    tip, base = _at(to_deg, _COUNTING_AT), to_deg - 4.5
    head = [QPointF(*tip), QPointF(*_at(base, _COUNTING_AT + 0.045))]
    head.append(QPointF(*_at(base, _COUNTING_AT - 0.045)))
    path.moveTo(head[0])
    path.lineTo(head[1])
    path.lineTo(head[2])
    path.closeSubpath()
    return path


def _shape(station: int) -> str:
    return _SHAPES[(station - 1) % len(_SHAPES)]


def _colour(station: int, theme: Theme) -> QColor:
    return theme.stations[(station - 1) % len(theme.stations)]


def _station_mark(station: int) -> PaintMark:
    def paint(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(centre)
        painter.scale(0.8 * size, 0.8 * size)
        pen = QPen(_colour(station, theme), 1.0)
        pen.setCosmetic(True)
        painter.setPen(pen)
        painter.setBrush(_colour(station, theme))
        painter.drawPath(Symbols[_shape(station)])
        painter.restore()

    return paint


def _band_mark(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
    painter.setPen(QPen(theme.inside, 1))
    painter.setBrush(theme.band)
    half = size / 2
    painter.drawRect(round(centre.x() - half), round(centre.y() - half), round(size), round(size))
