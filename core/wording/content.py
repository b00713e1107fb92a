"""What a sheet says: text as it is printed and plots as rounded data, sealed into the record.

The sheet is drawn from this alone, so that the same record gives the same bytes on any machine:
last bits of floating-point results differ between processors, printed figures do not.
"""

from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from seatproof.core.plots.along import AlongPlot
from seatproof.core.plots.polar import PolarPlot
from seatproof.core.verdict.rule import Verdict
from seatproof.core.words import Language

CONTENT_VERSION: Final = 2  # raised whenever an older program could not draw a newer content
LAYOUT_VERSION: Final = 1  # raised whenever the same content would give other bytes


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Fact(_Part):
    """A labelled statement: a line of a title block or a list of facts."""

    label: str
    value: str


class Grid(_Part):
    """A table of texts; `shares` are the widths of its columns, and add up to one.

    `figures` are the columns, counted from 0, that stand flush right.
    """

    caption: str = ""
    heads: tuple[str, ...]
    shares: tuple[float, ...]
    rows: tuple[tuple[str, ...], ...]
    figures: tuple[int, ...] = ()
    note: str = ""


class Section(_Part):
    """A part of the sheet under a heading: facts, tables and sentences, in this order."""

    heading: str
    facts: tuple[Fact, ...] = ()
    grids: tuple[Grid, ...] = ()
    sentences: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        return not (self.facts or self.grids or self.sentences)


class Numbers(_Part):
    """The figures of a requirement as printed, as decimal text for other programs.

    `lower`, `upper`, `smallest` and `largest` are in `unit`, `expanded` is in `small_unit`; empty
    where there is none. `probability` is that of conformity, 0 to 1.
    """

    unit: Literal["mm", "in", "µm"]
    lower: str = ""
    upper: str = ""
    smallest: str = ""
    largest: str = ""
    small_unit: Literal["µm", "in"]
    expanded: str = ""
    coverage_factor: str = ""
    probability: str = ""


class RequirementLine(_Part):
    """One requirement as the answer at the top of the sheet gives it.

    `limits`, `value` and `uncertainty` carry their units; `sense` says whether they are differences
    of diameters or of radii; `probability` is that of conformity.
    """

    seat: str
    characteristic: str
    sense: str
    limits: str
    value: str
    uncertainty: str
    probability: str = ""
    numbers: Numbers
    verdict: Verdict
    judged: str
    reasons: tuple[str, ...]


class Cell(_Part):
    """The readings of one point: text as received; `mark` says where the size lies."""

    texts: tuple[str, ...]
    mark: Literal["", "above", "below", "skipped", "open"] = ""
    redone: bool = False


class StationRow(_Part):
    """One station in the table of readings; `results` stand in the columns behind them."""

    station: str
    position: str
    cells: tuple[Cell, ...]
    results: tuple[str, ...]


class Bar(_Part):
    """One undulation of the bars: how many a turn, and its amplitude; None where it is unseen."""

    undulations: int
    amplitude_um: float | None


class Spectrum(_Part):
    """The undulations of one station, as bars."""

    label: str
    bars: tuple[Bar, ...]


class SeatPart(_Part):
    """One seat, or one set of readings on it: its facts, table of readings, plots and tables."""

    seat_id: str
    heading: str
    facts: tuple[Fact, ...]
    orientations: tuple[str, ...]
    result_heads: tuple[tuple[str, str], ...]
    rows: tuple[StationRow, ...]
    table_note: str
    polar: PolarPlot | None
    polar_notes: tuple[str, ...]
    along: AlongPlot | None
    along_notes: tuple[str, ...]
    spectra: tuple[Spectrum, ...] = ()
    spectra_note: str = ""
    grids: tuple[Grid, ...] = ()


class Remark(_Part):
    """Something that went another way than straight on, with its reason."""

    when: str
    what: str
    why: str


class Photo(_Part):
    """A photo as it is printed: JPEG in base64, with what it shows and the digest of the whole."""

    caption: str
    belongs: str
    sha256: str
    width: Annotated[int, Field(ge=1)]
    height: Annotated[int, Field(ge=1)]
    jpeg: str


class SheetContent(_Part):
    """Everything that the sheet prints apart from the plan's drawing, which the plan gives.

    `notice` says, where there is something to say, what the sheet must not be taken for; it stands
    above the answer and on every page. `blindness` is what the method cannot see. `sections` follow
    the seats. `of_the_sheet` is what the sheet has to say of itself. `glyphs` is a typeface in
    base64 of characters that the sheet's own typefaces have not, where one was found.
    """

    version: Literal[2] = 2
    layout_version: int = LAYOUT_VERSION
    evaluation_version: int
    program: str
    language: Language
    paper: Literal["A4", "Letter"]
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
    sections: tuple[Section, ...]
    plan_remark: str
    remarks: tuple[Remark, ...]
    photos: tuple[Photo, ...] = ()
    of_the_sheet: tuple[str, ...]
    cautions: tuple[str, ...]
    caution_note: str
    deference: str
    glyphs: str = ""
