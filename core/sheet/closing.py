"""The end of the sheet: remarks, photos, cautions, signatures and what binds it to its record."""

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any, Final

from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable, Spacer

from seatproof.core.sheet.blocks import Command, heading, label_table, table
from seatproof.core.sheet.qr_figure import QrFigure
from seatproof.core.sheet.style import (
    BODY,
    DIGEST,
    HEAD_CELL,
    INK,
    LABEL,
    NOTE,
    STRONG,
    TINT,
    VALUE,
)
from seatproof.core.sheet.text import labelled, paragraph
from seatproof.core.wording.content import Fact, Photo, Remark, SheetContent
from seatproof.core.words import Words

_SIGNATURE_HEADS: Final = ("", "Name", "Role", "Signature", "Date")
_SIGNATURE_SHARES: Final = (0.13, 0.27, 0.18, 0.27, 0.15)
_SIGNATURE_ROOM: Final = 20.0
_RECORD_SHARE: Final = 0.2
_QR_SIDE: Final = 92.0
_PHOTO_HEIGHT: Final = 190.0
_PHOTO_GAP: Final = 12.0


@dataclass(frozen=True, slots=True)
class Covered:
    """How far the sheet goes: its inspection, the last event it covers, and that one's digest."""

    inspection: str
    seq: int
    kind: str
    digest: str


def remarks(content: SheetContent, of_the_sheet: Sequence[str], say: Words) -> list[Flowable]:
    """Return what went another way than straight on, and what the sheet says of itself."""
    flow = heading(say("Remarks"))
    if content.plan_remark:
        flow.append(labelled(say("In the plan:"), content.plan_remark, BODY))
    flow += [_remark(remark) for remark in content.remarks]
    if not content.remarks:
        flow.append(paragraph(say("No reading was repeated, withdrawn, parked or skipped."), BODY))
    flow += [labelled(say("This sheet:"), sentence, BODY) for sentence in of_the_sheet]
    return flow


def _remark(remark: Remark) -> Flowable:
    label = f"{remark.when} {remark.what}." if remark.when else f"{remark.what}."
    return labelled(label, remark.why, BODY)


def photos(content: SheetContent, say: Words, width: float) -> list[Flowable]:
    """Return the photos, two side by side, each with what it shows and its digest."""
    if not content.photos:
        return []
    column = (width - _PHOTO_GAP) / 2.0
    rows: list[list[Any]] = []
    commands: list[Command] = [("RIGHTPADDING", (0, 0), (0, -1), _PHOTO_GAP)]
    for start in range(0, len(content.photos), 2):
        pair = content.photos[start : start + 2]
        rows.append([[_picture(photo, column), _caption(photo)] for photo in pair])
        rows[-1] += [""] * (2 - len(pair))
        commands.append(("NOSPLIT", (0, len(rows) - 1), (-1, len(rows) - 1)))
    grid = table(rows, [column + _PHOTO_GAP, column], commands)
    return [*heading(say("Photos"), room=_PHOTO_HEIGHT + 60.0), grid]


def _picture(photo: Photo, column: float) -> Flowable:
    scale = min(column / photo.width, _PHOTO_HEIGHT / photo.height)
    return Picture(base64.b64decode(photo.jpeg), scale * photo.width, scale * photo.height)


def _caption(photo: Photo) -> Flowable:
    digest = f"SHA-256 {photo.sha256[:16]}…"
    return paragraph(" · ".join(filter(None, (photo.belongs, photo.caption, digest))), NOTE)


class Picture(Flowable):
    """A JPEG of a stated size on paper, put into the file as it is."""

    def __init__(self, jpeg: bytes, width: float, height: float) -> None:
        super().__init__()
        self._jpeg = jpeg
        self.width, self.height = width, height

    def draw(self) -> None:
        reader = ImageReader(BytesIO(self._jpeg))
        self.canv.drawImage(reader, 0, 0, self.width, self.height)


def cautions(content: SheetContent, say: Words) -> list[Flowable]:
    """Return the cautions as the inspector acknowledged them, and what comes before them all."""
    flow = heading(say("Cautions acknowledged before measuring"))
    flow += [paragraph(f"•  {caution}", BODY) for caution in content.cautions]
    flow += [Spacer(0, 2), paragraph(content.deference, STRONG)]
    if content.caution_note:
        flow.append(paragraph(content.caution_note, NOTE))
    return flow


def hand_signatures(lines: Sequence[tuple[str, str]], say: Words, width: float) -> list[Flowable]:
    """Return lines to sign on by hand."""
    rows: list[list[Any]] = [[paragraph(say(head), HEAD_CELL) for head in _SIGNATURE_HEADS]]
    rows += [[paragraph(what, VALUE), paragraph(name, VALUE), "", "", ""] for what, name in lines]
    signed = table(
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
    return [*heading(say("Signatures"), room=120.0), signed]


def record(
    content: SheetContent, covered: Covered, seals: Sequence[Fact], say: Words, width: float
) -> list[Flowable]:
    """Return what binds the sheet to its record, in full and as a code to be scanned."""
    covers = say(
        "events 1 to {number}, the last being: {kind}",
        number=str(covered.seq),
        kind=say(covered.kind),
    )
    program = say(
        "{program}, evaluation {evaluation}, layout {layout}",
        program=content.program,
        evaluation=str(content.evaluation_version),
        layout=str(content.layout_version),
    )
    entries = (
        (say("Inspection"), covered.inspection, DIGEST),
        (say("Covers"), covers, VALUE),
        (say("SHA-256 of the last"), covered.digest, DIGEST),
        *((fact.label, fact.value, VALUE) for fact in seals),
        (say("Program"), program, VALUE),
        (say("Attached"), "record.json, readings.csv", VALUE),
    )
    left = width - _QR_SIDE - _PHOTO_GAP
    share = _RECORD_SHARE * left
    rows = [[paragraph(label, LABEL), paragraph(value, style)] for label, value, style in entries]
    facts = label_table(rows, [share, left - share])
    code = QrFigure(
        f"seatproof record {covered.inspection} event {covered.seq} sha256 {covered.digest}",
        _QR_SIDE,
    )
    beside = table(
        [[facts, code]],
        [left + _PHOTO_GAP, _QR_SIDE],
        [("RIGHTPADDING", (0, 0), (-1, -1), 0)],
        split_rows=True,
    )
    return [
        *heading(say("Record"), room=130.0),
        beside,
        Spacer(0, 3),
        paragraph(
            say(
                "Every event of the record carries the SHA-256 of the one before it, so that none "
                "can be changed, added or taken away without changing the last. The record and the "
                "readings are attached to this file; from the record the same program makes the "
                "same file again, byte for byte."
            ),
            LABEL,
        ),
    ]
