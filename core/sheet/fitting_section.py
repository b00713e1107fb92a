"""The fitting on the sheet: from its seal, or as a draft while it is not sealed."""

from pydantic import ValidationError

from seatproof.core.fitting.standing import NOT_RELEASED, release_obstacle
from seatproof.core.record.state import InspectionState
from seatproof.core.wording.content import Section
from seatproof.core.wording.errors import ContentUnknownError
from seatproof.core.wording.fitting_part import FittingContent, fitting_content
from seatproof.core.words import Words


def fitting_sections(state: InspectionState, say: Words) -> tuple[Section, ...]:
    """Return what the sheet says of the fitting; nothing before it was begun.

    Raises
    ------
    ContentUnknownError
        The content that was sealed is of a newer version, or is not a fitting's.
    """
    if state.fitting.begun is None:
        return ()
    seal = next((one.payload for one in state.seals if one.payload.part == "fitting"), None)
    if seal is None:
        said = say("The fitting goes on: this part is not sealed and may still change.")
        first, *others = fitting_content(state).sections
        return (first.model_copy(update={"sentences": (*first.sentences, said)}), *others)
    try:
        return FittingContent.model_validate(seal.content).sections
    except ValidationError as error:
        first_error = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first_error["loc"])
        raise ContentUnknownError(
            state.inspection, f"fitting: {where}: {first_error['msg']}"
        ) from error


def fitting_notice(state: InspectionState, say: Words) -> str:
    """Say what every page must not leave out of a fitting; empty where there is nothing."""
    begun = state.fitting.begun
    if begun is None:
        return ""
    if release_obstacle(state) is not None:
        return say(NOT_RELEASED)
    return "" if begun.payload.released else say("Fitting begun before it was released")
