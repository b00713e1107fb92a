"""Opening an inspection for review, and frames of a form plot of five dense traces."""

import os
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
from PySide6.QtCore import QEvent, QPointF
from PySide6.QtWidgets import QApplication

from seatproof.core.archive.file import Archive
from seatproof.core.archive.query import Query
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.plots.form import FormPlot, FormTrace
from seatproof.core.units import Unit
from seatproof.gui.review.figures.form import FormFigure
from seatproof.gui.review.place import ReviewPlace
from seatproof.gui.settings import Settings
from seatproof.gui.shared.figure_view import FigureView
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.workplace import Workplace
from tests.speed import archive as generated
from tests.speed.table import Row, timed_row

_OPENING_MS = 300
_FRAME_MS = 1000 / 30
_TRACES, _POINTS = 5, 3600
_INSPECTIONS = int(os.environ.get("REVIEWED", "200"))


def rows() -> Iterable[Row]:
    """Time the place itself, painted as a person sees it."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    app = QApplication.instance() or QApplication(["speed"])
    assert isinstance(app, QApplication)
    apply_theme(app, LIGHT)
    yield from _opening(app)
    yield from _frames(app)


def _opening(app: QApplication) -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "archive.seatproof"
        generated.build(path, _INSPECTIONS)
        workplace = Workplace(Archive.open(path))
        place = ReviewPlace(workplace, LIGHT, Settings())
        place.resize(1280, 800)
        place.show()
        entries = iter(workplace.archive.find(Query(sealed=True), size=_INSPECTIONS).entries)

        def opened() -> None:
            place.open_entry(next(entries))
            app.processEvents()

        yield timed_row(
            "an inspection of 60 readings opened for review and painted", _OPENING_MS, opened, 40
        )
        place.shut()
        place.close()
        place.deleteLater()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        workplace.close()


def _frames(app: QApplication) -> Iterator[Row]:
    view = FigureView(LIGHT)
    view.resize(1200, 900)
    view.show_figure(FormFigure(dense_plot(), "five traces", "0°: keyway"))
    view.show()
    app.processEvents()
    angles = iter(np.linspace(0, 2 * np.pi, 300))

    def hover() -> None:
        turn = next(angles)
        view.read_at(QPointF(600 + 250 * np.cos(turn), 450 + 250 * np.sin(turn)))
        view.repaint()

    what = f"of {_TRACES} × {_POINTS} points"
    yield timed_row(f"a frame while hovering over a plot {what}", _FRAME_MS, hover, 100)
    factors = iter([1.05] * 60 + [1 / 1.05] * 60)

    def zoom() -> None:
        view.zoom(next(factors), QPointF(700, 300))
        view.repaint()

    yield timed_row(f"a frame while zooming a plot {what}", _FRAME_MS, zoom, 100)
    view.fit()

    def move() -> None:
        view.move_by(3, 2)
        view.repaint()

    yield timed_row(f"a frame while moving a plot {what}", _FRAME_MS, move, 100)
    view.close()
    view.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def dense_plot() -> FormPlot:
    """Make five stations of many points, with lobes and noise."""
    random = np.random.default_rng(3)
    angles = np.linspace(0, 360, _POINTS, endpoint=False)
    turn = np.radians(angles)
    traces = []
    for station in range(1, _TRACES + 1):
        departures = 3 * np.cos(2 * turn + station) + np.cos(7 * turn)
        departures += random.normal(0, 0.3, _POINTS)
        traces.append(
            FormTrace(
                station=station,
                label=f"station {station}",
                z_mm=10.0 * station,
                angles_deg=angles,
                departures_um=departures,
                curve_deg=np.empty(0),
                curve_um=np.empty(0),
                centre_um=(0.0, 0.0),
                zone_um=float(np.ptp(departures)),
                contacts_out=(int(np.argmax(departures)),),
                contacts_in=(int(np.argmin(departures)),),
            )
        )
    return FormPlot(
        unit=Unit.MM,
        reference=ReferenceCircle.LSC,
        traces=tuple(traces),
        radius_mm=55.0,
        magnification=2000,
        grid_um=2.0,
        tolerance_um=7.5,
        refused=(),
    )
