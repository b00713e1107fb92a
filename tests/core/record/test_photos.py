"""Photos lose what the camera wrote about place and owner, and nothing of the picture."""

import hashlib
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin

from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.photos import read_photo

GPS, OWNER = 0x8825, 0xA430


def picture():
    image = Image.new("RGB", (24, 16))
    image.putdata([(x * 10 % 256, y * 15 % 256, 90) for y in range(16) for x in range(24)])
    return image


def jpeg(orientation=None, **more):
    exif = Image.Exif()
    exif.get_ifd(GPS)[1] = "N"
    exif.get_ifd(GPS)[2] = (52.0, 31.0, 12.0)
    exif[0x013B] = "Secret Artist"
    if orientation is not None:
        exif[0x0112] = orientation
    stream = BytesIO()
    picture().save(stream, "JPEG", exif=exif, comment=b"Secret comment", **more)
    return stream.getvalue()


def png():
    text = PngImagePlugin.PngInfo()
    text.add_text("Author", "Secret Artist")
    text.add_itxt("Place", "Secret place")
    stream = BytesIO()
    picture().save(stream, "PNG", pnginfo=text, exif=Image.Exif(), dpi=(300, 300))
    return stream.getvalue()


def pixels(content):
    return Image.open(BytesIO(content)).convert("RGB").tobytes()


@pytest.mark.parametrize("progressive", [False, True])
def test_jpeg_keeps_every_pixel_and_loses_the_rest(progressive):
    content = jpeg(progressive=progressive)
    photo = read_photo(content)
    assert pixels(photo.content) == pixels(content)
    assert (photo.width, photo.height, photo.media_type) == (24, 16, "image/jpeg")
    assert b"Secret" in content
    assert b"Secret" not in photo.content
    exif = Image.open(BytesIO(photo.content)).getexif()
    assert dict(exif) == {}
    assert dict(exif.get_ifd(GPS)) == {}
    assert photo.sha256 == hashlib.sha256(photo.content).hexdigest()


@pytest.mark.parametrize("orientation", range(1, 9))
def test_orientation_alone_is_kept(orientation):
    exif = Image.open(BytesIO(read_photo(jpeg(orientation)).content)).getexif()
    assert dict(exif) == ({} if orientation == 1 else {0x0112: orientation})


def test_png_keeps_every_pixel_and_loses_the_rest():
    content = png()
    photo = read_photo(content)
    assert pixels(photo.content) == pixels(content)
    assert b"Secret" not in photo.content
    assert (photo.width, photo.height, photo.media_type) == (24, 16, "image/png")


def test_second_picture_behind_the_first_is_left_out():
    photo = read_photo(jpeg() + jpeg())
    assert photo.content == read_photo(jpeg()).content


def test_what_was_done_once_changes_nothing_again():
    for content in (jpeg(6), png()):
        once = read_photo(content)
        assert read_photo(once.content) == once


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "The file is no photo"),
        (b"GIF89a", "The file is no photo"),
        (b"\xff\xd8", "The photo is damaged"),
        (b"\x89PNG\r\n\x1a\n", "The photo is damaged"),
        (b"\xff\xd8\xff\xd9", "The photo is damaged"),
        (b"\x00" * 20_000_001, "The photo has 20 MB; at most 20 MB"),
    ],
)
def test_what_is_no_photo_is_refused(content, said):
    with pytest.raises(CommandRefusedError, match=said):
        read_photo(content)


@settings(max_examples=120, deadline=None)
@given(data=st.data())
def test_damaged_photo_is_read_or_refused(data):
    content = bytearray(data.draw(st.sampled_from([jpeg(6), png()])))
    for _ in range(data.draw(st.integers(1, 4))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(content)))
    try:
        photo = read_photo(bytes(content[:cut]))
    except CommandRefusedError:
        return
    assert photo.payload().n_bytes == len(photo.content)


def test_photo_goes_into_the_record(bench_of, at):
    bench = bench_of()
    photo = read_photo(jpeg())
    bench.inspection.add_photo(photo.payload(" scratch ", key=at(1, 2)))
    (entry,) = bench.state.photos
    assert entry.payload.sha256 == photo.sha256
    assert (entry.payload.caption, entry.payload.place.key) == ("scratch", at(1, 2))


def test_photo_belongs_to_what_is_there(bench_of, at):
    bench = bench_of()
    photo = read_photo(jpeg())
    for place in ({"key": at(9, 9)}, {"seat": "Z"}, {"seat": "A", "check": "painted"}):
        with pytest.raises(CommandRefusedError, match="cannot go into the record: the plan has no"):
            bench.inspection.add_photo(photo.payload(**place))
    assert bench.state.photos == ()
