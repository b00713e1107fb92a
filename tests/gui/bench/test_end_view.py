import numpy as np
import pytest
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from seatproof.gui.bench.end_view import EndView
from seatproof.gui.bench.points import PointMark
from seatproof.gui.shared.theme import DARK, LIGHT

pytestmark = [pytest.mark.qt_log_level_fail("WARNING")]

SIZES = [(200, 150), (340, 360), (1900, 1000)]
CASES = [(size, scale, LIGHT) for size in SIZES for scale in (1.0, 2.0)] + [(SIZES[1], 1.0, DARK)]


def image_of(view: EndView) -> QImage:
    return view.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)


def places_of(view: EndView, colour) -> list[tuple[int, int]]:
    image = image_of(view)
    wanted = colour.rgb()
    pixels = np.frombuffer(image.constBits(), np.uint32).reshape(image.height(), image.width())
    rows, columns = np.nonzero(pixels == wanted)
    return list(zip(columns.tolist(), rows.tolist(), strict=True))


def at_station(state, views, station: int):
    return tuple(v for v in views(state) if (v.point.seat_id, v.point.station) == ("A", station))


@pytest.fixture
def end(qtbot: QtBot) -> EndView:
    view = EndView(LIGHT)
    qtbot.addWidget(view)
    view.resize(340, 360)
    return view


@pytest.mark.parametrize(("size", "text_scale", "theme"), CASES)
@pytest.mark.parametrize("plan", ["single", "kiln_fan", "dense"])
def test_the_diameter_to_measure_is_shown_at_every_size(
    request, qtbot: QtBot, dress, measure, views, plan, size, text_scale, theme
) -> None:
    view = EndView(dress(theme, text_scale))
    qtbot.addWidget(view)
    view.resize(*size)
    state = measure(request.getfixturevalue(plan), 0)
    view.show_section(state.plan, state.plan.seats[0], at_station(state, views, 1))
    assert len(places_of(view, theme.next)) > 100


def test_without_a_plan_it_is_plain_paper(end: EndView) -> None:
    assert len(places_of(end, LIGHT.paper)) == 340 * 360


def test_a_seat_without_points_shows_no_diameter_to_measure(end, measure, kiln_fan) -> None:
    plan = measure(kiln_fan, 0).plan
    end.show_section(plan, plan.seats[1])
    assert places_of(end, LIGHT.next) == []
    assert places_of(end, LIGHT.ink) != []


@pytest.mark.parametrize(("orientation", "upright"), [(1, False), (4, True)])
def test_the_diameter_lies_at_its_angle(
    end, measure, views, kiln_fan, orientation, upright
) -> None:
    state = measure(kiln_fan, orientation - 1)
    end.show_section(state.plan, state.plan.seats[0], at_station(state, views, 1))
    foot = 360 - 40  # below lies the angle in words, on the same colour
    places = [(x, y) for x, y in places_of(end, LIGHT.next) if y < foot]
    width = max(x for x, _ in places) - min(x for x, _ in places)
    height = max(y for _, y in places) - min(y for _, y in places)
    assert (height > 5 * width) is upright
    assert end.accessibleDescription() == f"across {30 * (orientation - 1)}°"


def test_what_is_done_is_marked_and_what_is_open_is_not(end, measure, views, kiln_fan) -> None:
    untouched = measure(kiln_fan, 0)
    end.show_section(untouched.plan, untouched.plan.seats[0], at_station(untouched, views, 1))
    assert places_of(end, LIGHT.inside) == []
    begun = measure(kiln_fan, 2)
    points = at_station(begun, views, 1)
    assert [view.mark for view in points].count(PointMark.INSIDE) == 2
    end.show_section(begun.plan, begun.plan.seats[0], points)
    assert len(places_of(end, LIGHT.inside)) > 50
