"""Colours and lettering: palettes by role, and their application to the whole program.

Blue stands for inside and vermilion for outside, a pair that every common form of colour blindness
keeps apart (after Okabe and Ito), and no colour stands without a mark of its own shape or a
word. The accent belongs to what comes next and to nothing else.
"""

from dataclasses import dataclass
from functools import cache
from math import ceil
from typing import Final

from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from seatproof.core.files import resource

BASE_POINT_SIZE: Final = 11.0
FAMILY: Final = "DejaVu Sans"
DRAWING_FAMILY: Final = "DejaVu Sans Condensed"
FONT_FILES: Final = (
    "DejaVuSans.ttf",
    "DejaVuSans-Bold.ttf",
    "DejaVuSansCondensed.ttf",
    "DejaVuSansCondensed-Bold.ttf",
    "DejaVuSansMono.ttf",
)
MM_PER_INCH: Final = 25.4
# What a finger in a glove hits without looking twice.
TOUCH_MM: Final = 15.0


@dataclass(frozen=True, slots=True)
class Theme:
    """A palette by role.

    Attributes
    ----------
    name : str
        The word by which a person chooses it.
    paper, ink, faint_ink : QColor
        Ground of drawings and plots, what is written on it, and what stands back.
    grid : QColor
        Lines that only guide the eye.
    panel, edge : QColor
        Ground of the window round the drawings, and the border of what can be pressed.
    inside, outside, unproven : QColor
        Within the limits, beyond them, and not decided by the measurement.
    next, on_next : QColor
        The accent for what comes next, and what is written on it.
    band, guard : QColor
        Pale grounds: where values may lie, and where they prove nothing.
    focus : QColor
        The ring round what the keyboard acts on.
    stations : tuple of QColor
        Colours that keep stations apart, never without a marker's shape.
    figure_family : str
        The face of figures that are read from afar.
    stroke : float
        How thick lines are against the usual.
    """

    name: str
    paper: QColor
    ink: QColor
    faint_ink: QColor
    grid: QColor
    panel: QColor
    edge: QColor
    inside: QColor
    outside: QColor
    unproven: QColor
    next: QColor
    on_next: QColor
    band: QColor
    guard: QColor
    focus: QColor
    stations: tuple[QColor, ...]
    figure_family: str = DRAWING_FAMILY
    stroke: float = 1.0


LIGHT: Final = Theme(
    name="light",
    paper=QColor("#ffffff"),
    ink=QColor("#101214"),
    faint_ink=QColor("#565d63"),
    grid=QColor("#d3d7da"),
    panel=QColor("#eceeef"),
    edge=QColor("#7b8288"),
    inside=QColor("#00558c"),
    outside=QColor("#c94400"),
    unproven=QColor("#4a4f54"),
    next=QColor("#a51fff"),
    on_next=QColor("#ffffff"),
    band=QColor("#e0effa"),
    guard=QColor("#ededed"),
    focus=QColor("#101214"),
    stations=(
        QColor("#00705a"),
        QColor("#7a5200"),
        QColor("#5a4fb0"),
        QColor("#3d444a"),
        QColor("#287a9c"),
    ),
)
DARK: Final = Theme(
    name="dark",
    paper=QColor("#14171a"),
    ink=QColor("#f4f6f7"),
    faint_ink=QColor("#a6afb6"),
    grid=QColor("#3a4249"),
    panel=QColor("#22272b"),
    edge=QColor("#87919a"),
    inside=QColor("#6cbcf0"),
    outside=QColor("#ff8a4c"),
    unproven=QColor("#c3cad0"),
    next=QColor("#cf40ff"),
    on_next=QColor("#14171a"),
    band=QColor("#16344a"),
    guard=QColor("#2c3237"),
    focus=QColor("#f4f6f7"),
    stations=(
        QColor("#3fcfa8"),
        QColor("#e0b34a"),
        QColor("#b3a8ff"),
        QColor("#c3cad0"),
        QColor("#7fd0ea"),
    ),
)
# For the sun on the screen: what glare leaves of a picture are its darkest lines on its lightest
# ground, so nothing stands back and nothing is pale.
CONTRAST: Final = Theme(
    name="high contrast",
    paper=QColor("#ffffff"),
    ink=QColor("#000000"),
    faint_ink=QColor("#1c1c1c"),
    grid=QColor("#8a8a8a"),
    panel=QColor("#ffffff"),
    edge=QColor("#000000"),
    inside=QColor("#003a75"),
    outside=QColor("#b83200"),
    unproven=QColor("#000000"),
    next=QColor("#9000e6"),
    on_next=QColor("#ffffff"),
    band=QColor("#cfe4f7"),
    guard=QColor("#dedede"),
    focus=QColor("#000000"),
    stations=(
        QColor("#005c49"),
        QColor("#664400"),
        QColor("#463a9e"),
        QColor("#262b30"),
        QColor("#1f6483"),
    ),
    stroke=1.5,
)
THEMES: Final = (LIGHT, DARK, CONTRAST)


def theme_called(name: str) -> Theme:
    """Return the palette of a name; `KeyError` where there is none."""
    return {theme.name: theme for theme in THEMES}[name]


def apply_theme(app: QApplication, theme: Theme, text_scale: float = 1.0) -> None:
    """Give the whole program its lettering, colours and sizes of what can be pressed.

    Parameters
    ----------
    app : QApplication
    theme : Theme
    text_scale : float
        1 for lettering of 11 points, 2 for twice that.

    Raises
    ------
    ValueError
        `text_scale` is not between 0.5 and 4.
    """
    if not 0.5 <= text_scale <= 4.0:
        raise ValueError(f"a text scale of {text_scale} leaves nothing to read; give 0.5 to 4")
    _load_fonts()
    app.setStyle("Fusion")  # the same everywhere, and it follows a palette wholly
    font = QFont(FAMILY)
    font.setPointSizeF(BASE_POINT_SIZE * text_scale)
    app.setFont(font)
    app.setPalette(_palette(theme))
    screen = app.primaryScreen()
    dpi = screen.logicalDotsPerInch() if screen is not None else 96.0
    app.setStyleSheet(_style_sheet(theme, text_scale, ceil(TOUCH_MM / MM_PER_INCH * dpi)))


@cache
def _load_fonts() -> None:
    for name in FONT_FILES:
        path = resource("fonts", name)
        if QFontDatabase.addApplicationFont(str(path)) < 0:
            raise FileNotFoundError(
                f"the font {path} is missing or damaged; install the program again"
            )


def _palette(theme: Theme) -> QPalette:
    palette = QPalette()
    role = QPalette.ColorRole
    for name, colour in (
        (role.Window, theme.panel),
        (role.WindowText, theme.ink),
        (role.Base, theme.paper),
        (role.AlternateBase, theme.guard),
        (role.Text, theme.ink),
        (role.PlaceholderText, theme.faint_ink),
        (role.Button, theme.panel),
        (role.ButtonText, theme.ink),
        (role.BrightText, theme.outside),
        (role.ToolTipBase, theme.paper),
        (role.ToolTipText, theme.ink),
        (role.Highlight, theme.inside),
        (role.HighlightedText, theme.paper),
        (role.Accent, theme.inside),
        (role.Link, theme.inside),
        (role.LinkVisited, theme.inside),
        (role.Mid, theme.grid),
        (role.Dark, theme.edge),
    ):
        palette.setColor(name, colour)
    disabled = theme.edge if theme.stroke <= 1.0 else theme.grid
    for name in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, name, disabled)
    return palette


def _style_sheet(theme: Theme, text_scale: float, touch_px: int) -> str:
    """Write what a palette cannot say: borders, focus, sizes for gloved fingers, figures' sizes."""
    small = BASE_POINT_SIZE * text_scale
    # Where nothing stands back, what cannot be pressed has to.
    disabled = theme.edge if theme.stroke <= 1.0 else theme.grid
    line = round(theme.stroke * 1.34)  # pixels round what can be pressed
    return f"""
QPushButton {{
    qproperty-autoDefault: false;
    background: {theme.paper.name()};
    color: {theme.ink.name()};
    border: {line}px solid {theme.edge.name()};
    border-radius: 4px;
    padding: 5px 14px;
    min-height: {ceil(touch_px / 2)}px;
}}
QPushButton:hover {{ background: {theme.band.name()}; }}
QPushButton:pressed, QPushButton:checked {{
    background: {theme.band.name()}; border-color: {theme.inside.name()};
}}
QPushButton:disabled {{
    border-style: dashed; border-color: {theme.grid.name()};
    color: {disabled.name()}; background: {theme.panel.name()};
}}
QPushButton:focus {{ border: 3px solid {theme.focus.name()}; padding: 3px 12px; }}
QPushButton[role="action"] {{ min-height: {touch_px}px; padding: 0 20px; font-weight: bold; }}
QPushButton[role="action"]:focus {{ padding: 0 18px; min-height: {touch_px - 4}px; }}
QPushButton[emphasis="strong"] {{
    background: {theme.ink.name()}; color: {theme.paper.name()}; border-color: {theme.ink.name()};
}}
QPushButton[emphasis="strong"]:focus {{ border-color: {theme.next.name()}; }}
QPushButton[emphasis="strong"]:disabled {{
    background: {theme.panel.name()}; color: {theme.edge.name()}; border-color: {theme.grid.name()};
}}
QLineEdit, QPlainTextEdit, QTextEdit {{
    background: {theme.paper.name()};
    color: {theme.ink.name()};
    border: 1px solid {theme.edge.name()};
    border-radius: 3px;
    padding: 4px;
}}
QLineEdit {{ min-height: {ceil(touch_px / 2)}px; }}
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus {{
    border: 3px solid {theme.focus.name()}; padding: 2px;
}}
QComboBox, QSpinBox, QDoubleSpinBox {{ min-height: {ceil(touch_px / 2)}px; }}
QAbstractItemView {{ outline: none; }}
QAbstractItemView:focus {{ border: 2px solid {theme.focus.name()}; }}
QAbstractItemView::item {{ padding: 5px; }}
QHeaderView::section {{
    background: {theme.panel.name()}; color: {theme.ink.name()}; border: 0;
    border-bottom: 1px solid {theme.edge.name()}; padding: 5px; font-weight: bold;
}}
QToolTip {{
    background: {theme.paper.name()}; color: {theme.ink.name()};
    border: 1px solid {theme.edge.name()}; padding: 5px;
}}
QFrame[role="card"] {{
    background: {theme.paper.name()}; border: 1px solid {theme.grid.name()}; border-radius: 6px;
}}
QLabel[role="heading"] {{ font-weight: bold; font-size: {small * 1.2:g}pt; }}
QLabel[role="instruction"] {{ font-weight: bold; font-size: {small * 1.5:g}pt; }}
QLabel[role="question"] {{ font-weight: bold; font-size: {small * 1.15:g}pt; }}
QLabel[role="far"] {{ font-weight: bold; font-size: {small * 2:g}pt; }}
QLabel[role="small"] {{ color: {theme.faint_ink.name()}; font-size: {small * 0.85:g}pt; }}
QLabel[role="problem"], QLabel[alarm="true"] {{
    color: {theme.outside.name()}; font-weight: bold;
}}
QLabel[role="banner"] {{
    background: {theme.outside.name()}; color: {theme.paper.name()};
    font-weight: bold; border-radius: 4px; padding: 8px;
}}
QFrame[role="notice"] {{
    background: {theme.band.name()}; border: 1px solid {theme.inside.name()}; border-radius: 6px;
}}
"""
