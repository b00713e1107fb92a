"""Tables of the sheet on the screen: every text is there, and nothing where there is no table."""

from seatproof.core.wording.content import Grid, Section
from seatproof.gui.shared.grid_card import GridCard

BUDGET = Section(
    heading="Uncertainty budget of seat A",
    grids=(
        Grid(
            caption="One local size",
            heads=("contribution", "u, µm"),
            shares=(0.8, 0.2),
            figures=(1,),
            rows=(("repeatability", "0.500"), ("setting standard", "0.250")),
            note="U = 1.2 µm.",
        ),
    ),
)


def test_every_text_of_the_tables_is_shown(qtbot):
    card = GridCard()
    qtbot.addWidget(card)
    card.show_section(BUDGET)
    assert not card.isHidden()
    shown = set(card.texts)
    assert {"Uncertainty budget of seat A", "One local size", "U = 1.2 µm."} <= shown
    assert {"contribution", "repeatability", "0.500", "setting standard", "0.250"} <= shown


def test_section_without_tables_takes_no_room(qtbot):
    card = GridCard()
    qtbot.addWidget(card)
    card.show_section(BUDGET)
    card.show_section(Section(heading="Uncertainty budget of seat A"))
    assert card.isHidden()
