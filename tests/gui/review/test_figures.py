"""Every plot of every kind of seat paints, in all colours; files of plots are what they say."""

from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.files import example
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.plots.form import form_plot
from seatproof.core.plots.taper import taper_plot
from seatproof.core.plots.undulations import station_spectra
from seatproof.core.plots.unrolled import unrolled_map
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.gui.review.figures.form import FormFigure
from seatproof.gui.review.figures.taper import TaperFigure
from seatproof.gui.review.figures.undulations import UndulationFigure
from seatproof.gui.review.figures.unrolled import MapFigure
from seatproof.gui.shared.figure import paint_figure
from seatproof.gui.shared.figure_export import png_of, save_figure, svg_of
from seatproof.gui.shared.figure_view import FigureView
from seatproof.gui.shared.theme import LIGHT, THEMES
from tests.core.conftest import MemoryStore
from tests.gui.review.conftest import ticking

FURTHER = """
[[seat]]
id = "{name}"
name = "Further set"
same_seat_as = "A"
from = 150
length = 60
nominal = 110
method = "{method}"
stations = [180]
orientations = 12
repeats = 1
{more}
"""


def measured(plan_toml, points=10_000, unit="mm"):
    """Measure so many points of a plan; indicators show three lobes."""
    inspection = Inspection.create(
        MemoryStore(),
        plan_toml=plan_toml,
        identification=Identification(sheet_number="S-1"),
        actor="Ann",
        clock=ticking(),
    )
    step = "0.0001" if unit == "mm" else "0.00005"
    inspection.put_in_service(
        GaugeInService(inventory_number="M", unit=unit, resolution=step, source="-", format="auto")
    )
    for number in range(points):
        key = inspection.state.cursor
        if key is None:
            break
        seat = inspection.state.plan.seat(key.seat_id)
        value = Decimal(number % 3) / 1000
        if seat.method == "two-point":
            value = seat.nominal_mm + Decimal("0.012") + value
        if unit == "in":
            value = (value / Decimal("25.4")).quantize(Decimal("0.00005"))
        inspection.take(Press(value, None, str(value), b"%d" % number, "auto", number))
    return inspection.state


def figures_of(state):
    """Return every figure of every seat."""
    unit = state.plan.unit
    for result in evaluate(state).seats:
        for circle in ReferenceCircle:
            yield FormFigure(form_plot(result, circle), "form", "0°: keyway")
            yield FormFigure(form_plot(result, circle, station=1), "form", "0°: keyway")
        if result.seat.method == "two-point":
            yield TaperFigure(taper_plot(result), "along", unit)
        for spectrum in station_spectra(result):
            yield UndulationFigure(spectrum, "undulations", unit)
        yield MapFigure(unrolled_map(result), "map", unit)


@pytest.fixture(scope="module")
def kiln_fan():
    return example("kiln_fan.toml").read_text(encoding="utf-8")


@pytest.fixture(
    params=["whole", "begun", "nothing", "one point", "inches", "radial", "radial and vee"]
)
def state(request, kiln_fan):
    radial = FURTHER.format(name="A2", method="radial", more="")
    vee = FURTHER.format(name="A3", method="vee", more="vee_angle_deg = 90")
    match request.param:
        case "begun":
            return measured(kiln_fan, 9)
        case "nothing":
            return measured(kiln_fan, 0)
        case "one point":
            return measured(kiln_fan, 1)
        case "inches":
            plan = example("screw_pump.toml").read_text(encoding="utf-8")
            return measured(plan, unit="in")
        case "radial":
            return measured(kiln_fan + radial)
        case "radial and vee":
            return measured(kiln_fan + radial + vee)
    return measured(kiln_fan)


def painted(figure, theme, font, width=500, height=420):
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(theme.outside)
    painter = QPainter(image)
    paint_figure(painter, figure, QRectF(0, 0, width, height), font, theme)
    painter.end()
    return image


def test_every_figure_paints_in_all_colours(qapp, state):
    for number, figure in enumerate(figures_of(state)):
        theme = THEMES[number % len(THEMES)]
        image = painted(figure, theme, qapp.font())
        assert image.pixelColor(1, 418) == theme.paper
        for place in range(len(figure.spots().xs)):
            assert figure.spots().story(place)
    # Nor may one be too small for its words.
    painted(figure, LIGHT, qapp.font(), 20, 20)


def test_files_are_svg_and_png(qapp, kiln_fan, tmp_path):
    figure = next(figures_of(measured(kiln_fan)))
    root = ET.fromstring(svg_of(figure))
    assert root.tag.endswith("svg")
    assert "magnified" in "".join(root.itertext())
    image = QImage.fromData(png_of(figure), "PNG")
    assert (image.width(), image.height()) == (1920, 1440)
    svg, png = save_figure(figure, tmp_path / "new", "a form")
    assert (svg.name, png.name) == ("a form.svg", "a form.png")
    again, _ = save_figure(figure, tmp_path / "new", "a form")
    assert again.name == "a form 2.svg"
    assert svg.read_bytes() == svg_of(figure)


def test_the_view_reads_the_nearest_value_and_none_far_away(qtbot, kiln_fan):
    view = FigureView(LIGHT)
    qtbot.addWidget(view)
    view.resize(600, 600)
    figure = next(figures_of(measured(kiln_fan)))
    view.show_figure(figure)
    view.show()
    view.read_next(1)
    first = view.story
    view.read_next(1)
    assert view.story != first
    view.read_next(-1)
    assert view.story == first
    view.read_at(QPointF(1, 1))
    assert view.story == ""


def test_zooming_keeps_the_place_under_the_pointer(qtbot, kiln_fan):
    view = FigureView(LIGHT)
    qtbot.addWidget(view)
    view.resize(600, 600)
    view.show_figure(next(figures_of(measured(kiln_fan))))
    place = QPointF(400, 350)
    before = view.canvas().back(place)
    view.zoom(2.0, place)
    assert view.canvas().back(place) == pytest.approx(before)
    assert view.shown.width < 4
    for _ in range(60):
        view.zoom(0.5)
    assert view.shown is None  # farther away than the whole makes no sense
