"""What can stand in the way of a sheet.

SheetError
    NotSealedError       the inspection is still open: there is nothing to be printed yet
    ContentUnknownError  the sealed content is of a newer version, or no content of a sheet at all
    NotWrittenError      the file cannot be written where it was wanted
"""

from pathlib import Path


class SheetError(Exception):
    """Something about a sheet that its user can act on."""


class NotSealedError(SheetError):
    """An inspection without a seal."""

    def __init__(self, inspection: str) -> None:
        self.inspection = inspection
        super().__init__(
            f"Inspection {inspection} is not sealed yet; a sheet is made from a sealed one. "
            "Finish the measuring and seal it first."
        )


class ContentUnknownError(SheetError):
    """Sealed content that this program cannot draw."""

    def __init__(self, inspection: str, finding: str) -> None:
        self.inspection = inspection
        self.finding = finding
        super().__init__(
            f"The sheet of inspection {inspection} cannot be drawn: {finding}. Use the version of "
            "Seatproof that sealed it, or a later one."
        )


class NotWrittenError(SheetError):
    """A file that cannot be written."""

    def __init__(self, path: Path, finding: str) -> None:
        self.path = path
        self.finding = finding
        super().__init__(f"The sheet cannot be written to {path}: {finding}.")
