"""Photos as they are printed: turned upright, scaled to the page, JPEG without anything beside it.

What a camera writes beside the picture (place, time, serial number) is left out: the record names
the original by its digest. A transparent ground becomes white paper.
"""

import base64
from collections.abc import Callable
from io import BytesIO
from typing import TYPE_CHECKING, Final

from seatproof.core.record.state import InspectionState
from seatproof.core.wording.content import Photo
from seatproof.core.wording.happenings import belonging
from seatproof.core.words import Words

if TYPE_CHECKING:
    from PIL import Image

PhotoSource = Callable[[str], bytes]  # from the SHA-256 of a photo to its bytes

_LONGEST_SIDE: Final = 1000  # pixels; on 85 mm of paper about 300 an inch
_QUALITY: Final = 80
_MOST_PIXELS: Final = 120_000_000  # more is no photo but a trap for the memory


class PhotoUnreadableError(Exception):
    """A photo that cannot be printed; `finding` says why."""

    def __init__(self, sha256: str, finding: str) -> None:
        self.sha256 = sha256
        self.finding = finding
        super().__init__(f"Photo {sha256[:16]}… cannot be printed: {finding}.")


def photos(state: InspectionState, source: PhotoSource | None, say: Words) -> tuple[Photo, ...]:
    """Prepare the photos of an inspection for print; none where there is nowhere to get them."""
    if source is None:
        return ()
    prepared = []
    for entry in state.photos:
        payload = entry.payload
        jpeg, width, height = for_print(source(payload.sha256), payload.sha256)
        prepared.append(
            Photo(
                caption=payload.caption,
                belongs=belonging(payload, say),
                sha256=payload.sha256,
                width=width,
                height=height,
                jpeg=base64.b64encode(jpeg).decode("ascii"),
            )
        )
    return tuple(prepared)


def for_print(data: bytes, sha256: str = "") -> tuple[bytes, int, int]:
    """Return a photo as JPEG for print, with its width and height in pixels.

    Raises
    ------
    PhotoUnreadableError
        The bytes are no picture that can be read, or too large a one.
    """
    # Few inspections have photos: the library is loaded for those alone.
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(BytesIO(data)) as opened:
            if opened.width * opened.height > _MOST_PIXELS:
                raise PhotoUnreadableError(sha256, "it has more than 120 million pixels")
            opened.draft("RGB", (2 * _LONGEST_SIDE, 2 * _LONGEST_SIDE))
            upright = ImageOps.exif_transpose(opened)
            picture = _on_paper(upright)
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as error:
        raise PhotoUnreadableError(sha256, "it is not a picture that can be read") from error
    picture.thumbnail((_LONGEST_SIDE, _LONGEST_SIDE), Image.Resampling.LANCZOS)
    out = BytesIO()
    picture.save(out, "JPEG", quality=_QUALITY, optimize=False, progressive=False)
    return out.getvalue(), picture.width, picture.height


def _on_paper(picture: "Image.Image") -> "Image.Image":
    """Return a picture in RGB, on white where it was transparent."""
    from PIL import Image

    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        transparent = picture.convert("RGBA")
        paper = Image.new("RGBA", transparent.size, "white")
        return Image.alpha_composite(paper, transparent).convert("RGB")
    return picture.convert("RGB")
