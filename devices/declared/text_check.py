"""Check characters at the end of a frame of text."""

from collections.abc import Mapping
from typing import Annotated, Final

from pydantic import Field

from seatproof.devices.declared.base import Declared
from seatproof.devices.declared.check import CheckForm, CheckRule, is_check

# What check characters look like in a frame.
CHECK_PATTERNS: Final[Mapping[CheckForm, bytes]] = {
    "byte": b".",
    "hex": b"[0-9A-Fa-f]{2}",
    "half bytes": b"[0-?]{2}",
}


class TextCheck(Declared):
    """Check characters at the end of the frame, over everything before them.

    `leaves_out` bytes at the beginning and `leaves_out_last` directly before the check are not
    counted, as a start mark and a star are in some frames.
    """

    rule: CheckRule
    form: CheckForm = "hex"
    leaves_out: Annotated[int, Field(ge=0, le=8)] = 0
    leaves_out_last: Annotated[int, Field(ge=0, le=8)] = 0

    def fits(self, data: bytes, start: int) -> bool:
        """Tell whether the check that starts there is that of the frame before it."""
        covered = data[self.leaves_out : start - self.leaves_out_last]
        return is_check(self.rule, self.form, covered, data[start:])
