"""Files that travel within the sheet: the record that it was made from, and the readings."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file attached to the sheet.

    `relationship` is the one of ISO 19005-3, 6.8: ``Source`` is what the sheet was made from,
    ``Data`` what it shows in another form.
    """

    name: str
    media_type: str
    relationship: Literal["Source", "Data"]
    description: str
    data: bytes
