"""What several places share speaks the language of the window, and hands on what it was given."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QImage, QPainter
from PySide6.QtWidgets import QCheckBox, QLabel

from seatproof.core.verdict.rule import Verdict
from seatproof.core.wording.content import Numbers, RequirementLine
from seatproof.gui.bench.points import PointMark
from seatproof.gui.shared.axes import paint_axes
from seatproof.gui.shared.entry_form import Choice, EntryForm
from seatproof.gui.shared.entry_rows import EntryRows
from seatproof.gui.shared.entry_spec import Entry, Remark, choice, yes
from seatproof.gui.shared.figure import Canvas, Extent
from seatproof.gui.shared.figure_label import FigureLabel
from seatproof.gui.shared.legend import Entry as LegendEntry
from seatproof.gui.shared.legend import lay_out
from seatproof.gui.shared.marks import BigMark, PointMarkLabel, VerdictLabel
from seatproof.gui.shared.page_view import PageView
from seatproof.gui.shared.saying import use_language
from seatproof.gui.shared.theme import LIGHT
from seatproof.gui.shared.verdict_cards import VerdictCards

FIELDS = (
    Entry("size", "departure, {unit}"),
    choice("verdict", "Verdict", ("conforms", "not proven")),
    yes("done", "no readings"),
)


@pytest.fixture(autouse=True)
def german() -> Iterator[None]:
    use_language("de")
    yield
    use_language("en")


def test_a_form_says_its_captions_and_tells_its_values_as_they_are(qtbot):
    form = EntryForm("x")
    qtbot.addWidget(form)
    form.show_form(FIELDS, {"verdict": "conforms"}, {"size": Remark("No readings yet.")}, "mm")
    captions = [label.text() for label in form.findChildren(QLabel)]
    assert "Abweichung, mm" in captions
    assert "✗ Noch keine Messwerte." in captions
    assert form.findChild(QCheckBox).text() == "keine Messwerte"
    box = form.fields["verdict"]
    assert box.currentText() == "erfüllt"
    told = []
    form.edited.connect(lambda *change: told.append(change))
    qtbot.keyClick(box, Qt.Key.Key_Down)
    assert box.currentText() == "nicht erwiesen"
    assert told == [("verdict", "not proven")]


def test_rows_say_their_captions_and_what_their_buttons_do(qtbot):
    rows = EntryRows("y", FIELDS[:1], "Copy")
    qtbot.addWidget(rows)
    rows.show_rows([{"size": "1"}], unit="in")
    assert rows.fields[0, "size"].accessibleName() == "Abweichung, in, 1"
    assert rows.findChild(object, "y_add").text() == "Kopieren"
    assert rows.findChild(object, "y_1_less").toolTip() == "entfernen"


def test_an_offered_word_that_is_typed_means_its_value(qtbot):
    box = Choice(is_open=True)
    qtbot.addWidget(box)
    box.offer((("good", "good"), ("auto", "auto")))
    told = []
    box.chosen.connect(told.append)
    box.show_value("good")
    assert box.currentText() == "gut"
    box.lineEdit().clear()
    qtbot.keyClicks(box.lineEdit(), "gut")
    assert told[-1] == "good"
    qtbot.keyClicks(box.lineEdit(), "er")
    assert told[-1] == "guter"  # a person's own word


@pytest.mark.parametrize(
    ("label", "show", "mark", "word"),
    [
        (VerdictLabel, "show_verdict", Verdict.NOT_PROVEN, "nicht erwiesen"),
        (PointMarkLabel, "show_mark", PointMark.ABOVE, "über der oberen Grenze"),
        (BigMark, "show_mark", PointMark.ABOVE, "über der oberen Grenze"),
    ],
)
def test_a_mark_has_its_word(qtbot, label, show, mark, word):
    widget = label(LIGHT)
    qtbot.addWidget(widget)
    getattr(widget, show)(mark)
    assert widget.text == word
    assert widget.accessibleName() == word
    if label is not BigMark:
        assert widget.sizeHint().width() > widget.fontMetrics().horizontalAdvance(word)


def test_a_legend_has_room_for_what_it_says(qapp):
    metrics = QFontMetricsF(QFont())
    german, english = "nachzuarbeiten", "to be reworked"
    width = metrics.horizontalAdvance(german) + 1.15 * metrics.height() + 0.01
    entry = LegendEntry(lambda *_: None, english)
    assert lay_out((entry,), metrics, width, 1)[1] == 0
    assert lay_out((entry,), metrics, width - 1.0, 1)[1] == 1


def test_large_figures_have_a_decimal_comma(qtbot):
    label = FigureLabel("DejaVu Sans")
    qtbot.addWidget(label)
    label.show_figures("110.0123")
    assert (label.text, label.accessibleName()) == ("110,0123", "110,0123")


def test_axes_have_decimal_commas(qapp):
    asked: list[float] = []

    def lettering(value: float) -> str:
        asked.append(value)
        return f"{value:.1f}"

    def painted(language, letters) -> QImage:
        use_language(language)
        image = QImage(300, 200, QImage.Format.Format_RGB32)
        image.fill(LIGHT.paper)
        painter = QPainter(image)
        metrics = QFontMetricsF(painter.font())
        canvas = Canvas(QRectF(60, 20, 200, 140), Extent(0.0, 1.0, 0.0, 1.0), metrics)
        paint_axes(painter, canvas, LIGHT, ("", ""), (letters, letters), at_x=(0.5,), at_y=(0.5,))
        painter.end()
        return image

    commas = painted("en", lambda value: f"{value:.1f}".replace(".", ","))
    assert painted("de", lettering) == commas
    assert painted("en", lettering) != commas
    assert asked == [0.5] * 4


def test_requirements_are_said_with_their_figures(qtbot):
    line = RequirementLine(
        seat="A",
        characteristic="size",
        sense="diametral",
        limits="110.003 … 110.025 mm",
        value="110.0121 … 110.0134 mm",
        uncertainty="3.0 µm (k\N{NO-BREAK SPACE}=\N{NO-BREAK SPACE}2.05)",
        probability="98.7\N{NO-BREAK SPACE}%",
        numbers=Numbers(unit="mm", small_unit="µm"),
        verdict=Verdict.CONFORMS,
        judged="every local size",
        reasons=("No setting standard is in service.",),
    )
    cards = VerdictCards(LIGHT)
    qtbot.addWidget(cards)
    cards.show_seats([("Sitz A", [line])])
    said = [label.text().replace("\N{NO-BREAK SPACE}", " ") for label in cards.findChildren(QLabel)]
    assert said == [
        "Sitz A",
        "Maß, diametral: erfüllt",
        "gefunden 110,0121 … 110,0134 mm; Grenzen 110,003 … 110,025 mm",
        "U 3,0 µm (k = 2,05); Konformitätswahrscheinlichkeit 98,7 %",
        "Beurteilt: jedes örtliche Maß. Kein Einstellnormal ist in Gebrauch.",
    ]


def test_pages_are_counted(qtbot):
    view = PageView()
    qtbot.addWidget(view)
    page = QImage(10, 10, QImage.Format.Format_RGB32)
    view.show_pages([page, page])
    assert view.words.text() == "Seite 1 von 2"
    view.show_pages((), "The sheet's pages cannot be shown: no PDF.")
    assert view.words.text() == "Die Seiten des Blattes lassen sich nicht zeigen: no PDF."
