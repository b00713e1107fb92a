"""Files of points that ``seatproof form`` reads: JSON by kind, or CSV by its headings."""

from pathlib import Path
from typing import Final

from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.form_csv import read_csv
from seatproof.gui.commands.form_json import read_json
from seatproof.gui.commands.form_points import FormFile

# 100,000 points are some 5 MB; what is far larger was not meant.
LARGEST_BYTES: Final = 64_000_000


def read_form_file(path: Path) -> FormFile:
    """Read a file by its contents: JSON where it begins with a brace or is called so, else CSV.

    Raises
    ------
    CommandError
        The file cannot be read, or its contents make no points.
    """
    text = _text(path)
    if text.lstrip().startswith("{") or path.suffix.lower() == ".json":
        return read_json(text, path)
    return read_csv(text, path)


def _text(path: Path) -> str:
    try:
        if path.is_dir():
            raise CommandError(f"{path} is a directory; name a file of points in it")
        if path.exists() and not path.is_file():
            raise CommandError(f"{path} is no file on a disk; save the points in one first")
        with path.open("rb") as stream:
            data = stream.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise CommandError(f"{path} cannot be read: {error.strerror}") from error
    except ValueError as error:  # a name with a zero byte in it
        raise CommandError(f"{str(path)!r} is no name of a file") from error
    if len(data) > LARGEST_BYTES:
        raise CommandError(
            f"{path} is larger than {LARGEST_BYTES // 1_000_000} MB; give the points of one "
            "section, one seat or one line"
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise CommandError(f"{path} is no text file; give JSON or CSV in UTF-8") from error
    if "\0" in text:
        raise CommandError(f"{path} is no text file; give JSON or CSV in UTF-8")
    return text
