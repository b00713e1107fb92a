"""The answer: the verdict on the shaft, then every requirement with its figures and verdict."""

from collections import Counter
from collections.abc import Sequence
from typing import Any, Final

from reportlab.platypus import Flowable, Spacer, Table

from seatproof.core.sheet.blocks import Command, facts_flow, table
from seatproof.core.sheet.fonts import FONTS
from seatproof.core.sheet.marks import VerdictMark
from seatproof.core.sheet.style import BODY, HEAD_CELL, INK, NAMED, NOTE, RULE, STRONG, TINT, VALUE
from seatproof.core.sheet.text import labelled, paragraph
from seatproof.core.verdict.rule import Verdict
from seatproof.core.wording.content import Fact, RequirementLine, SheetContent
from seatproof.core.words import Words

_VERDICT_SIZE: Final = 17.0
_LINE_SIZE: Final = 8.5
_HEADS: Final = ("Verdict", "Seat", "Requirement", "Limits", "Value found", "Uncertainty U")
_SHARES: Final = (0.19, 0.055, 0.17, 0.20, 0.22, 0.165)
_WITH_PROBABILITY: Final = (0.173, 0.046, 0.151, 0.192, 0.21, 0.141, 0.087)
_KEY: Final = "Probability: that the requirement is met, given the value found and its uncertainty."


def answer(
    content: SheetContent, disposition: Sequence[Fact], say: Words, width: float
) -> list[Flowable]:
    """Return the overall verdict, what was decided on it, and the table of requirements."""
    flow: list[Flowable] = [
        Spacer(0, 8),
        _overall(content, disposition, say, width),
        Spacer(0, 6),
        _requirements(content.requirements, say, width),
    ]
    if any(line.probability for line in content.requirements):
        flow += [Spacer(0, 2), paragraph(say(_KEY), NOTE)]
    return flow


def _overall(content: SheetContent, disposition: Sequence[Fact], say: Words, width: float) -> Table:
    share = 0.42 * width
    mark = VerdictMark(content.verdict, say(content.verdict), FONTS.bold, _VERDICT_SIZE)
    said = [paragraph(tally(content.requirements, say), BODY), *facts_flow(disposition)]
    return table(
        [[mark, said]],
        [share, width - share],
        [
            ("BOX", (0, 0), (-1, -1), 1.2, INK),
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LEFTPADDING", (0, 0), (0, 0), 8),
            ("TOPPADDING", (0, 0), (-1, -1), 6),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
        ],
    )


def tally(lines: tuple[RequirementLine, ...], say: Words) -> str:
    """Say how many requirements have which verdict."""
    counts = Counter(line.verdict for line in lines)
    total = len(lines)
    if counts[Verdict.CONFORMS] == total:
        if total == 1:
            return say("The one requirement conforms.")
        return say("All {total} requirements conform.", total=str(total))
    words = (
        (Verdict.CONFORMS, "{count} conforms", "{count} conform"),
        (Verdict.DOES_NOT_CONFORM, "{count} does not conform", "{count} do not conform"),
        (Verdict.NOT_PROVEN, "{count} is not proven", "{count} are not proven"),
    )
    parts = [
        say(one if counts[verdict] == 1 else many, count=str(counts[verdict]))
        for verdict, one, many in words
        if counts[verdict]
    ]
    whole = (
        "Of {total} requirement, {parts}." if total == 1 else "Of {total} requirements, {parts}."
    )
    said = say(whole, total=str(total), parts=", ".join(parts))
    return f"{said} {say('The worst verdict stands for the whole.')}"


def _requirements(lines: tuple[RequirementLine, ...], say: Words, width: float) -> Table:
    has_probability = any(line.probability for line in lines)
    heads = (*_HEADS, "Probability") if has_probability else _HEADS
    shares = _WITH_PROBABILITY if has_probability else _SHARES
    rows: list[list[Any]] = [[paragraph(say(head), HEAD_CELL) for head in heads]]
    commands: list[Command] = [
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BACKGROUND", (0, 0), (-1, 0), TINT),
        ("LEFTPADDING", (0, 0), (0, -1), 4),
        ("LINEBELOW", (0, -1), (-1, -1), 0.6, INK),
    ]
    for line in lines:
        first = len(rows)
        cells = [
            VerdictMark(line.verdict, say(line.verdict), FONTS.bold, _LINE_SIZE),
            paragraph(line.seat, STRONG),
            labelled(line.characteristic, line.sense, NAMED),
            *(paragraph(text, VALUE) for text in (line.limits, line.value, line.uncertainty)),
        ]
        rows.append([*cells, paragraph(line.probability, VALUE)][: len(heads)])
        commands.append(("LINEABOVE", (0, first), (-1, first), 0.4, RULE))
        rows.append(["", "", paragraph(_reasons(line, say), NOTE), *[""] * (len(heads) - 3)])
        commands += [
            ("SPAN", (2, first + 1), (-1, first + 1)),
            ("BOTTOMPADDING", (0, first), (-1, first), 0),
            ("TOPPADDING", (0, first + 1), (-1, first + 1), 0),
            ("BOTTOMPADDING", (0, first + 1), (-1, first + 1), 3),
            ("NOSPLIT", (0, first), (-1, first + 1)),
        ]
    return table(rows, [share * width for share in shares], commands, repeat=1)


def _reasons(line: RequirementLine, say: Words) -> str:
    judged = f"{line.judged[:1].upper()}{line.judged[1:]}"
    return " ".join((say("Judged: {what}.", what=judged), *line.reasons))
