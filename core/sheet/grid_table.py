"""A grid of texts as a table that splits between pages and repeats its head."""

from typing import Any, Final

from reportlab.platypus import CondPageBreak, Flowable, Spacer

from seatproof.core.sheet.blocks import Command, facts_flow, heading, table
from seatproof.core.sheet.style import (
    BODY,
    GRID,
    GRID_FIGURE,
    HEAD_CELL,
    HEAD_FIGURE,
    INK,
    NOTE,
    RULE,
    STRONG,
    TINT,
)
from seatproof.core.sheet.text import paragraph
from seatproof.core.wording.content import Grid, Section

_HEAD_ROOM: Final = 34.0
_ROW_ROOM: Final = 12.0
_KEPT_ROWS: Final = 8
_LEAST_ROOM: Final = 45.0  # of a heading with its first lines


def grid_flow(grid: Grid, width: float) -> list[Flowable]:
    """Return a grid with its caption and note."""
    flow: list[Flowable] = [CondPageBreak(_room(grid))]
    if grid.caption:
        flow.append(paragraph(grid.caption, STRONG))
    if not grid.rows:
        return [*flow, paragraph(grid.note, NOTE), Spacer(0, 5)]
    heads = [
        paragraph(head, HEAD_FIGURE if column in grid.figures else HEAD_CELL)
        for column, head in enumerate(grid.heads)
    ]
    rows: list[list[Any]] = [heads]
    for row in grid.rows:
        rows.append(
            [
                paragraph(text, GRID_FIGURE if column in grid.figures else GRID)
                for column, text in enumerate(row)
            ]
        )
    commands: list[Command] = [
        ("BACKGROUND", (0, 0), (-1, 0), TINT),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("LINEBELOW", (0, 0), (-1, 0), 0.6, INK),
        ("LINEBELOW", (0, 1), (-1, -1), 0.25, RULE),
    ]
    shares = [share * width for share in grid.shares]
    flow.append(table(rows, shares, commands, repeat=1, split_rows=True))
    if grid.note:
        flow += [Spacer(0, 2), paragraph(grid.note, NOTE)]
    flow.append(Spacer(0, 5))
    return flow


def _room(grid: Grid) -> float:
    """Return what a table needs on its page: all of a short one, of a long one some rows."""
    return _HEAD_ROOM + _ROW_ROOM * min(len(grid.rows), _KEPT_ROWS)


def section_flow(section: Section, width: float) -> list[Flowable]:
    """Return a section under its heading; nothing where there is nothing to say."""
    if section.is_empty:
        return []
    first = 0.0 if section.facts or not section.grids else _room(section.grids[0])
    flow = [*heading(section.heading, room=_LEAST_ROOM + first), *facts_flow(section.facts)]
    for grid in section.grids:
        flow += grid_flow(grid, width)
    flow += [paragraph(sentence, BODY) for sentence in section.sentences]
    return flow
