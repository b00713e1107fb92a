"""Photos of what was found, from a file into the record; no Qt."""

from pathlib import Path

from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import MAX_PHOTO_BYTES, PhotoAdded
from seatproof.core.record.photos import Photo, read_photo
from seatproof.core.record.state import InspectionState
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.shared.saying import say


def photos_of(state: InspectionState, seat: str, check: str) -> tuple[PhotoAdded, ...]:
    """Return the photos of a condition of a seat, oldest first."""
    every = (entry.payload for entry in state.photos)
    return tuple(photo for photo in every if (photo.seat, photo.check) == (seat, check))


def attach_photo(model: BenchModel, file: Path, seat: str, check: str) -> None:
    """Keep a picture in the archive and add it to a condition of a seat.

    Raises
    ------
    CommandRefusedError
        The file cannot be read, is no picture that a sheet could show, or is there already; or the
        inspection takes none any longer.
    ArchiveError
        The archive could not keep it.
    """
    photo = _read(file)
    if photo.sha256 in {one.sha256 for one in photos_of(model.state, seat, check)}:
        raise CommandRefusedError(
            say("The photo {name} is attached here already; choose another one.", name=file.name)
        )
    if model.is_sealed:
        raise CommandRefusedError(say("The inspection is sealed; it takes no photos any longer."))
    payload = photo.payload(seat=seat, check=check)
    model.around.keep_photo(photo.content)
    model.act(lambda inspection: inspection.add_photo(payload))


def _read(file: Path) -> Photo:
    """Return the photo in a file; one that could not be printed later is refused now."""
    from seatproof.core.wording.photos import PhotoUnreadableError, for_print  # loads the library

    try:
        with file.open("rb") as opened:
            content = opened.read(MAX_PHOTO_BYTES + 1)
    except OSError as error:
        raise CommandRefusedError(
            say(
                "The file {name} cannot be read ({finding}); choose another one.",
                name=file.name,
                finding=error.strerror or str(error),
            )
        ) from error
    photo = read_photo(content)
    try:
        for_print(photo.content, photo.sha256)
    except PhotoUnreadableError as error:
        raise CommandRefusedError(
            say(
                "The picture in {name} is damaged or too large to be printed; take it again, or "
                "choose another one.",
                name=file.name,
            )
        ) from error
    return photo
