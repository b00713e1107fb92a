"""The polar form plot: stations about a reference circle, its centre, zone, contacts, tolerance."""

from collections.abc import Sequence
from math import cos, radians, sin
from typing import Final

import numpy as np
from numpy.typing import ArrayLike
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from seatproof.core import figures
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.plots.form import FormPlot, FormTrace
from seatproof.gui.shared.figure import Canvas, Extent, Figure, FloatArray, Spots, polygon
from seatproof.gui.shared.legend import Entry
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.station_marks import (
    ground_entry,
    paint_station_mark,
    station_colour,
    station_entry,
    stroke_entry,
)
from seatproof.gui.shared.theme import Theme

WORDS: Final = {
    ReferenceCircle.LSC: wording("least-squares circle (LSC)"),
    ReferenceCircle.MZC: wording("minimum zone circles (MZC)"),
    ReferenceCircle.MCC: wording("minimum circumscribed circle (MCC)"),
    ReferenceCircle.MIC: wording("maximum inscribed circle (MIC)"),
}
_REACH: Final = 1.62
_SPOKES_TO: Final = 1.36
_LABELS_AT: Final = 1.46
_MARKERS: Final = 240  # more points than this are a line without markers
_ROUND: Final = np.linspace(0.0, 360.0, 181)


class FormFigure(Figure):
    """Paints a `FormPlot`."""

    is_square = True

    def __init__(self, plot: FormPlot, title: str, datum: str) -> None:
        self.plot = plot
        self.title = title
        unit = plot.unit
        self._is_profile = any(trace.is_profile for trace in plot.traces)
        times, grid = str(plot.magnification), figures.tolerance(plot.grid_um, unit)
        if self._is_profile:
            zone = max(trace.zone_um or 0.0 for trace in plot.traces)
            notes = [
                say(
                    "About the {circle}; departures magnified {times}×; grid {grid} (radial).",
                    circle=say(WORDS[plot.reference]),
                    times=times,
                    grid=grid,
                ),
                say("Widest zone shown {zone}.", zone=figures.small(zone, unit)),
            ]
        else:
            notes = [
                say(
                    "Two-point: half of each diameter's deviation from the station's mean, drawn "
                    "at both ends; magnified {times}×; grid {grid} (radial).",
                    times=times,
                    grid=grid,
                )
            ]
        if plot.tolerance_um is not None:
            tolerance = figures.tolerance(plot.tolerance_um, unit)
            notes.append(say("Roundness tolerance {tolerance}.", tolerance=tolerance))
        notes.append(f"{datum}.")
        notes += [again(sentence) for sentence in plot.refused]
        self.notes = tuple(notes)
        self._spots = self._find_spots()

    def extent(self) -> Extent:
        return Extent(-_REACH, _REACH, -_REACH, _REACH)

    def spots(self) -> Spots:
        return self._spots

    def legend(self) -> Sequence[Entry]:
        entries = [
            Entry(station_entry(trace.station), trace.label) for trace in self.plot.traces[:8]
        ]
        if self._is_profile:
            entries += [
                Entry(stroke_entry(_reference_pen), wording("reference circle"), wide=True),
                Entry(stroke_entry(_zone_pen), wording("zone"), wide=True),
                Entry(_paint_contact, wording("contact")),
                Entry(_paint_centre, wording("centre")),
            ]
        else:
            entries.append(Entry(stroke_entry(_reference_pen), wording("mean circle"), wide=True))
        if self.plot.tolerance_um is not None:
            entries.append(
                Entry(
                    ground_entry(_no_pen, lambda theme: theme.band),
                    wording("roundness tolerance"),
                    wide=True,
                )
            )
        return entries

    def paint(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        painter.setClipRect(canvas.area)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_band(painter, canvas, theme)
        self._paint_grid(painter, canvas, theme)
        plot = self.plot
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(_reference_pen(theme))
        self._ring(painter, canvas, 1.0)
        if len(plot.traces) == 1 and self._is_profile:
            painter.setPen(_zone_pen(theme))
            for edge in (plot.traces[0].highest_um, plot.traces[0].lowest_um):
                self._ring(painter, canvas, float(plot.relative(edge)))
        for trace in plot.traces:
            self._paint_trace(painter, canvas, trace, theme)
        for trace in plot.traces if self._is_profile else ():
            self._paint_centre_of(painter, canvas, trace, theme)
        self._paint_words(painter, canvas, theme)

    # --- parts -----------------------------------------------------------------------------------

    def _paint_band(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        band = self.plot.band_um()
        if band is None:
            return
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.OddEvenFill)
        for edge in band:
            path.addEllipse(_box(canvas, max(float(self.plot.relative(edge)), 0.0)))
        painter.fillPath(path, theme.band)

    def _paint_grid(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        plot = self.plot
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(theme.grid, 1))
        for step in range(-12, 13):
            radius = float(plot.relative(step * plot.grid_um))
            if step and 0.1 < radius < _SPOKES_TO:
                self._ring(painter, canvas, radius)
        for angle in range(0, 360, 30):
            turn = radians(angle)
            strong = angle == 0
            painter.setPen(QPen(theme.ink if strong else theme.grid, 1.6 if strong else 1))
            start = 0.1
            painter.drawLine(
                canvas.at(start * cos(turn), start * sin(turn)),
                canvas.at(_SPOKES_TO * cos(turn), _SPOKES_TO * sin(turn)),
            )

    def _paint_trace(
        self, painter: QPainter, canvas: Canvas, trace: FormTrace, theme: Theme
    ) -> None:
        colour = station_colour(trace.station, theme)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(colour, 1.6 * theme.stroke if len(trace.angles_deg) < _MARKERS else 1))
        if len(trace.curve_deg):
            painter.drawPolyline(self._line(canvas, trace.curve_deg, trace.curve_um))
        else:
            closed = np.append(trace.angles_deg, trace.angles_deg[:1])
            values = np.append(trace.departures_um, trace.departures_um[:1])
            painter.drawPolyline(self._line(canvas, closed, values))
        if len(trace.angles_deg) < _MARKERS:
            xs, ys = self._places(trace.angles_deg, trace.departures_um)
            for x, y in zip(canvas.xs(xs), canvas.ys(ys), strict=True):
                place = QPointF(float(x), float(y))
                paint_station_mark(painter, trace.station, place, 0.6 * canvas.em, theme)
        if len(self.plot.traces) == 1:
            self._paint_contacts(painter, canvas, trace, theme)

    def _paint_contacts(
        self, painter: QPainter, canvas: Canvas, trace: FormTrace, theme: Theme
    ) -> None:
        for number in (*trace.contacts_out, *trace.contacts_in):
            xs, ys = self._places(
                trace.angles_deg[number : number + 1], trace.departures_um[number : number + 1]
            )
            _paint_contact(painter, canvas.at(float(xs[0]), float(ys[0])), canvas.em, theme)

    def _paint_centre_of(
        self, painter: QPainter, canvas: Canvas, trace: FormTrace, theme: Theme
    ) -> None:
        """Mark the centre; where readings show it, at its magnified place from the axis."""
        factor = self.plot.magnification / self.plot.radius_mm / 1000.0
        x, y = trace.centre_um[0] * factor, trace.centre_um[1] * factor
        away = np.hypot(x, y)
        if away > 0.9:  # outside it would be taken for a point of the profile
            x, y = 0.9 * x / away, 0.9 * y / away
        _paint_centre(painter, canvas.at(x, y), canvas.em, theme)

    def _paint_words(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        metrics = canvas.metrics
        room = canvas.area.width() / canvas.shown.width > 5 * canvas.em
        painter.setPen(theme.ink)
        for angle in range(0, 360, 30 if room else 90):
            text = f"{angle}°"  # a whole number
            place = canvas.at(_LABELS_AT * cos(radians(angle)), _LABELS_AT * sin(radians(angle)))
            width = metrics.horizontalAdvance(text)
            box = QRectF(place.x() - width, place.y() - canvas.em / 2, 2 * width, canvas.em)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def _ring(self, painter: QPainter, canvas: Canvas, radius: float) -> None:
        painter.drawEllipse(_box(canvas, radius))

    def _line(self, canvas: Canvas, angles: ArrayLike, values: ArrayLike) -> QPolygonF:
        xs, ys = self._places(angles, values)
        return polygon(canvas.xs(xs), canvas.ys(ys))

    def _places(self, angles: ArrayLike, values: ArrayLike) -> tuple[FloatArray, FloatArray]:
        turn = np.radians(np.asarray(angles, dtype=np.float64))
        radius = self.plot.relative(np.asarray(values, dtype=np.float64))
        return radius * np.cos(turn), radius * np.sin(turn)

    def _find_spots(self) -> Spots:
        traces, unit = self.plot.traces, self.plot.unit
        if not traces:
            return Spots()
        places = [self._places(trace.angles_deg, trace.departures_um) for trace in traces]
        sizes = np.cumsum([0, *(len(trace.angles_deg) for trace in traces)])

        def story(number: int) -> str:
            which = int(np.searchsorted(sizes, number, side="right")) - 1
            trace, place = traces[which], number - int(sizes[which])
            departure = figures.small(float(trace.departures_um[place]), unit, sign=True)
            lines = [
                " · ".join(
                    (
                        again(trace.label),
                        again(f"{figures.position(trace.z_mm, unit)} {unit}"),
                        again(figures.angle(float(trace.angles_deg[place]))),
                    )
                )
            ]
            if trace.zone_um is None:
                lines.append(
                    say(
                        "{departure}: half the diameter's deviation from the mean",
                        departure=departure,
                    )
                )
                return "\n".join(lines)
            lines += [
                say("{departure} (radial) from the reference circle", departure=departure),
                say("zone of the station {zone}", zone=figures.small(trace.zone_um, unit)),
            ]
            if place in trace.contacts_out:
                lines.append(say("farthest out: a contact of the zone"))
            elif place in trace.contacts_in:
                lines.append(say("farthest in: a contact of the zone"))
            return "\n".join(lines)

        return Spots(
            np.concatenate([xs for xs, _ in places]),
            np.concatenate([ys for _, ys in places]),
            story,
        )


def _box(canvas: Canvas, radius: float) -> QRectF:
    return QRectF(canvas.at(-radius, radius), canvas.at(radius, -radius))


def _reference_pen(theme: Theme) -> QPen:
    return QPen(theme.ink, 1.8 * theme.stroke)


def _zone_pen(theme: Theme) -> QPen:
    return QPen(theme.faint_ink, 1.2 * theme.stroke, Qt.PenStyle.DashLine)


def _no_pen(theme: Theme) -> QPen:
    del theme
    return QPen(Qt.PenStyle.NoPen)


def _paint_contact(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(theme.ink), 2))
    painter.drawEllipse(centre, 0.45 * size, 0.45 * size)
    painter.drawEllipse(centre, 0.2 * size, 0.2 * size)


def _paint_centre(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
    painter.setPen(QPen(QColor(theme.ink), 1.6))
    reach = 0.42 * size
    painter.drawLine(centre - QPointF(reach, 0), centre + QPointF(reach, 0))
    painter.drawLine(centre - QPointF(0, reach), centre + QPointF(0, reach))
