"""Formats in files, as TOML or JSON by the file's ending."""

import json
import os
import tomllib
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.errors import FormatError

SUFFIXES: Final = (".toml", ".json")


def load_format(path: Path) -> GaugeFormat:
    """Read a format from a file.

    Raises
    ------
    FormatError
        The file cannot be read or does not describe a format; the sentence names the first fault.
    """
    try:
        text = path.read_text(encoding="utf-8")
        data = json.loads(text) if path.suffix == ".json" else tomllib.loads(text)
        return GaugeFormat.model_validate(data)
    except OSError as error:
        reason = f"the format file cannot be read ({error.strerror or error})."
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, json.JSONDecodeError) as error:
        reason = f"the format file is not valid {path.suffix[1:].upper() or 'TOML'} ({error})."
    except ValidationError as error:
        reason = first_fault(error)
    raise FormatError(str(path), reason)


def save_format(form: GaugeFormat, path: Path) -> None:
    """Write a format to a file, whole or not at all; an existing file is replaced.

    Raises
    ------
    FormatError
        The file cannot be written.
    """
    document: dict[str, Any] = form.model_dump(mode="json", exclude_none=True)
    if path.suffix == ".json":
        text = json.dumps(document, indent=2) + "\n"
    else:
        import tomlkit  # for writing alone

        text = tomlkit.dumps(document)
    unfinished = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        unfinished.write_text(text, encoding="utf-8", newline="\n")
        unfinished.replace(path)
    except OSError as error:
        unfinished.unlink(missing_ok=True)
        reason = f"the format file cannot be written ({error.strerror or error})."
        raise FormatError(str(path), reason) from error


def first_fault(error: ValidationError) -> str:
    """Return the first fault of a format as a clause that names its place."""
    first = error.errors(include_url=False)[0]
    where = ".".join(str(part) for part in first["loc"]) or "the whole file"
    return f"the format has a fault at {where}: {first['msg']}."
