"""The undulation spectrum: an amplitude for each number of lobes, or that it was not seen."""

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QMarginsF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QFontMetricsF, QPainter, QPen

from seatproof.core import figures
from seatproof.core.form.undulation import Seen, Undulation
from seatproof.core.plots.undulations import StationSpectrum
from seatproof.core.units import UM_PER_MM, Unit, from_mm
from seatproof.gui.shared.axes import axes_margins, paint_axes
from seatproof.gui.shared.figure import Canvas, Extent, Figure, Spots, clipped
from seatproof.gui.shared.legend import Entry
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.station_marks import ground_entry, stroke_entry
from seatproof.gui.shared.theme import Theme

_HALF = 0.32  # of a bar


class UndulationFigure(Figure):
    """Paints the spectrum of one station."""

    def __init__(self, spectrum: StationSpectrum, title: str, unit: Unit) -> None:
        self.title = title
        self._unit = unit
        self._spectrum = spectrum
        profile = spectrum.profile
        self._all: tuple[Undulation, ...] = () if profile is None else profile.undulations
        if profile is None:
            self.notes = (say("There is no spectrum: {why}", why=again(spectrum.why_not)),)
            return
        notes = [say("Amplitudes are radial; the height of a lobe is twice its amplitude.")]
        if profile.invisible:
            notes.append(
                say("Hatched: no set-up used here shows that undulation; it may be there.")
            )
        notes.append(say("Fine lines: 95 % interval, from the scatter of the readings."))
        self.notes = tuple(notes)

    def extent(self) -> Extent:
        last = self._all[-1].number if self._all else 6
        # An interval much wider than what was found would leave nothing to be seen of that.
        most = max([0.25, *(one.amplitude_um for one in self._all)])
        tops = [one.amplitude_um + (self._give_or_take(one) or 0.0) for one in self._all]
        return Extent(1.4, last + 0.6, 0.0, 1.12 * min(max([*tops, most]), 2.5 * most))

    def margins(self, metrics: QFontMetricsF) -> QMarginsF:
        return axes_margins(metrics, self._figure(self.extent().high))

    def legend(self) -> Sequence[Entry]:
        return (
            Entry(
                ground_entry(lambda theme: QPen(theme.ink), lambda theme: theme.inside),
                wording("determined"),
                wide=True,
            ),
            Entry(stroke_entry(_hatch_pen), wording("not seen"), wide=True),
        )

    def spots(self) -> Spots:
        return Spots(
            np.array([float(one.number) for one in self._all]),
            np.array([one.amplitude_um for one in self._all]),
            lambda number: self._story(self._all[number]),
        )

    def paint(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        paint_axes(
            painter,
            canvas,
            theme,
            (
                say("undulations a turn"),
                say("amplitude, {unit}", unit=figures.small_unit(self._unit)),
            ),
            (lambda x: f"{x:g}", self._figure),
            at_x=tuple(float(one.number) for one in self._all),
        )
        clipped(painter, canvas)
        for one in self._all:
            if one.seen is Seen.DETERMINED:
                painter.setPen(QPen(theme.ink, 1))
                painter.setBrush(theme.inside)
                painter.drawRect(
                    _box(canvas, one.number - _HALF, one.number + _HALF, one.amplitude_um)
                )
                self._paint_interval(painter, canvas, one, theme)
            else:
                top = canvas.shown.high if canvas.shown.high > 0 else 1.0
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(QBrush(theme.faint_ink, Qt.BrushStyle.BDiagPattern))
                painter.drawRect(_box(canvas, one.number - _HALF, one.number + _HALF, 0.5 * top))

    def _paint_interval(
        self, painter: QPainter, canvas: Canvas, one: Undulation, theme: Theme
    ) -> None:
        half = self._give_or_take(one)
        if half is None:
            return
        painter.setPen(QPen(theme.ink, 1.4))
        low, high = max(one.amplitude_um - half, 0.0), one.amplitude_um + half
        painter.drawLine(canvas.at(one.number, low), canvas.at(one.number, high))
        for end in (low, high):
            place = canvas.at(one.number, end)
            painter.drawLine(place - QPointF(4, 0), place + QPointF(4, 0))

    def _story(self, one: Undulation) -> str:
        lobes = say("{count} undulations a turn", count=str(one.number))
        if one.seen is not Seen.DETERMINED:
            why = say("not determined: {why}", why=again(one.seen.value))
            return f"{lobes}\n{why}"
        half = self._give_or_take(one)
        amplitude = figures.small(one.amplitude_um, self._unit)
        said = (
            say("amplitude {amplitude}, radial", amplitude=amplitude)
            if half is None
            else say(
                "amplitude {amplitude} ± {half} (95 %), radial",
                amplitude=amplitude,
                half=figures.small(half, self._unit),
            )
        )
        crest = say("first crest at {angle}", angle=figures.angle(one.phase_deg / one.number))
        return f"{lobes}\n{said}\n{crest}"

    def _give_or_take(self, one: Undulation) -> float | None:
        return self._spectrum.give_or_take_um(one)

    def _figure(self, um: float) -> str:
        if self._unit is Unit.MM:
            return f"{um:g}"
        return f"{float(from_mm(um / UM_PER_MM, self._unit)):.6f}"


def _hatch_pen(theme: Theme) -> QPen:
    return QPen(QBrush(theme.faint_ink, Qt.BrushStyle.BDiagPattern), 10)


def _box(canvas: Canvas, left: float, right: float, top: float) -> QRectF:
    return QRectF(canvas.at(left, top), canvas.at(right, 0.0))
