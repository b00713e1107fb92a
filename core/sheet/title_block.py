"""The head of the sheet: what it is, its number, and what was inspected."""

from typing import Final

from reportlab.platypus import Flowable, Paragraph, Spacer, Table

from seatproof.core.sheet.blocks import label_table, table
from seatproof.core.sheet.style import (
    INK,
    LABEL,
    NOTICE,
    NUMBER,
    NUMBER_LABEL,
    STATUS,
    TITLE,
    VALUE,
)
from seatproof.core.sheet.text import paragraph
from seatproof.core.wording.content import SheetContent
from seatproof.core.words import Words

_LABEL_SHARE: Final = 0.15
_NUMBER_SHARE: Final = 0.32


def title_block(
    content: SheetContent, status: str, notice: str, say: Words, width: float
) -> list[Flowable]:
    """Return the head of the sheet, with the notice where there is one."""
    number_width = _NUMBER_SHARE * width
    head = table(
        [
            [
                [
                    paragraph(say("Inspection sheet for bearing seats"), LABEL),
                    paragraph(content.title, TITLE),
                ],
                [
                    paragraph(say("Sheet"), NUMBER_LABEL),
                    paragraph(content.sheet_number, NUMBER),
                    paragraph(status, STATUS),
                ],
            ]
        ],
        [width - number_width, number_width],
        [
            ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
            ("LINEBELOW", (0, 0), (-1, -1), 1.2, INK),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
        ],
        split_rows=True,
    )
    flow: list[Flowable] = [head, _facts(content, width)]
    if notice:
        box = [("BOX", (0, 0), (-1, -1), 1.2, INK), ("BOTTOMPADDING", (0, 0), (-1, -1), 4)]
        flow += [Spacer(0, 6), table([[paragraph(notice, NOTICE)]], [width], box)]
    return flow


def _facts(content: SheetContent, width: float) -> Table:
    """Lay the facts out in two columns, read down the left one first."""
    cells = [
        (paragraph(fact.label, LABEL), paragraph(fact.value, VALUE)) for fact in content.title_block
    ]
    half = -(-len(cells) // 2)
    nothing = (paragraph("", LABEL), paragraph("", VALUE))
    right = [*cells[half:], *[nothing] * (half - len(cells[half:]))]
    rows: list[tuple[Paragraph, ...]] = [
        (*first, *second) for first, second in zip(cells[:half], right, strict=True)
    ]
    label, value = _LABEL_SHARE * width, (0.5 - _LABEL_SHARE) * width
    return label_table(rows, [label, value, label, value])
