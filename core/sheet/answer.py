"""The answer: the verdict on the shaft, then every requirement with its figures and verdict."""

from collections import Counter
from typing import Any, Final

from reportlab.platypus import Flowable, Spacer, Table

from seatproof.core.sheet.blocks import Command, table
from seatproof.core.sheet.content import RequirementLine, SheetContent
from seatproof.core.sheet.fonts import FONTS
from seatproof.core.sheet.marks import VerdictMark
from seatproof.core.sheet.style import BODY, HEAD_CELL, INK, NAMED, NOTE, RULE, STRONG, TINT, VALUE
from seatproof.core.sheet.text import labelled, paragraph
from seatproof.core.verdict.rule import Verdict

_VERDICT_SIZE: Final = 17.0
_LINE_SIZE: Final = 8.5
_HEADS: Final = ("Verdict", "Seat", "Requirement", "Limits", "Value found", "Uncertainty U")
_SHARES: Final = (0.19, 0.055, 0.17, 0.20, 0.22, 0.165)


def answer(content: SheetContent, width: float) -> list[Flowable]:
    """Return the overall verdict and the table of requirements."""
    return [
        Spacer(0, 8),
        _overall(content, width),
        Spacer(0, 6),
        _requirements(content.requirements, width),
    ]


def _overall(content: SheetContent, width: float) -> Table:
    share = 0.42 * width
    mark = VerdictMark(content.verdict, FONTS.bold, _VERDICT_SIZE)
    return table(
        [[mark, paragraph(tally(content.requirements), BODY)]],
        [share, width - share],
        [
            ("BOX", (0, 0), (-1, -1), 1.2, INK),
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LEFTPADDING", (0, 0), (0, 0), 8),
            ("TOPPADDING", (0, 0), (-1, -1), 6),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
        ],
    )


def tally(lines: tuple[RequirementLine, ...]) -> str:
    """Say how many requirements have which verdict."""
    counts = Counter(line.verdict for line in lines)
    total = len(lines)
    if counts[Verdict.CONFORMS] == total:
        return (
            "The one requirement conforms." if total == 1 else f"All {total} requirements conform."
        )
    words = (
        (Verdict.CONFORMS, "conforms", "conform"),
        (Verdict.DOES_NOT_CONFORM, "does not conform", "do not conform"),
        (Verdict.NOT_PROVEN, "is not proven", "are not proven"),
    )
    parts = [
        f"{counts[verdict]} {one if counts[verdict] == 1 else many}"
        for verdict, one, many in words
        if counts[verdict]
    ]
    noun = "requirement" if total == 1 else "requirements"
    return f"Of {total} {noun}, {', '.join(parts)}. The worst verdict stands for the whole."


def _requirements(lines: tuple[RequirementLine, ...], width: float) -> Table:
    rows: list[list[Any]] = [[paragraph(head, HEAD_CELL) for head in _HEADS]]
    commands: list[Command] = [
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BACKGROUND", (0, 0), (-1, 0), TINT),
        ("LEFTPADDING", (0, 0), (0, -1), 4),
        ("LINEBELOW", (0, -1), (-1, -1), 0.6, INK),
    ]
    for line in lines:
        first = len(rows)
        rows.append(
            [
                VerdictMark(line.verdict, FONTS.bold, _LINE_SIZE),
                paragraph(line.seat, STRONG),
                labelled(line.characteristic, line.sense, NAMED),
                paragraph(line.limits, VALUE),
                paragraph(line.value, VALUE),
                paragraph(line.uncertainty, VALUE),
            ]
        )
        commands.append(("LINEABOVE", (0, first), (-1, first), 0.4, RULE))
        rows.append(["", "", paragraph(_reasons(line), NOTE), "", "", ""])
        commands += [
            ("SPAN", (2, first + 1), (-1, first + 1)),
            ("BOTTOMPADDING", (0, first), (-1, first), 0),
            ("TOPPADDING", (0, first + 1), (-1, first + 1), 0),
            ("BOTTOMPADDING", (0, first + 1), (-1, first + 1), 3),
            ("NOSPLIT", (0, first), (-1, first + 1)),
        ]
    return table(rows, [share * width for share in _SHARES], commands, repeat=1)


def _reasons(line: RequirementLine) -> str:
    judged = f"{line.judged[:1].upper()}{line.judged[1:]}."
    return " ".join((f"Judged: {judged}", *line.reasons))
