"""Photos before they are kept: what a camera wrote about place, owner and time is taken out.

The picture itself is not touched: its bytes are copied segment by segment (JPEG, ITU-T T.81) or
chunk by chunk (PNG, ISO/IEC 15948), so that nothing is lost to another compression. Of a JPEG's
Exif data the orientation alone is kept, without which many pictures would lie on their side.
"""

import hashlib
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import MAX_PHOTO_BYTES, PhotoAdded, Place

_JPEG: Final = b"\xff\xd8"
_PNG: Final = b"\x89PNG\r\n\x1a\n"
_EXIF: Final = b"Exif\x00\x00"
_ORIENTATION: Final = 0x0112

_START_OF_SCAN: Final = 0xDA
_END_OF_IMAGE: Final = 0xD9
_APPLICATION: Final = range(0xE0, 0xF0)
# What a JPEG needs of these to be drawn: JFIF, colour profile, colour transform.
_FOR_DRAWING: Final = {0xE0: b"JFIF\x00", 0xE2: b"ICC_PROFILE\x00", 0xEE: b"Adobe"}
_COMMENT: Final = 0xFE
_FRAMES: Final = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}

# What a PNG needs to be drawn; text, time and Exif data are in none of these.
_KEPT_CHUNKS: Final = frozenset(
    {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT"}
    | {b"pHYs", b"bKGD"}
)


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture as it is kept, named by the SHA-256 of its bytes; sizes in pixels."""

    content: bytes
    media_type: Literal["image/jpeg", "image/png"]
    width: int
    height: int

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()

    def payload(
        self,
        caption: str = "",
        *,
        key: PointKey | None = None,
        seat: str = "",
        check: str = "",
    ) -> PhotoAdded:
        """Return what the record says of it, and what it belongs to."""
        return PhotoAdded(
            sha256=self.sha256,
            media_type=self.media_type,
            n_bytes=len(self.content),
            width=self.width,
            height=self.height,
            caption=caption.strip(),
            place=None if key is None else Place.of(key),
            seat=seat,
            check=check,
        )


def read_photo(content: bytes) -> Photo:
    """Return a photo without what the camera wrote about place, owner and time.

    Raises
    ------
    CommandRefusedError
        It is neither JPEG nor PNG, is damaged, or is larger than a photo may be.
    """
    if len(content) > MAX_PHOTO_BYTES:
        raise CommandRefusedError(
            f"The photo has {len(content) / 1e6:.0f} MB; at most {MAX_PHOTO_BYTES / 1e6:.0f} MB "
            "can be kept. Take it with fewer pixels."
        )
    try:
        if content.startswith(_JPEG):
            return _jpeg(content)
        if content.startswith(_PNG):
            return _png(content)
    except (struct.error, IndexError, ValueError) as error:
        raise CommandRefusedError("The photo is damaged; take it again.") from error
    raise CommandRefusedError("The file is no photo; choose a JPEG or PNG file.")


# --- JPEG -----------------------------------------------------------------------------------------


def _jpeg(content: bytes) -> Photo:
    kept = [_JPEG]
    size: tuple[int, int] | None = None
    orientation = 1
    for marker, segment, rest in _segments(content):
        if marker in _FRAMES:
            height, width = struct.unpack_from(">HH", segment, 5)
            size = (width, height)
        if marker == 0xE1 and segment[4:].startswith(_EXIF):
            orientation = _orientation(segment[4 + len(_EXIF) :])
        if marker == _COMMENT or (marker in _APPLICATION and not _is_for_drawing(marker, segment)):
            continue
        if marker == _START_OF_SCAN:
            if size is None:
                raise ValueError("no frame before the scan")
            # Some cameras append a second picture with its own Exif data behind the end.
            end = rest.find(bytes((0xFF, _END_OF_IMAGE)))
            kept += [segment, rest if end < 0 else rest[: end + 2]]
            break
        kept.append(segment)
    if size is None or 0 in size:
        raise ValueError("no frame")
    if orientation != 1:
        kept.insert(1, _exif_with(orientation))
    return Photo(b"".join(kept), "image/jpeg", *size)


def _is_for_drawing(marker: int, segment: bytes) -> bool:
    name = _FOR_DRAWING.get(marker)
    return name is not None and segment[4:].startswith(name)


def _segments(content: bytes) -> Iterator[tuple[int, bytes, bytes]]:
    """Return marker, whole segment, and what follows it, up to the first scan."""
    at = len(_JPEG)
    while True:
        if content[at] != 0xFF:
            raise ValueError("no marker where one should stand")
        while content[at + 1] == 0xFF:  # a marker may be filled up in front
            at += 1
        marker = content[at + 1]
        if marker == _END_OF_IMAGE:
            raise ValueError("the picture ends before it begins")
        (length,) = struct.unpack_from(">H", content, at + 2)
        end = at + 2 + length
        if length < 2 or end > len(content):
            raise ValueError("a segment is cut off")
        yield marker, content[at:end], content[end:]
        if marker == _START_OF_SCAN:
            return
        at = end


def _orientation(tiff: bytes) -> int:
    """Return the orientation (1 to 8) out of Exif data; 1 where it is not told."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    if order is None:
        return 1
    try:
        (first,) = struct.unpack_from(f"{order}I", tiff, 4)
        (count,) = struct.unpack_from(f"{order}H", tiff, first)
        for number in range(count):
            tag, kind = struct.unpack_from(f"{order}HH", tiff, first + 2 + 12 * number)
            if tag == _ORIENTATION and kind == 3:
                (value,) = struct.unpack_from(f"{order}H", tiff, first + 2 + 12 * number + 8)
                return value if 1 <= value <= 8 else 1
    except struct.error:
        return 1  # Exif data that cannot be read tell nothing, and are left out with the rest
    return 1


def _exif_with(orientation: int) -> bytes:
    """Return an Exif segment that holds the orientation and nothing else."""
    entry = struct.pack(">HHIHH", _ORIENTATION, 3, 1, orientation, 0)
    tiff = b"MM\x00\x2a" + struct.pack(">IH", 8, 1) + entry + struct.pack(">I", 0)
    body = _EXIF + tiff
    return b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body


# --- PNG ------------------------------------------------------------------------------------------


def _png(content: bytes) -> Photo:
    kept = [_PNG]
    at, size = len(_PNG), None
    while True:
        (length,) = struct.unpack_from(">I", content, at)
        name, end = content[at + 4 : at + 8], at + 12 + length
        if end > len(content):
            raise ValueError("a chunk is cut off")
        if name == b"IHDR":
            size = struct.unpack_from(">II", content, at + 8)
        if name in _KEPT_CHUNKS:
            kept.append(content[at:end])
        if name == b"IEND":
            break
        at = end
    if size is None or 0 in size:
        raise ValueError("no header")
    return Photo(b"".join(kept), "image/png", *size)
