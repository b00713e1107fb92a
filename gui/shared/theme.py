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
from PySide6.QtWidgets import QApplication, QWidget

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
# What a finger in a glove hits; see ISO 9241-410 on touch targets.
TOUCH_MM: Final = 15.0
_VALUE_POINT_SIZE: Final = 72.0  # read from arm's length and beyond, with both hands at the gauge
_PROPERTY: Final = "seatproofTheme"


@dataclass(frozen=True, slots=True)
class Theme:
    """A palette by role; colours are ``#rrggbb``.

    Attributes
    ----------
    name : str
        The word by which a person chooses it.
    paper, ink, faint_ink : str
        Ground of drawings and plots, what is written on it, and what stands back.
    grid : str
        Lines that only guide the eye.
    panel, edge : str
        Ground of the window round the drawings, and the border of what can be pressed.
    inside, outside, unproven : str
        Within the limits, beyond them, and not decided by the measurement.
    next, on_next : str
        The accent for what comes next, and what is written on it.
    band, guard : str
        Pale grounds: where values may lie, and where they prove nothing.
    focus : str
        The ring round what the keyboard acts on.
    stations : tuple of str
        Colours that keep stations apart, never without a marker's shape.
    """

    name: str
    paper: str
    ink: str
    faint_ink: str
    grid: str
    panel: str
    edge: str
    inside: str
    outside: str
    unproven: str
    next: str
    on_next: str
    band: str
    guard: str
    focus: str
    stations: tuple[str, ...]


LIGHT: Final = Theme(
    name="light",
    paper="#ffffff",
    ink="#101214",
    faint_ink="#565d63",
    grid="#d3d7da",
    panel="#eceeef",
    edge="#7b8288",
    inside="#00558c",
    outside="#c94400",
    unproven="#4a4f54",
    next="#a3006f",
    on_next="#ffffff",
    band="#e0effa",
    guard="#ededed",
    focus="#101214",
    stations=("#00705a", "#7a5200", "#5a4fb0", "#3d444a", "#287a9c"),
)
DARK: Final = Theme(
    name="dark",
    paper="#14171a",
    ink="#f4f6f7",
    faint_ink="#a6afb6",
    grid="#3a4249",
    panel="#22272b",
    edge="#87919a",
    inside="#6cbcf0",
    outside="#ff8a4c",
    unproven="#c3cad0",
    next="#f28be0",
    on_next="#14171a",
    band="#16344a",
    guard="#2c3237",
    focus="#f4f6f7",
    stations=("#3fcfa8", "#e0b34a", "#b3a8ff", "#c3cad0", "#7fd0ea"),
)
THEMES: Final = (LIGHT, DARK)


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
    app.setProperty(_PROPERTY, theme)
    font = QFont(FAMILY)
    font.setPointSizeF(BASE_POINT_SIZE * text_scale)
    app.setFont(font)
    app.setPalette(_palette(theme))
    screen = app.primaryScreen()
    dpi = screen.logicalDotsPerInch() if screen is not None else 96.0
    app.setStyleSheet(_style_sheet(theme, text_scale, ceil(TOUCH_MM / MM_PER_INCH * dpi)))


def theme_of(widget: QWidget) -> Theme:
    """Return the theme in which a widget is to be painted: the program's, light before it has one."""
    app = QApplication.instance()
    theme = app.property(_PROPERTY) if app is not None and widget is not None else None
    return theme if isinstance(theme, Theme) else LIGHT


@cache
def _load_fonts() -> None:
    for name in FONT_FILES:
        path = resource("fonts", name)
        if QFontDatabase.addApplicationFont(str(path)) < 0:
            raise FileNotFoundError(f"the font {path} is missing or damaged; install the program again")


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
        palette.setColor(name, QColor(colour))
    for name in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, name, QColor(theme.edge))
    return palette


def _style_sheet(theme: Theme, text_scale: float, touch_px: int) -> str:
    """Write what a palette cannot say: borders, focus, sizes for gloved fingers, figures' sizes."""
    small = BASE_POINT_SIZE * text_scale
    return f"""
QPushButton {{
    qproperty-autoDefault: false;
    background: {theme.paper};
    color: {theme.ink};
    border: 1px solid {theme.edge};
    border-radius: 4px;
    padding: 5px 14px;
    min-height: {ceil(touch_px / 2)}px;
}}
QPushButton:hover {{ background: {theme.band}; }}
QPushButton:pressed, QPushButton:checked {{ background: {theme.band}; border-color: {theme.inside}; }}
QPushButton:disabled {{ color: {theme.edge}; background: {theme.panel}; border-color: {theme.grid}; }}
QPushButton:focus {{ border: 3px solid {theme.focus}; padding: 3px 12px; }}
QPushButton[role="action"] {{ min-height: {touch_px}px; padding: 0 20px; font-weight: bold; }}
QPushButton[role="action"]:focus {{ padding: 0 18px; min-height: {touch_px - 4}px; }}
QPushButton[emphasis="strong"] {{
    background: {theme.ink}; color: {theme.paper}; border-color: {theme.ink};
}}
QPushButton[emphasis="strong"]:focus {{ border-color: {theme.next}; }}
QPushButton[emphasis="strong"]:disabled {{
    background: {theme.panel}; color: {theme.edge}; border-color: {theme.grid};
}}
QLineEdit, QPlainTextEdit, QTextEdit {{
    background: {theme.paper};
    color: {theme.ink};
    border: 1px solid {theme.edge};
    border-radius: 3px;
    padding: 4px;
}}
QLineEdit {{ min-height: {ceil(touch_px / 2)}px; }}
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus {{
    border: 3px solid {theme.focus}; padding: 2px;
}}
QComboBox, QSpinBox, QDoubleSpinBox {{ min-height: {ceil(touch_px / 2)}px; }}
QAbstractItemView {{ outline: none; }}
QAbstractItemView:focus {{ border: 2px solid {theme.focus}; }}
QAbstractItemView::item {{ padding: 5px; }}
QHeaderView::section {{
    background: {theme.panel}; color: {theme.ink}; border: 0;
    border-bottom: 1px solid {theme.edge}; padding: 5px; font-weight: bold;
}}
QToolTip {{
    background: {theme.paper}; color: {theme.ink}; border: 1px solid {theme.edge}; padding: 5px;
}}
QFrame[role="card"] {{
    background: {theme.paper}; border: 1px solid {theme.grid}; border-radius: 6px;
}}
QLabel[role="value"] {{
    font-family: "{DRAWING_FAMILY}"; font-weight: bold;
    font-size: {_VALUE_POINT_SIZE * text_scale:g}pt;
}}
QLabel[role="heading"] {{ font-weight: bold; font-size: {small * 1.3:g}pt; }}
QLabel[role="faint"] {{ color: {theme.faint_ink}; }}
QLabel[role="alarm"] {{ color: {theme.outside}; font-weight: bold; }}
"""
