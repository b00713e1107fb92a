"""The inspection sheet as a PDF: drawn from a sealed record and from nothing else.

No clock, no chance, no typeface of the machine, no locale: the same record gives the same bytes.
"""

from datetime import timedelta, timezone
from pathlib import Path

from pydantic import ValidationError

from seatproof.core.placing import NotPlacedError, place
from seatproof.core.plan.model import Plan
from seatproof.core.record.events import Event
from seatproof.core.record.kinds import Sealed
from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.closing import Seal
from seatproof.core.sheet.compose import local_time
from seatproof.core.sheet.content import CONTENT_VERSION, SheetContent
from seatproof.core.sheet.errors import ContentUnknownError, NotSealedError, NotWrittenError
from seatproof.core.sheet.fonts import register_fonts
from seatproof.core.sheet.paper import Information, print_flow
from seatproof.core.sheet.signs import Printable
from seatproof.core.sheet.story import story
from seatproof.core.sheet.style import Page


def build_sheet(state: InspectionState, page: Page | None = None) -> bytes:
    """Draw the sheet of a sealed inspection.

    Parameters
    ----------
    state : InspectionState
        An inspection after its seal.
    page : Page, optional
        A4 upright where none is given.

    Returns
    -------
    bytes
        A PDF; always the same for the same record and page.

    Raises
    ------
    NotSealedError
        The inspection is still open.
    ContentUnknownError
        The content that was sealed is of a newer version, or is not a sheet's.
    """
    if state.sealed is None or state.sealed_by is None:
        raise NotSealedError(state.inspection)
    register_fonts()
    page = page or Page()
    printable = Printable()
    content = _content(state.inspection, state.sealed, printable)
    seal = _seal(state.sealed, state.sealed_by, printable)
    plan = _printable_plan(state.plan, printable)
    flow = story(content, plan, seal, printable.remarks(), page.width)
    return print_flow(flow, _information(state.sealed_by, content, plan, seal), page)


def write_sheet(state: InspectionState, path: Path) -> Path:
    """Write the sheet of a sealed inspection to a file; return the path that was used.

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


def _content(inspection: str, sealed: Sealed, printable: Printable) -> SheetContent:
    version = sealed.content.get("version")
    if isinstance(version, int) and version > CONTENT_VERSION:
        raise ContentUnknownError(
            inspection,
            f"its content is of version {version}, and this program knows up to {CONTENT_VERSION}",
        )
    try:
        return SheetContent.model_validate(printable.all_in(sealed.content))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise ContentUnknownError(inspection, f"{where}: {first['msg']}") from error


def _seal(sealed: Sealed, event: Event, printable: Printable) -> Seal:
    return Seal(
        inspection=printable.text(event.inspection),
        seq=event.seq,
        digest=event.hash,
        moment=local_time(event.moment, event.offset_min),
        actor=printable.text(event.actor),
        statement=printable.text(sealed.statement),
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


def _information(event: Event, content: SheetContent, plan: Plan, seal: Seal) -> Information:
    return Information(
        title=f"{content.title}, sheet {content.sheet_number}",
        author=plan.heading.organisation or seal.actor,
        subject=f"Inspection of bearing seats: {content.verdict}",
        creator=content.program,
        moment=event.moment.astimezone(timezone(timedelta(minutes=event.offset_min))),
        identifier=event.hash[:32],
        sheet_number=content.sheet_number,
        notice=content.notice,
        digest=event.hash[:16],
    )
