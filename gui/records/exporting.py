"""Writing sheets, readings and results of one or many inspections into a folder; without Qt."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Protocol

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.exports.readings_csv import readings_csv
from seatproof.core.exports.results_json import results_json
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.core.record.events import Event, check_chain
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.state import fold
from seatproof.core.sheet.document import build_sheet
from seatproof.core.wording.errors import SheetError
from seatproof.gui.shared.saying import again, say


class Kind(StrEnum):
    """What can be written of an inspection; the value is its word, said when it is shown."""

    PDF = "sheet (PDF)"
    CSV = "readings (CSV)"
    JSON = "results (JSON)"

    @property
    def ending(self) -> str:
        return self.name.lower()


class ExportArchive(Protocol):
    """What is read of an archive."""

    def events(self, inspection: str) -> tuple[Event, ...]: ...


@dataclass(frozen=True, slots=True)
class Exported:
    """What was written, what could not be and why, and whether it was called off."""

    files: tuple[Path, ...]
    inspections: int
    refused: tuple[str, ...]
    is_cancelled: bool

    def sentence(self, folder: Path) -> str:
        """Say it in words."""
        files, of = str(len(self.files)), str(self.inspections)
        gaps = {"files": files, "inspections": of, "folder": str(folder)}
        match files == "1", of == "1":
            case True, True:
                said = say("1 file of 1 inspection is in {folder}.", folder=str(folder))
            case True, False:
                said = say("1 file of {inspections} inspections is in {folder}.", **gaps)
            case False, True:
                said = say("{files} files of 1 inspection are in {folder}.", **gaps)
            case _:
                said = say("{files} files of {inspections} inspections are in {folder}.", **gaps)
        if self.is_cancelled:
            said = f"{say('Stopped.')} {said}"
        if self.refused:
            refused = say("{count} could not be written:", count=str(len(self.refused)))
            said = " ".join([said, refused, *(again(one) for one in self.refused[:3])])
        return said


def export(
    archive: ExportArchive,
    inspections: Sequence[str],
    folder: Path,
    kinds: Sequence[Kind],
    progress: Callable[[int, int], None] = lambda done, total: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> Exported:
    """Write files of inspections; one that cannot be written does not keep the others from it.

    Parameters
    ----------
    archive : ExportArchive
    inspections : sequence of str
        Their ids.
    folder : Path
        Made where it is not there. A file that is there already stays; the new one has a number.
    kinds : sequence of Kind
    progress : callable
        Told how many inspections of how many are done.
    cancelled : callable
        Asked before every file; true ends the work, and what is written whole stays.

    Raises
    ------
    OSError
        The folder cannot be made, or is full.
    """
    folder.mkdir(parents=True, exist_ok=True)
    files: list[Path] = []
    refused: list[str] = []
    done = 0
    for number, inspection in enumerate(inspections):
        progress(number, len(inspections))
        try:
            events = archive.events(inspection)
            check_chain(events)
            state = fold(events)
            for kind in kinds:
                if cancelled():
                    return Exported(tuple(files), done, tuple(refused), is_cancelled=True)
                files.append(_write(folder, state, kind))
        except (ArchiveError, PlanError, RecordError, SheetError) as error:
            refused.append(str(error))
            continue
        done += 1
    progress(len(inspections), len(inspections))
    return Exported(tuple(files), done, tuple(refused), is_cancelled=False)


def content_of(state: InspectionState, kind: Kind) -> bytes:
    """Return one kind of file of an inspection."""
    match kind:
        case Kind.PDF:
            return build_sheet(state)
        case Kind.CSV:
            return readings_csv(state)
        case Kind.JSON:
            return results_json(state)


def _write(folder: Path, state: InspectionState, kind: Kind) -> Path:
    """Write a file whole or not at all."""
    stem = re.sub(r"[^\w.-]", "_", state.identification.sheet_number) or state.inspection
    path, number = folder / f"{stem}.{kind.ending}", 1
    while path.exists():
        number += 1
        path = folder / f"{stem}-{number}.{kind.ending}"
    half = path.with_name(f"{path.name}.part")
    try:
        half.write_bytes(content_of(state, kind))
        half.replace(path)
    except BaseException:
        half.unlink(missing_ok=True)
        raise
    return path
