"""Show a person how a format reads a frame: the bytes, underlined and captioned by meaning."""

from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.framing import Frame

_CELL = 3  # two hexadecimal digits and a blank


def show_frame(form: GaugeFormat, frame: Frame) -> str:
    r"""Return lines that show the raw bytes of a frame and what each of them means.

    >>> from seatproof.devices.declared.text import TextLayout
    >>> layout = TextLayout(sign="always", decimals=2)
    >>> print(show_frame(GaugeFormat(name="mine", layout=layout), Frame(b"-1.25", b"-1.25\r")))
    2d 31 2e 32 35 0d
     -  1  .  2  5  ·
    ^^                sign
       ^^^^^^^^^^^    value
                   ^^ end
    """
    width = len(frame.raw) * _CELL - 1
    lines = [
        frame.raw.hex(" "),
        " ".join(f" {_character(byte)}" for byte in frame.raw),
    ]
    for part in form.parts(frame):
        underline = "^" * ((part.stop - part.start) * _CELL - 1)
        lines.append(f"{' ' * part.start * _CELL}{underline}".ljust(width) + f" {part.meaning}")
    return "\n".join(lines)


def _character(byte: int) -> str:
    return chr(byte) if 0x20 < byte < 0x7F else ("␣" if byte == 0x20 else "·")
