"""From the state of an inspection and its evaluation to what the sheet says."""

from typing import Final

from seatproof.core.cautions import DEFERENCE
from seatproof.core.evaluation.evaluate import EVALUATION_VERSION, Evaluation
from seatproof.core.record.state import InspectionState
from seatproof.core.wording.blindness import blindness
from seatproof.core.wording.content import SheetContent
from seatproof.core.wording.decision import decision_facts
from seatproof.core.wording.equipment import (
    checks_section,
    conditions_section,
    equipment_section,
    temperatures_section,
)
from seatproof.core.wording.happenings import deviations_section, notes_section, remarks
from seatproof.core.wording.photos import PhotoSource, photos
from seatproof.core.wording.requirement_line import requirement_line
from seatproof.core.wording.seat_part import seat_part
from seatproof.core.wording.title_facts import title_facts
from seatproof.core.wording.uncertainty_budget import budget_section
from seatproof.core.wording.words import fresh_words_of, words_of
from seatproof.core.words import Language, Words

_UNTRANSLATED: Final = (
    "Some sentences that the program put together have no translation yet and stand in English."
)


def compose(
    state: InspectionState,
    evaluation: Evaluation,
    program: str,
    *,
    language: Language | None = None,
    photo_source: PhotoSource | None = None,
    borrow_glyphs: bool = True,
) -> SheetContent:
    """Put into words and rounded figures what a sheet of this inspection says now.

    Parameters
    ----------
    state : InspectionState
    evaluation : Evaluation
        Of that state.
    program : str
        Name and version of the program, as the sheet shall name it.
    language : {"en", "de", "es"}, optional
        Of everything that is not a person's own words; the plan's where none is given.
    photo_source : callable, optional
        Gives a photo's bytes for its SHA-256; without it the sheet has no photos.
    borrow_glyphs : bool
        Whether characters that the sheet's own typefaces have not are looked for in those of this
        machine. What is found goes into the content.

    Raises
    ------
    PhotoUnreadableError
        A photo is no picture that can be printed.
    """
    plan = state.plan
    say = fresh_words_of(language or plan.heading.language)
    sections = (
        conditions_section(state, say),
        equipment_section(state, say),
        checks_section(state, say),
        temperatures_section(state, say),
        *(budget_section(seat, say) for seat in evaluation.seats),
        deviations_section(state, say),
        notes_section(state, say),
    )
    content = SheetContent(
        evaluation_version=EVALUATION_VERSION,
        program=program,
        language=say.language,
        paper=plan.heading.paper,
        title=plan.heading.title,
        sheet_number=state.identification.sheet_number,
        unit=plan.heading.unit.value,
        title_block=title_facts(state, say),
        notice=_notice(state, say),
        verdict=evaluation.verdict,
        requirements=tuple(
            requirement_line(plan, requirement, say)
            for seat in evaluation.seats
            for requirement in seat.requirements
        ),
        rule=decision_facts(plan, say),
        blindness=blindness(plan, say),
        seats=tuple(seat_part(state, seat, say) for seat in evaluation.seats),
        sections=tuple(section for section in sections if not section.is_empty),
        plan_remark=plan.heading.remark,
        remarks=remarks(state, say),
        photos=photos(state, photo_source, say),
        of_the_sheet=(),
        cautions=tuple(say.again(caution) for caution in state.cautions),
        caution_note=_caution_note(say),
        deference=say(DEFERENCE),
    )
    untranslated = (_UNTRANSLATED,) if say.missing else ()
    return content.model_copy(
        update={
            "of_the_sheet": tuple(map(say, untranslated)),
            "glyphs": _borrowed(content) if borrow_glyphs else "",
        }
    )


def _borrowed(content: SheetContent) -> str:
    """Borrow glyphs from this machine for what the sheet's own typefaces have not."""
    # Typefaces bring a large library along: it is loaded at a seal, not when a window opens.
    from seatproof.core.sheet.borrowed import borrow
    from seatproof.core.sheet.signs import Printable

    printable = Printable()
    printable.all_in(content.model_dump(mode="json", exclude={"photos", "glyphs"}))
    return borrow(printable.unprintable)


def before_sealing(content: SheetContent) -> tuple[str, ...]:
    """Say what a sheet of this content will not show as it was written; a bench shows it first."""
    from seatproof.core.sheet.borrowed import in_use
    from seatproof.core.sheet.signs import Printable

    printable = Printable()
    with in_use(content.glyphs):
        printable.all_in(content.model_dump(mode="json", exclude={"photos", "glyphs"}))
    return (*printable.remarks(words_of("en")), *content.of_the_sheet)


def _notice(state: InspectionState, say: Words) -> str:
    simulated = any(gauge.simulated for gauge in state.gauges)
    return say("Simulated gauge: no shaft was measured") if simulated else ""


def _caution_note(say: Words) -> str:
    """Own up to a translation that nobody of the trade has read."""
    if say.is_reviewed:
        return ""
    return say(
        "Translated from English and not reviewed by a native speaker; the English wording is the "
        "one that was acknowledged, and it stands in the attached record."
    )
