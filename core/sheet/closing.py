"""The end of the sheet: remarks, gauges, conditions, cautions, signatures and the record."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from reportlab.platypus import Flowable, Spacer

from seatproof.core.sheet.blocks import facts_flow, heading, label_table, table
from seatproof.core.sheet.content import Remark, SheetContent
from seatproof.core.sheet.style import BODY, DIGEST, HEAD_CELL, INK, LABEL, STRONG, TINT, VALUE
from seatproof.core.sheet.text import labelled, paragraph

_SIGNATURE_HEADS: Final = ("", "Name", "Role", "Signature", "Date")
_SIGNATURE_SHARES: Final = (0.13, 0.27, 0.18, 0.27, 0.15)
_SIGNATURE_ROOM: Final = 20.0
_RECORD_SHARE: Final = 0.17


@dataclass(frozen=True, slots=True)
class Seal:
    """What the record says of its own seal, as it is printed."""

    inspection: str
    seq: int
    digest: str
    moment: str
    actor: str
    statement: str


def remarks(content: SheetContent, of_the_sheet: Sequence[str]) -> list[Flowable]:
    """Return what went another way than straight on, and what the sheet says of itself."""
    flow = heading("Remarks")
    if content.plan_remark:
        flow.append(labelled("In the plan:", content.plan_remark, BODY))
    flow += [_remark(remark) for remark in content.remarks]
    if not content.remarks:
        flow.append(paragraph("No reading was repeated, withdrawn, parked or skipped.", BODY))
    flow += [labelled("This sheet:", sentence, BODY) for sentence in of_the_sheet]
    return flow


def _remark(remark: Remark) -> Flowable:
    label = f"{remark.when} {remark.what}." if remark.when else f"{remark.what}."
    return labelled(label, remark.why, BODY)


def circumstances(content: SheetContent) -> list[Flowable]:
    """Return the gauges and the conditions of the measurement."""
    return [
        *heading("Gauges and conditions"),
        *facts_flow(content.gauges),
        *facts_flow(content.conditions),
    ]


def cautions(content: SheetContent) -> list[Flowable]:
    """Return the cautions as the inspector acknowledged them, and what comes before them all."""
    flow = heading("Cautions acknowledged before measuring")
    flow += [paragraph(f"•  {caution}", BODY) for caution in content.cautions]
    flow += [Spacer(0, 2), paragraph(content.deference, STRONG)]
    return flow


def signatures(content: SheetContent, width: float) -> list[Flowable]:
    """Return lines to sign on."""
    rows: list[list[Any]] = [[paragraph(head, HEAD_CELL) for head in _SIGNATURE_HEADS]]
    rows += [
        [paragraph(fact.label, VALUE), paragraph(fact.value, VALUE), "", "", ""]
        for fact in content.signatures
    ]
    lines = table(
        rows,
        [share * width for share in _SIGNATURE_SHARES],
        [
            ("LEFTPADDING", (0, 0), (-1, -1), 4),
            ("BACKGROUND", (0, 0), (-1, 0), TINT),
            ("TOPPADDING", (0, 1), (-1, -1), _SIGNATURE_ROOM),
            ("VALIGN", (0, 1), (-1, -1), "BOTTOM"),
            ("LINEBELOW", (0, 1), (-1, -1), 0.6, INK),
            ("LINEBEFORE", (1, 1), (-1, -1), 0.25, INK),
        ],
        split_rows=True,
    )
    return [*heading("Signatures", room=120.0), lines]


def record(content: SheetContent, seal: Seal, width: float) -> list[Flowable]:
    """Return what binds the sheet to its record."""
    entries = (
        ("Inspection", seal.inspection, DIGEST),
        ("Covers", f"events 1 to {seal.seq}, the seal being the last", VALUE),
        ("SHA-256 of the last", seal.digest, DIGEST),
        ("Sealed", f"{seal.moment} by {seal.actor}", VALUE),
        ("Statement", seal.statement, VALUE),
        ("Program", f"{content.program}, evaluation {content.evaluation_version}", VALUE),
    )
    rows = [[paragraph(label, LABEL), paragraph(value, style)] for label, value, style in entries]
    share = _RECORD_SHARE * width
    return [
        *heading("Record", room=110.0),
        label_table(rows, [share, width - share]),
        Spacer(0, 3),
        paragraph(
            "Every event of the record carries the SHA-256 of the one before it, so that none can "
            "be changed, added or taken away without changing the last.",
            LABEL,
        ),
    ]
