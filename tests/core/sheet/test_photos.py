"""Photos on the sheet: upright, small, without what a camera writes beside the picture."""

import base64
from hashlib import sha256
from io import BytesIO
from typing import Any

import pikepdf
import pytest
from PIL import Image

from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.document import build_sheet
from seatproof.core.wording.content import SheetContent
from seatproof.core.wording.photos import PhotoUnreadableError, for_print

ORIENTATION, MAKER, POSITION = 0x0112, 0x010F, 0x8825


def encoded(picture: Image.Image, kind: str, **options: Any) -> bytes:
    out = BytesIO()
    picture.save(out, kind, **options)
    return out.getvalue()


def opened(jpeg: bytes) -> Image.Image:
    picture = Image.open(BytesIO(jpeg))
    assert picture.format == "JPEG"
    return picture


def test_large_photo_is_made_small() -> None:
    data = encoded(Image.effect_noise((4000, 3000), 80).convert("RGB"), "JPEG", quality=95)
    jpeg, width, height = for_print(data)
    assert (width, height) == (1000, 750)
    assert opened(jpeg).size == (width, height)
    assert len(jpeg) < 500_000 < len(data)


def test_small_photo_is_not_blown_up() -> None:
    assert for_print(encoded(Image.new("RGB", (200, 100)), "PNG"))[1:] == (200, 100)


def test_transparent_ground_becomes_white_paper() -> None:
    picture = Image.new("RGBA", (100, 100), (0, 0, 0, 0))
    picture.paste((255, 0, 0, 255), (0, 0, 50, 100))
    jpeg, _, _ = for_print(encoded(picture, "PNG"))
    red, white = opened(jpeg).getpixel((20, 50)), opened(jpeg).getpixel((80, 50))
    assert red[0] > 240 > 30 > red[1]
    assert min(white) > 240


@pytest.mark.parametrize("mode", ["P", "L", "LA", "CMYK", "1", "I;16"])
def test_any_kind_of_picture_becomes_rgb(mode: str) -> None:
    kind = "TIFF" if mode == "CMYK" else "PNG"
    jpeg, _, _ = for_print(encoded(Image.new(mode, (60, 40)), kind))
    assert opened(jpeg).mode == "RGB"


def test_photo_is_turned_upright_and_told_nothing_beside_it() -> None:
    exif = Image.Exif()
    exif[ORIENTATION] = 6  # to be turned a quarter clockwise
    exif[MAKER] = "A camera"
    exif[POSITION] = {1: "N", 2: (52.0, 30.0, 0.0)}
    data = encoded(Image.new("RGB", (300, 100), "blue"), "JPEG", exif=exif)
    jpeg, width, height = for_print(data)
    assert (width, height) == (100, 300)
    assert not opened(jpeg).getexif()
    assert b"A camera" not in jpeg
    assert b"Exif" not in jpeg


@pytest.mark.parametrize("data", [b"", b"no picture", b"\x89PNG\r\n\x1a\n" + b"\x00" * 50])
def test_other_bytes_are_refused_with_a_sentence(data: bytes) -> None:
    with pytest.raises(PhotoUnreadableError, match="cannot be printed"):
        for_print(data, "ab" * 32)


def test_photo_stands_in_the_sheet_as_it_was_sealed(full: InspectionState) -> None:
    assert full.sealed is not None
    (photo,) = SheetContent.model_validate(full.sealed.content).photos
    sealed = base64.b64decode(photo.jpeg)
    with pikepdf.open(BytesIO(build_sheet(full))) as file:
        images = [
            thing
            for thing in file.objects
            if isinstance(thing, pikepdf.Stream) and thing.get("/Subtype") == "/Image"
        ]
        (image,) = images
        assert image.read_raw_bytes() == sealed
        assert list(image.Filter) == ["/DCTDecode"]
        assert image.ColorSpace == "/DeviceRGB"
        assert (int(image.Width), int(image.Height)) == (photo.width, photo.height)
    # What is printed is a copy: the original is named by its digest.
    assert photo.sha256 == full.photos[0].payload.sha256
    assert sha256(sealed).hexdigest() != photo.sha256
