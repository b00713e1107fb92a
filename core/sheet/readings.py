"""The table of readings of a seat: stations down, orientations across, split where too wide."""

from collections.abc import Sequence
from typing import Final

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Spacer, Table

from seatproof.core.sheet.blocks import Command, table
from seatproof.core.sheet.fonts import FONTS
from seatproof.core.sheet.style import INK, NOTE, RULE, SOFT, TINT
from seatproof.core.sheet.text import paragraph
from seatproof.core.units import Unit
from seatproof.core.wording.content import Cell, SeatPart
from seatproof.core.words import Words

ABOVE, BELOW, REDONE = "▲", "▼", "↻"
_SIGNS: Final = {"above": ABOVE, "below": BELOW}
_SIZE: Final = 7.5
_LEADING: Final = 9.0
_PADDING: Final = 3.5

Text = tuple[str, ...]


def readings(part: SeatPart, unit: Unit, say: Words, width: float) -> list[Flowable]:
    """Return the table of a seat's readings, its note and the key to the signs it uses."""
    flow: list[Flowable] = []
    for block in _blocks(part, unit, say, width):
        flow += [block, Spacer(0, 4)]
    flow.append(paragraph(" ".join((part.table_note, *sign_key(part, say))), NOTE))
    return flow


def sign_key(part: SeatPart, say: Words) -> list[str]:
    """Explain the signs that stand in a seat's table, and no others."""
    cells = [cell for row in part.rows for cell in row.cells]
    marks = {cell.mark for cell in cells}
    key = []
    if "above" in marks:
        key.append(f"{ABOVE} {say('above the upper limit.')}")
    if "below" in marks:
        key.append(f"{BELOW} {say('below the lower limit.')}")
    if any(cell.redone for cell in cells):
        key.append(f"{REDONE} {say('measured again, see the remarks.')}")
    if "skipped" in marks:
        key.append(say("Skipped: left out with a reason, see the remarks."))
    if "open" in marks:
        key.append(say("Open: not measured."))
    return key


def cell_text(cell: Cell, say: Words) -> str:
    """Write the readings of a point below each other, behind the signs that belong to them."""
    signs = _SIGNS.get(cell.mark, "") + (REDONE if cell.redone else "")
    texts = cell.texts or (say(cell.mark),)
    first, *others = texts
    return "\n".join((f"{signs} {first}" if signs else first, *others))


def _blocks(part: SeatPart, unit: Unit, say: Words, width: float) -> list[Table]:
    """Cut the orientations into as few tables of even width as the page allows."""
    results = _results(part)
    station_head = _station_head(say)
    lead = _column_width((station_head, *((row.station,) for row in part.rows)))
    place = _column_width((("z", f"{unit}"), *((row.position,) for row in part.rows)))
    tail = [_column_width(column) for column in results]
    texts = [[cell_text(cell, say) for cell in row.cells] for row in part.rows]
    widest = max(
        _text_width(line)
        for line in (
            *part.orientations,
            *(line for row in texts for text in row for line in text.split("\n")),
        )
    )
    cell_width = widest + 2 * _PADDING
    room = width - lead - place - sum(tail)
    most = max(1, int(room // cell_width))
    count = -(-len(part.orientations) // most)
    share = -(-len(part.orientations) // count)
    cell_width = room / share  # what is left of the width goes to the readings
    tables = []
    for start in range(0, len(part.orientations), share):
        columns = range(start, min(start + share, len(part.orientations)))
        is_last = columns[-1] == len(part.orientations) - 1
        tables.append(
            _table(
                part,
                unit,
                say,
                texts,
                columns,
                results if is_last else (),
                [lead, place, *[cell_width] * len(columns), *(tail if is_last else ())],
            )
        )
    return tables


def _results(part: SeatPart) -> tuple[tuple[Text, ...], ...]:
    """Return the columns behind the readings: head of two lines, then one text a station."""
    return tuple(
        (head, *((row.results[column],) for row in part.rows))
        for column, head in enumerate(part.result_heads)
    )


def _station_head(say: Words) -> tuple[str, str]:
    """Return the head over the stations' numbers, on two lines where the word has a hyphen."""
    before, _, after = say("sta-|tion").partition("|")
    return before, after


def _table(
    part: SeatPart,
    unit: Unit,
    say: Words,
    texts: list[list[str]],
    columns: range,
    results: tuple[tuple[Text, ...], ...],
    widths: list[float],
) -> Table:
    first, last = 2, 1 + len(columns)
    over = say("readings at orientation")
    if len(columns) < len(part.orientations):
        ends = part.orientations[columns[0]], part.orientations[columns[-1]]
        over = say("readings at orientation {first} to {last}", first=ends[0], last=ends[1])
    station_head = _station_head(say)
    heads = [column[0] for column in results]
    data: list[list[str]] = [
        [station_head[0], "z", over, *[""] * (len(columns) - 1)] + [head[0] for head in heads],
        [station_head[1], f"{unit}", *(part.orientations[column] for column in columns)]
        + [head[1] for head in heads],
    ]
    commands: list[Command] = [
        ("FONT", (0, 0), (-1, -1), FONTS.text, _SIZE, _LEADING),
        ("FONT", (0, 0), (-1, 1), FONTS.bold, _SIZE, _LEADING),
        ("ALIGN", (0, 0), (-1, -1), "RIGHT"),
        ("SPAN", (first, 0), (last, 0)),
        ("ALIGN", (first, 0), (last, 0), "CENTER"),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LEFTPADDING", (0, 0), (-1, -1), _PADDING),
        ("RIGHTPADDING", (0, 0), (-1, -1), _PADDING),
        ("TOPPADDING", (0, 0), (-1, -1), 1.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
        ("BACKGROUND", (0, 0), (-1, 1), TINT),
        ("LINEBELOW", (0, 1), (-1, 1), 0.6, INK),
        ("LINEBELOW", (0, 2), (-1, -1), 0.25, RULE),
        ("LINEAFTER", (1, 0), (1, -1), 0.4, INK),
        ("BOX", (0, 0), (-1, -1), 0.6, INK),
    ]
    if results:
        commands.append(("LINEAFTER", (last, 0), (last, -1), 0.4, INK))
    for index, row in enumerate(part.rows):
        number = 2 + index
        data.append(
            [row.station, row.position, *(texts[index][column] for column in columns)]
            + [column[1 + index][0] for column in results]
        )
        for place, column in enumerate(columns, start=first):
            cell = row.cells[column]
            at = ((place, number), (place, number))
            if cell.mark in _SIGNS:
                commands.append(("FONT", *at, FONTS.bold, _SIZE, _LEADING))
                commands.append(("BACKGROUND", *at, TINT))
            elif cell.mark:
                commands.append(("TEXTCOLOR", *at, SOFT))
    return table(data, widths, commands, repeat=2)


def _column_width(column: Sequence[Text]) -> float:
    return max(_text_width(text) for texts in column for text in texts) + 2 * _PADDING


def _text_width(text: str) -> float:
    """Return the width of a text in its boldest form."""
    return stringWidth(text, FONTS.bold, _SIZE)
