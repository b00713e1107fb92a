"""What a sheet says: text as it is printed and plots as rounded data, sealed into the record.

The sheet is drawn from this alone, so that the same record gives the same bytes on any machine:
last bits of floating-point results differ between processors, printed figures do not.
"""

from typing import Final, Literal

from pydantic import BaseModel, ConfigDict

from seatproof.core.plots.along import AlongPlot
from seatproof.core.plots.polar import PolarPlot
from seatproof.core.verdict.rule import Verdict

CONTENT_VERSION: Final = 1  # raised whenever an older program could not draw a newer content


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Fact(_Part):
    """A labelled statement: a line of a title block or a list of facts."""

    label: str
    value: str


class RequirementLine(_Part):
    """One requirement as the answer at the top of the sheet gives it.

    `limits`, `value` and `uncertainty` carry their units; `sense` says whether they are differences
    of diameters or of radii.
    """

    seat: str
    characteristic: str
    sense: str
    limits: str
    value: str
    uncertainty: str
    verdict: Verdict
    judged: str
    reasons: tuple[str, ...]


class Cell(_Part):
    """The readings of one point: text as received; `mark` says where the size lies."""

    texts: tuple[str, ...]
    mark: Literal["", "above", "below", "skipped", "open"] = ""
    redone: bool = False


class StationRow(_Part):
    """One station in the table of readings."""

    station: str
    position: str
    cells: tuple[Cell, ...]
    mean: str
    ovality: str
    axis: str


class SeatPart(_Part):
    """One seat: its facts, table of readings, and plots."""

    seat_id: str
    heading: str
    facts: tuple[Fact, ...]
    orientations: tuple[str, ...]
    rows: tuple[StationRow, ...]
    table_note: str
    polar: PolarPlot
    polar_notes: tuple[str, ...]
    along: AlongPlot
    along_notes: tuple[str, ...]


class Remark(_Part):
    """Something that went another way than straight on, with its reason."""

    when: str
    what: str
    why: str


class SheetContent(_Part):
    """Everything that the sheet prints apart from the plan's drawing, which the plan gives.

    `notice` says, where there is something to say, what the sheet must not be taken for; it stands
    above the answer and on every page.
    """

    version: Literal[1] = 1
    evaluation_version: int
    program: str
    title: str
    sheet_number: str
    unit: Literal["mm", "in"]
    title_block: tuple[Fact, ...]
    notice: str
    verdict: Verdict
    requirements: tuple[RequirementLine, ...]
    rule: tuple[Fact, ...]
    blindness: str
    seats: tuple[SeatPart, ...]
    gauges: tuple[Fact, ...]
    conditions: tuple[Fact, ...]
    plan_remark: str
    remarks: tuple[Remark, ...]
    cautions: tuple[str, ...]
    deference: str
    signatures: tuple[Fact, ...]
