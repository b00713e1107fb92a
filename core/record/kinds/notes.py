"""Notes and photos, and what of the inspection they belong to."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from seatproof.core.record.kinds.parts import Digest, Note, Payload, Place, Reason

MAX_PHOTO_BYTES = 20_000_000  # what a good camera makes; more is a film


class _Belonging(Payload):
    """What it belongs to: a point, a seat, a condition of a seat, or the inspection as a whole."""

    place: Place | None = None
    seat: str = ""
    check: str = ""


class NoteAdded(_Belonging):
    """A remark in a person's own words."""

    kind = "note"
    text: Reason


class PhotoAdded(_Belonging):
    """A photo, named by the SHA-256 of its bytes, which are kept beside the record."""

    kind = "photo"
    sha256: Digest
    media_type: Literal["image/jpeg", "image/png"]
    n_bytes: Annotated[int, Field(ge=1, le=MAX_PHOTO_BYTES)]
    width: Annotated[int, Field(ge=1)] | None = None
    height: Annotated[int, Field(ge=1)] | None = None
    caption: Note = ""

    @model_validator(mode="after")
    def _a_check_is_of_a_seat(self) -> "PhotoAdded":
        if self.check and not self.seat:
            raise ValueError("a photo of a condition names the seat")
        return self
