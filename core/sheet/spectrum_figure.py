"""The undulations of a station as bars on paper: how many a turn, and how large."""

from typing import Final

from seatproof.core.figures import small_unit
from seatproof.core.plots.steps import ticks
from seatproof.core.sheet.figure import HAIR, THIN, Figure, at, from_scale, in_scale, scale_number
from seatproof.core.sheet.style import INK, RULE, SMALL, SOFT
from seatproof.core.units import Unit
from seatproof.core.wording.content import Spectrum

_HEIGHT: Final = 60.0
_TITLE_ROOM: Final = 13.0
_LEFT: Final = 44.0
_BOTTOM: Final = 12.0
_TICKS: Final = 3
_BAR_SHARE: Final = 0.55
_WIDEST_STEP: Final = 30.0  # few bars stand close together rather than spread over the page


class SpectrumFigure(Figure):
    """Bars over the number of undulations; a cross where the readings show nothing."""

    def __init__(self, spectrum: Spectrum, title: str, unit: Unit, width: float) -> None:
        super().__init__(f"{title}, {spectrum.label} ({small_unit(unit)})", width, _HEIGHT)
        self._spectrum = spectrum
        self._unit = unit
        largest_um = max((bar.amplitude_um or 0.0 for bar in spectrum.bars), default=0.0)
        self._ticks = ticks(0.0, max(in_scale(largest_um, unit), in_scale(0.1, unit)), _TICKS)
        self._step = min(_WIDEST_STEP, (width - _LEFT) / max(1, len(spectrum.bars)))

    def draw(self) -> None:
        self._draw_title()
        right = at(_LEFT + self._step * len(self._spectrum.bars))
        self.canv.setLineWidth(HAIR)
        for value in self._ticks:
            y = self._y(from_scale(value, self._unit))
            self.canv.setStrokeColor(RULE)
            self.canv.line(_LEFT, y, right, y)
            text = scale_number(from_scale(value, self._unit), self._unit)
            self._letter(_LEFT - 3.0, y - 2.2, text, anchor=1.0)
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(THIN)
        self.canv.line(_LEFT, _BOTTOM, right, _BOTTOM)
        for number, bar in enumerate(self._spectrum.bars):
            middle = at(_LEFT + (number + 0.5) * self._step)
            if bar.amplitude_um is None:
                self._letter(middle, _BOTTOM + 2.0, "×", anchor=0.5, tone=SOFT)
            else:
                self.canv.setFillColor(INK)
                wide = at(_BAR_SHARE * self._step)
                high = at(self._y(bar.amplitude_um) - _BOTTOM)
                self.canv.rect(at(middle - wide / 2.0), _BOTTOM, wide, high, stroke=0, fill=1)
            self._letter(middle, _BOTTOM - SMALL - 1.0, str(bar.undulations), anchor=0.5)

    def _y(self, amplitude_um: float) -> float:
        top = self.height - _TITLE_ROOM - 4.0
        share = in_scale(amplitude_um, self._unit) / self._ticks[-1]
        return at(_BOTTOM + share * (top - _BOTTOM))
