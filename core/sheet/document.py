"""The inspection sheet as a PDF: drawn from a record and from nothing else.

No clock, no chance, no typeface of the machine, no locale: the same record gives the same bytes.
"""

from datetime import timedelta, timezone
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.exports.readings_csv import readings_csv
from seatproof.core.placing import NotPlacedError, place
from seatproof.core.plan.model import Plan
from seatproof.core.record.file import record_bytes
from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.attachment import Attachment
from seatproof.core.sheet.borrowed import in_use
from seatproof.core.sheet.closing import Covered
from seatproof.core.sheet.compose import compose
from seatproof.core.sheet.fitting_section import fitting_notice, fitting_sections
from seatproof.core.sheet.fonts import register_fonts
from seatproof.core.sheet.metadata import Information
from seatproof.core.sheet.paper import Foot, print_flow
from seatproof.core.sheet.signs import Printable
from seatproof.core.sheet.story import Standing, story
from seatproof.core.sheet.style import PAGES
from seatproof.core.version import PROGRAM
from seatproof.core.wording.after_seal import (
    disposition_facts,
    gaps_section,
    hand_signature_labels,
    notices,
    review_section,
    seal_facts,
    signatures_section,
    status,
)
from seatproof.core.wording.content import CONTENT_VERSION, LAYOUT_VERSION, Section, SheetContent
from seatproof.core.wording.errors import ContentUnknownError, LayoutUnknownError, NotWrittenError
from seatproof.core.wording.words import words_of
from seatproof.core.words import Words

RECORD_NAME = "record.json"
READINGS_NAME = "readings.csv"


def build_sheet(state: InspectionState) -> bytes:
    """Draw the sheet of an inspection as it stands after its last event.

    Before the seal it is a draft, worked out now, and says so on every page. From the seal on it is
    drawn from what was sealed, and from what was signed, reviewed and decided since.

    Returns
    -------
    bytes
        A PDF; always the same for the same record.

    Raises
    ------
    ContentUnknownError
        The content that was sealed is of a newer version, or is not a sheet's.
    LayoutUnknownError
        It was laid out by a program that draws it differently.
    """
    register_fonts()
    content = _content(state)
    with in_use(content.glyphs):
        return _drawn(state, content)


def _drawn(state: InspectionState, sealed: SheetContent) -> bytes:
    printable = Printable()
    content = SheetContent.model_validate(printable.all_in(sealed.model_dump(mode="json")))
    say = words_of(content.language)
    page = PAGES[content.paper]
    standing = _standing(state, content, say, printable)
    plan = _printable_plan(state.plan, printable)
    of_the_sheet = (*content.of_the_sheet, *printable.remarks(say))
    flow = story(content, plan, standing, of_the_sheet, say, page.width)
    foot = Foot(
        sheet=f"{say('Sheet')} {content.sheet_number}",
        counted=say("page"),
        of=say("of"),
        digest=state.last.hash[:16],
        notice=standing.notice,
    )
    return print_flow(
        flow, _information(state, content, plan, say), foot, page, _attachments(state, say)
    )


def write_sheet(state: InspectionState, path: Path) -> Path:
    """Write the sheet of an inspection to a file; return the path that was used.

    A file of that name with other content is never written over, nor one that a viewer holds:
    the sheet is then named ``name-2.pdf``, ``name-3.pdf`` and so on.

    Raises
    ------
    SheetError
        The sheet cannot be drawn (see `build_sheet`), or nothing can be written there.
    """
    try:
        return place(build_sheet(state), path)
    except NotPlacedError as error:
        raise NotWrittenError(error.path, error.finding) from error


def _content(state: InspectionState) -> SheetContent:
    if state.sealed is None:
        # A draft is made anew on every machine, and so keeps to the typefaces that all have.
        return compose(state, evaluate(state), PROGRAM, borrow_glyphs=False)
    return sealed_content(state.inspection, state.sealed.content)


def sealed_content(inspection: str, content: dict[str, Any]) -> SheetContent:
    """Return the content of a sheet as it was sealed.

    Raises
    ------
    ContentUnknownError, LayoutUnknownError
        See `build_sheet`.
    """
    version, layout = content.get("version"), content.get("layout_version")
    if isinstance(version, int) and version != CONTENT_VERSION:
        raise ContentUnknownError(
            inspection,
            f"its content is of version {version}, and this program draws {CONTENT_VERSION}",
        )
    if isinstance(layout, int) and layout != LAYOUT_VERSION:
        program = str(content.get("program", "the version of Seatproof that sealed it"))
        raise LayoutUnknownError(inspection, layout, LAYOUT_VERSION, program)
    try:
        return SheetContent.model_validate(content)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise ContentUnknownError(inspection, f"{where}: {first['msg']}") from error


def _standing(
    state: InspectionState, content: SheetContent, say: Words, printable: Printable
) -> Standing:
    def shown(section: Section) -> Section:
        return Section.model_validate(printable.all_in(section.model_dump(mode="json")))

    signatures = shown(signatures_section(state, say))
    by_hand = () if state.plan.signing.signatures else hand_signature_labels(state, say)
    if not signatures.is_empty:
        by_hand = ()
    seals = shown(Section(heading="", facts=seal_facts(state, say)))
    disposition = shown(Section(heading="", facts=disposition_facts(state, say)))
    notice = " · ".join(
        filter(None, (*notices(state, say), fitting_notice(state, say), content.notice))
    )
    return Standing(
        covered=Covered(
            inspection=printable.text(state.inspection),
            seq=state.last.seq,
            kind=state.last.kind,
            digest=state.last.hash,
        ),
        status=printable.text(status(state, say)),
        notice=printable.text(notice),
        disposition=disposition.facts,
        fitting=tuple(shown(section) for section in fitting_sections(state, say)),
        gaps=shown(gaps_section(state, say)),
        review=shown(review_section(state, say)),
        signatures=signatures,
        by_hand=tuple((label, printable.text(name)) for label, name in by_hand),
        seals=seals.facts,
    )


def _printable_plan(plan: Plan, printable: Printable) -> Plan:
    """Return the plan with the texts that its drawings letter made printable."""
    shaft = plan.shaft.model_copy(
        update={
            "name": printable.text(plan.shaft.name),
            "datum_face": printable.text(plan.shaft.datum_face),
            "angular_datum": printable.text(plan.shaft.angular_datum),
        }
    )
    return plan.model_copy(update={"shaft": shaft})


def _attachments(state: InspectionState, say: Words) -> tuple[Attachment, ...]:
    return (
        Attachment(
            RECORD_NAME,
            "application/json",
            "Source",
            say("The record of the inspection: all events, as canonical JSON (RFC 8785)"),
            record_bytes(state.events),
        ),
        Attachment(
            READINGS_NAME,
            "text/csv",
            "Data",
            say("The readings of the inspection, one a row (RFC 4180)"),
            readings_csv(state),
        ),
    )


def _information(
    state: InspectionState, content: SheetContent, plan: Plan, say: Words
) -> Information:
    event = state.last
    return Information(
        title=say("{title}, sheet {number}", title=content.title, number=content.sheet_number),
        author=plan.heading.organisation or state.opened.actor,
        subject=say("Inspection of bearing seats: {verdict}", verdict=say(content.verdict)),
        creator=content.program,
        moment=event.moment.astimezone(timezone(timedelta(minutes=event.offset_min))),
        identifier=event.hash[:32],
        language=content.language,
    )
