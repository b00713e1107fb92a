"""What can stand in the way of a sheet, or of reading one back.

SheetError
    ContentUnknownError   the sealed content is of a newer version, or no content of a sheet at all
    LayoutUnknownError    it was laid out by a program that draws the same content differently
    NotWrittenError       the file cannot be written where it was wanted
    SheetUnreadableError  a file holds no record that can be taken out of it
"""

from pathlib import Path


class SheetError(Exception):
    """Something about a sheet that its user can act on."""


class ContentUnknownError(SheetError):
    """Sealed content that this program cannot draw."""

    def __init__(self, inspection: str, finding: str) -> None:
        self.inspection = inspection
        self.finding = finding
        super().__init__(
            f"The sheet of inspection {inspection} cannot be drawn: {finding}. Use the version of "
            "Seatproof that sealed it, or a later one."
        )


class LayoutUnknownError(SheetError):
    """Sealed content whose layout this program does not draw; `known` is the one that it draws."""

    def __init__(self, inspection: str, found: int, known: int, program: str) -> None:
        self.inspection = inspection
        self.found = found
        self.known = known
        self.program = program
        super().__init__(
            f"The sheet of inspection {inspection} has layout {found}, and this program draws "
            f"layout {known} only: it cannot make the same file again. Its record, signatures and "
            f"figures can be checked all the same; {program} makes the file."
        )


class NotWrittenError(SheetError):
    """A file that cannot be written."""

    def __init__(self, path: Path, finding: str) -> None:
        self.path = path
        self.finding = finding
        super().__init__(f"The sheet cannot be written to {path}: {finding}.")


class SheetUnreadableError(SheetError):
    """Bytes out of which no record can be taken."""

    def __init__(self, finding: str) -> None:
        self.finding = finding
        super().__init__(f"No record can be taken out of this file: {finding}.")
