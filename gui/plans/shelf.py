"""The plans kept in an archive, as the place of plans offers them; without Qt."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from seatproof.core.archive.file import Archive
from seatproof.core.placing import place
from seatproof.core.plan.file import parse_plan, read_plan_text
from seatproof.core.plan.model import Plan
from seatproof.core.registers.plans import KeptPlan, PlanBook
from seatproof.gui.plans.draft import proposed, read_draft
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.shared.saying import say

_NUMBER: Final = re.compile(r"\d{1,6}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Row:
    """A kept version as the list shows it."""

    kept: KeptPlan
    plan: Plan
    is_used: bool

    @property
    def words(self) -> str:
        used = say("● used, stays") if self.is_used else say("○ not used yet")
        version = f"{say('version')} {self.kept.version}"
        return (
            f"{self.kept.title}\n{version}   {used}\n"
            f"{self.kept.moment:%Y-%m-%d}, {self.kept.kept_by}"
        )


class Shelf:
    """The register of plans of one archive, and what is made from a plan."""

    def __init__(self, archive: Archive, clock: Callable[[], datetime]) -> None:
        self._archive = archive
        self._clock = clock
        self._book: PlanBook | None = None
        self._of_records: dict[tuple[str, str], frozenset[str]] = {}

    @property
    def read_only(self) -> str:
        """Why nothing can be kept here; empty where it can."""
        return self._archive.read_only

    def read(self) -> None:
        """Read the register again; raises `ArchiveError` or `RecordError`."""
        self._book = PlanBook.open(self._archive, self._clock, self._archive.plan_is_used)
        self._of_records = {}

    def rows(self) -> tuple[Row, ...]:
        """Return the versions on offer, by title, the newest first."""
        return tuple(
            Row(kept, parse_plan(kept.text), self._archive.plan_is_used(kept.title, kept.version))
            for kept in self.book.offered()
        )

    @property
    def book(self) -> PlanBook:
        if self._book is None:
            self.read()
        assert self._book is not None
        return self._book

    def new(self, unit: str = "mm") -> PlanEditor:
        """Return the editor of a plan of which nothing is decided but its unit."""
        draft = proposed()
        draft["plan"]["unit"] = unit
        return PlanEditor(draft, None, self._why_fixed)

    def change(self, row: Row) -> PlanEditor:
        """Return the editor of a kept version, or of the one to come where it was used."""
        draft = read_draft(row.kept.text)
        if row.is_used:
            draft["plan"]["version"] = self.next_version(row.kept.title)
        return PlanEditor(draft, row.kept.text, self._why_fixed)

    def copy(self, row: Row) -> PlanEditor:
        """Return the editor of another plan that begins as this one; its title is to be given."""
        draft = read_draft(row.kept.text)
        draft["plan"] |= {"title": "", "version": "1"}
        return PlanEditor(draft, row.kept.text, self._why_fixed)

    def open_file(self, path: Path) -> PlanEditor:
        """Return the editor of a plan file; raises `PlanError` where it is none."""
        text = read_plan_text(path)
        parse_plan(text, source=str(path))
        return PlanEditor(read_draft(text), text, self._why_fixed)

    def keep(self, editor: PlanEditor, actor: str) -> KeptPlan:
        """Keep the plan of an editor; raises `PlanError` or `ArchiveError`."""
        kept = self.book.keep(actor, editor.text)
        editor.kept()
        return kept

    def put_away(self, row: Row, actor: str, reason: str) -> None:
        """Offer a version no longer; raises `PlanError` or `ArchiveError`."""
        self.book.put_away(actor, row.kept.title, row.kept.version, reason)

    def next_version(self, title: str) -> str:
        """Return the number after all versions of a plan that are numbers."""
        versions = [kept.version for kept in self.book.plans.values() if kept.title == title]
        numbers = [int(text) for text in versions if _NUMBER.fullmatch(text)]
        number = max(numbers, default=0) + 1
        while self._archive.plan_is_used(title, str(number)):
            number += 1
        return str(number)

    def file_for_bench(self, row: Row) -> Path:
        """Return a file of a kept version, beside the archive, for the bench to begin with.

        Raises
        ------
        NotPlacedError, OSError
            It cannot be written there.
        """
        folder = self._archive.path.parent / "plans"
        folder.mkdir(exist_ok=True)
        return place(row.kept.text.encode(), folder / f"{file_stem(row.kept)}.toml")

    def _why_fixed(self, title: str, version: str, text: str) -> str:
        """Say why a version may not say this: an inspection was made with another text of it."""
        if not self._archive.plan_is_used(title, version):
            return ""
        kept = self.book.plans.get((title, version))
        if text in (self._used_texts(title, version) if kept is None else (kept.text,)):
            return ""
        return say(
            "An inspection was made with this version, so it stays as it is; give another one, "
            "such as {next}.",
            next=self.next_version(title),
        )

    def _used_texts(self, title: str, version: str) -> frozenset[str]:
        """Return the texts of a version that was used and never kept here, from the records."""
        key = (title, version)
        if key not in self._of_records:
            self._of_records[key] = frozenset(
                str(self._archive.events(entry.inspection)[0].payload["plan_toml"])
                for entry in self._archive.entries()
                if (entry.title, entry.plan_version) == key
            )
        return self._of_records[key]


def file_stem(kept: KeptPlan) -> str:
    """Return a file's name for a version, without its ending."""
    return re.sub(r"[^\w. -]", "_", f"{kept.title} {kept.version}").strip()


def print_strips(row: Row, path: Path) -> Path:
    """Write the marking strips of a plan; raises `NotPlacedError`."""
    from seatproof.core.workshop.strip import build_strips  # what makes PDFs is slow to load

    return place(build_strips(row.plan), path)


def print_blank(row: Row, path: Path) -> Path:
    """Write the sheet to fill in by hand; raises `NotPlacedError`."""
    from seatproof.core.workshop.blank import build_blank  # what makes PDFs is slow to load

    return place(build_blank(row.plan), path)


def export_file(row: Row, path: Path) -> Path:
    """Write a plan as the file it is; raises `NotPlacedError`."""
    return place(row.kept.text.encode(), path)
