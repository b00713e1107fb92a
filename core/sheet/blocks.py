"""Building blocks of the sheet's flow: headings, labelled facts, tables in one style."""

from collections.abc import Iterable, Sequence
from typing import Any, Final

from reportlab.platypus import CondPageBreak, Flowable, HRFlowable, Paragraph, Table

from seatproof.core.sheet.fonts import FONTS
from seatproof.core.sheet.style import BODY, HEADING, INK, LABEL, RULE, VALUE
from seatproof.core.sheet.text import labelled, marked, paragraph
from seatproof.core.wording.content import Fact

_HEADING_ROOM: Final = 70.0  # a heading at the foot of a page needs some of its text below it

Command = tuple[Any, ...]

_ALL: Final = ((0, 0), (-1, -1))
_BASE: Final[tuple[Command, ...]] = (
    # Even a cell without text names a typeface; a tiny one asks for no room.
    ("FONT", *_ALL, FONTS.text, 1, 1),
    ("LEFTPADDING", *_ALL, 0),
    ("RIGHTPADDING", *_ALL, 4),
    ("TOPPADDING", *_ALL, 1),
    ("BOTTOMPADDING", *_ALL, 1),
    ("VALIGN", *_ALL, "TOP"),
)


def table(
    rows: Sequence[Sequence[Any]],
    widths: Sequence[float],
    commands: Iterable[Command] = (),
    *,
    repeat: int = 0,
    split_rows: bool = False,
) -> Table:
    """Return a table in the sheet's style, changed by reportlab's style `commands`.

    `repeat` rows stand again at the head of every page; with `split_rows`, a row that is too tall
    for a page is continued on the next.
    """
    return Table(
        [list(row) for row in rows],
        colWidths=list(widths),
        style=[*_BASE, *commands],
        repeatRows=repeat,
        splitInRow=int(split_rows),
        hAlign="LEFT",
    )


def heading(text: str, *, room: float = _HEADING_ROOM) -> list[Flowable]:
    """Return a heading over a rule; it moves to the next page unless `room` is left below."""
    return [
        CondPageBreak(room),
        marked(text, HEADING, 0),
        HRFlowable(width="100%", thickness=0.6, color=INK, spaceBefore=0, spaceAfter=3),
    ]


def facts_flow(facts: Iterable[Fact]) -> list[Flowable]:
    """Return facts as paragraphs that may run on for as long as they like."""
    return [labelled(f"{fact.label}:", fact.value, BODY) for fact in facts]


def facts_table(facts: Sequence[Fact], label_width: float, value_width: float) -> Table:
    """Return facts as two columns, label and value."""
    rows = [[paragraph(fact.label, LABEL), paragraph(fact.value, VALUE)] for fact in facts]
    return label_table(rows, [label_width, value_width])


def label_table(rows: Sequence[Sequence[Paragraph]], widths: Sequence[float]) -> Table:
    """Return a table of labels and values by turns, ruled between the rows."""
    # Labels are set smaller than values: lowered by the difference, both stand on one line.
    lower = 1 + VALUE.fontSize - LABEL.fontSize
    commands: list[Command] = [("LINEBELOW", *_ALL, 0.25, RULE)]
    commands += [
        ("TOPPADDING", (column, 0), (column, -1), lower) for column in range(0, len(widths), 2)
    ]
    return table(rows, widths, commands, split_rows=True)
