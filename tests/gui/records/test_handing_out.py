"""Files of one and of many inspections; verification in plain words; pages as pictures."""

import json
import sqlite3
from datetime import timedelta
from io import BytesIO

import pypdf
import pytest

from seatproof.core.record.state import fold
from seatproof.core.sheet.document import build_sheet
from seatproof.core.verification.findings import Outcome
from seatproof.gui.records.exporting import Kind, export
from seatproof.gui.records.verifying import sheet_file, verify_inspection
from seatproof.gui.shared.pages import PagesError, pages_of
from tests.gui.review.conftest import START, archive, seal_one, ticking

__all__ = ["archive"]


def test_every_kind_is_written_and_can_be_read(archive, tmp_path):
    inspection = seal_one(archive)
    done = export(archive, [inspection], tmp_path / "out", list(Kind))
    assert sorted(path.name for path in done.files) == ["S-1.csv", "S-1.json", "S-1.pdf"]
    assert (done.inspections, done.refused, done.is_cancelled) == (1, (), False)
    assert json.loads((tmp_path / "out/S-1.json").read_bytes())
    assert b"a chip under the anvil" in (tmp_path / "out/S-1.csv").read_bytes()
    assert len(pypdf.PdfReader(tmp_path / "out/S-1.pdf").pages) >= 1


def test_a_file_that_is_there_is_never_overwritten(archive, tmp_path):
    inspection = seal_one(archive)
    (tmp_path / "S-1.csv").write_text("mine")
    done = export(archive, [inspection], tmp_path, [Kind.CSV])
    assert [path.name for path in done.files] == ["S-1-2.csv"]
    assert (tmp_path / "S-1.csv").read_text() == "mine"


def test_it_stops_between_files_and_keeps_what_is_whole(archive, tmp_path):
    ids = [seal_one(archive, f"S-{n}", start=START + timedelta(days=n)) for n in (1, 2)]
    told, asked = [], iter([False, True])
    done = export(
        archive,
        ids,
        tmp_path / "out",
        [Kind.CSV],
        lambda *at: told.append(at),
        lambda: next(asked),
    )
    assert done.is_cancelled
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["S-1.csv"]
    assert told == [(0, 2), (1, 2)]
    assert "Stopped" in done.sentence(tmp_path)


def test_one_that_cannot_be_read_does_not_keep_the_others(archive, tmp_path):
    good = seal_one(archive)

    class Half:
        def events(self, inspection):
            events = archive.events(good)
            return events if inspection == good else events[:3] + events[5:]

    done = export(Half(), ["broken", good], tmp_path / "out", [Kind.CSV])
    assert len(done.refused) == 1
    assert done.inspections == 1


def test_what_was_not_altered_holds_record_and_sheet(archive):
    inspection = seal_one(archive)
    clock = ticking(START + timedelta(days=1))
    answer = verify_inspection(archive, inspection, "S-1", clock)
    assert answer.outcome is Outcome.HOLDS
    assert answer.sentence == "Nothing was altered since it was stored."
    assert "There is no file of the sheet" in answer.found[-1]
    sheet = sheet_file(archive.path, "S-1")
    sheet.parent.mkdir()
    sheet.write_bytes(build_sheet(fold(archive.events(inspection))))
    answer = verify_inspection(archive, inspection, "S-1", clock)
    assert answer.outcome is Outcome.HOLDS
    assert any(str(sheet) in line for line in answer.found)
    sheet.write_bytes(
        sheet.read_bytes().replace(b"/Rotate 0", b"/Rotate 9").replace(b"1.", b"2.", 1)
    )
    assert verify_inspection(archive, inspection, "S-1", clock).outcome is not Outcome.HOLDS


def test_a_size_that_was_altered_is_found(archive):
    inspection = seal_one(archive)
    with sqlite3.connect(archive.path) as db:
        db.execute("DROP TRIGGER IF EXISTS event_stays")
        for (name,) in db.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            db.execute(f"DROP TRIGGER {name}")
        db.execute(
            "UPDATE event SET payload = replace(payload, '110.0135', '110.0134') "
            "WHERE kind = 'reading'"
        )
    db.close()
    answer = verify_inspection(archive, inspection, "S-1", ticking(START + timedelta(days=1)))
    assert answer.outcome is Outcome.ALTERED
    assert "does NOT hold" in answer.sentence


def test_pages_are_pictures(archive, qapp):
    pdf = build_sheet(fold(archive.events(seal_one(archive))))
    pictures = pages_of(pdf, dpi=40).pictures
    assert len(pictures) == len(pypdf.PdfReader(BytesIO(pdf)).pages)
    first = pictures[0]
    assert first.width() == pytest.approx(210 / 25.4 * 40, abs=1.5)
    # Ink on paper: neither blank nor black.
    tones = {first.pixelColor(x, y).lightness() for x in range(0, 320, 3) for y in range(0, 450, 3)}
    assert max(tones) == 255
    assert min(tones) < 120


def test_what_is_no_pdf_has_no_pages():
    with pytest.raises(PagesError, match="cannot be shown"):
        pages_of(b"not a sheet")
