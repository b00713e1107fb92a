"""What all models of a declared format share: strictness, and bytes written as text."""

from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, PlainSerializer


class Declared(BaseModel):
    """A frozen part of a declared format; a key that is not known is a mistake."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


def _to_bytes(value: object) -> object:
    if not isinstance(value, str):
        return value
    try:
        return value.encode("latin-1")
    except UnicodeEncodeError as error:
        raise ValueError("write bytes as characters up to \\u00ff") from error


def _to_text(value: bytes) -> str:
    return value.decode("latin-1")


# One character is one byte: "\u0002" in TOML is the byte 02. In Python they stay bytes.
Octets = Annotated[bytes, BeforeValidator(_to_bytes), PlainSerializer(_to_text, return_type=str)]


class Part(Declared):
    """A piece of a frame and what it means, for showing a person how the bytes are read."""

    start: int
    stop: int
    meaning: str
