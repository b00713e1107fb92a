"""``seatproof archive`` and ``seatproof records``, as typed."""

import json
from dataclasses import dataclass
from pathlib import Path

import pytest

from seatproof.core.archive.file import Archive
from seatproof.core.archive.query import Query
from seatproof.core.cautions import CAUTIONS
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.files import example
from seatproof.core.record.events import next_event
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.sheet.compose import compose
from seatproof.core.version import PROGRAM
from seatproof.core.wording.content import SheetContent
from seatproof.gui.main import main
from seatproof.gui.workplace import local_now


@dataclass(frozen=True)
class Job:
    """An archive with one sealed inspection in it, and what its sheet says."""

    archive: Path
    content: SheetContent


def measure(path, number):
    """Measure every point of the kiln fan into an archive, and seal it."""
    with Archive.open(path) as archive:
        inspection = Inspection.create(
            archive,
            plan_toml=example("kiln_fan.toml").read_text(encoding="utf-8"),
            identification=Identification(
                sheet_number=number, asset="Drying kiln 2", work_order="W 7"
            ),
            actor="Ann",
            clock=local_now,
        )
        inspection.acknowledge_cautions(CAUTIONS)
        inspection.put_in_service(
            GaugeInService(
                inventory_number="M-1", unit="mm", resolution="0.001", source="s", format="number"
            )
        )
        while (key := inspection.state.cursor) is not None:
            size = sum(inspection.state.plan.seat(key.seat_id).limits_mm) / 2
            inspection.take(Press(size, None, str(size), b"press", "number", 1))
        content = compose(inspection.state, evaluate(inspection.state), PROGRAM)
        inspection.seal(content.model_dump(mode="json"), "Measured as recorded.")
    return Job(path, content)


@pytest.fixture(scope="module")
def done(tmp_path_factory):
    return measure(tmp_path_factory.mktemp("job") / "archive.seatproof", "SP 1")


@pytest.fixture
def said(done, capsys):
    """Return what runs a command on the archive of the job and returns status, output, errors."""

    def run(*words, archive=done.archive):
        given = [] if archive is None else ["--archive", str(archive)]
        try:
            status = main([*map(str, words), *given])
        except SystemExit as ended:
            status = ended.code
        captured = capsys.readouterr()
        return status, captured.out, captured.err

    return run


# --- records --------------------------------------------------------------------------------------


def test_inspections_are_listed_with_what_matters(said, done):
    status, out, _ = said("records", "kiln")
    assert status == 0
    heads, line = out.splitlines()
    assert heads.split() == [
        "Opened", "Sheet", "Shaft", "or", "asset", "Work", "order", "State", "Verdict", "By",
    ]  # fmt: skip
    for word in (done.content.sheet_number, "sealed", str(done.content.verdict)):
        assert word in line


def test_what_is_not_there_is_not_found(said):
    assert said("records", "dinosaur") == (0, "No inspection was found.\n", "")
    status, out, _ = said("records", "dinosaur", "--json")
    assert (status, json.loads(out)) == (0, {"entries": [], "page": None})


def test_every_criterion_is_taken(said, done):
    number = done.content.sheet_number
    with Archive.read(done.archive) as archive:
        (entry,) = archive.entries()
    criteria = [
        "--sheet-number", number, "--asset", entry.asset, "--seat", "A", "--sealed",
        "--verdict", entry.verdict, "--state", "sealed", "--from", entry.opened_day,
        "--to", entry.opened_day,
    ]  # fmt: skip
    status, out, _ = said("records", "kiln", *criteria, "--json")
    (found,) = json.loads(out)["entries"]
    assert (status, found["inspection"]) == (0, entry.inspection)
    assert found["inspectors"]
    for other in (["--unsealed"], ["--seat", "X"], ["--to", "1999-12-31"], ["--gauge", "none"]):
        assert said("records", *other)[1] == "No inspection was found.\n"


def test_following_page_is_named(said, tmp_path, done):
    copy = tmp_path / "copy.seatproof"
    copy.write_bytes(done.archive.read_bytes())
    measure(copy, "SP 2")
    _, out, _ = said("records", "--count", "1", archive=copy)
    assert "There are more; they follow with: --page " in out
    page = out.split("--page ")[1].strip()
    _, following, _ = said("records", "--count", "1", "--page", page, archive=copy)
    assert "There are more" not in following
    assert len(following.splitlines()) == 2


def test_trend_and_gauge_questions_are_answered(said, done):
    with Archive.read(done.archive) as archive:
        (entry,) = archive.entries()
    status, out, _ = said("records", "--trend", "--seat", "A", "--asset", entry.asset)
    assert status == 0
    assert out.splitlines()[0].startswith("Opened")
    assert done.content.sheet_number in out
    assert " mm" in out
    assert " µm" in out
    with Archive.read(done.archive) as archive:
        (gauge,) = archive.find(Query()).entries[0].gauges
    days = ["--from", entry.opened_day, "--to", entry.opened_day]
    status, out, _ = said("records", "--in-service", "--gauge", gauge, *days, "--json")
    (use,) = json.loads(out)
    assert (status, use["entry"]["inspection"]) == (0, entry.inspection)
    assert use["readings"] >= 60
    assert "was not in service" in said(
        "records", "--in-service", "--gauge", gauge, "--from", "1999-01-01", "--to", "1999-12-31"
    )[1]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["records", "-"], "with a letter or a digit in it"),
        (["records", "--trend", "--seat", "A"], "A trend is of one seat"),
        (["records", "--in-service", "--gauge", "M"], "Name the gauge with --gauge, and the days"),
        (["records", "--from", "17.5.2024"], "write it as year-month-day"),
        (["records", "--count", "0"], "one inspection at least"),
        (["archive", "export", "-o", "x"], "Name the inspections by their sheet numbers"),
        (["archive", "export", "nothing", "-o", "x"], "has no inspection nothing"),
        (["archive", "backup", "nowhere/copy"], "does not exist; make it"),
        (["archive", "import", "nothing"], "cannot be read"),
    ],
)
def test_what_cannot_be_done_gives_one_sentence(said, words, sentence):
    status, out, err = said(*words)
    assert (status, out) == (2, "")
    assert sentence in err


def test_archive_that_is_not_there_is_not_made(said, tmp_path):
    status, _, err = said("records", archive=tmp_path / "none.seatproof")
    assert status == 2
    assert "There is no archive" in err
    assert list(tmp_path.iterdir()) == []


# --- archive --------------------------------------------------------------------------------------


def test_copy_is_made_and_checked_while_the_window_has_the_archive(said, done, tmp_path):
    copy = tmp_path / "copy.seatproof"
    with Archive.open(done.archive):
        status, out, _ = said("archive", "backup", copy)
    assert status == 0
    assert "1 inspection, " in out
    assert "every event of the copy was verified" in out
    status, out, _ = said("archive", "check", archive=copy)
    assert status == 0
    assert "holds: 1 inspection, " in out


def test_altered_archive_is_told(said, done, tmp_path):
    copy = tmp_path / "copy.seatproof"
    copy.write_bytes(done.archive.read_bytes())
    with Archive.open(copy) as archive:
        archive._db.execute("DROP TRIGGER event_is_never_changed")
        archive._db.execute("UPDATE event SET actor = 'nobody' WHERE seq = 7")
    status, out, _ = said("archive", "check", archive=copy)
    assert status == 1
    assert "Event 7 of inspection" in out
    status, out, _ = said("archive", "check", "--json", archive=copy)
    assert (status, json.loads(out)["holds"]) == (1, False)


def test_inspections_move_to_another_archive_once(said, done, tmp_path):
    file, office = tmp_path / "shafts.transfer", tmp_path / "office.seatproof"
    number = done.content.sheet_number
    assert said("archive", "export", number, "-o", file)[:2] == (
        0, f"1 inspection was written to {file}.\n",
    )  # fmt: skip
    assert said("archive", "export", "--all", "-o", file)[0] == 0
    assert said("archive", "import", file, archive=office)[:2] == (
        0, "Taken: 1 new, 0 carried on, 0 there already, 0 refused.\n",
    )  # fmt: skip
    status, out, _ = said("archive", "import", file, "--json", archive=office)
    assert (status, len(json.loads(out)["already"])) == (0, 1)
    with Archive.read(office) as there, Archive.read(done.archive) as here:
        assert there.heads() == here.heads()


def test_refused_inspection_is_told_by_status_and_sentence(said, done, tmp_path):
    file, office = tmp_path / "shafts.transfer", tmp_path / "office.seatproof"
    said("archive", "export", "--all", "-o", file)
    with Archive.read(done.archive) as here, Archive.open(office) as there:
        events = here.events(here.inspections()[0])
        other = next_event(
            inspection=events[0].inspection, last=events[0], moment=events[1].moment,
            actor="x", kind="note", payload={"text": "elsewhere"},
        )  # fmt: skip
        there.append_all((events[0], other))
    status, out, _ = said("archive", "import", file, archive=office)
    assert status == 1
    assert "went on differently here and there" in out


def test_damaged_archive_is_saved(said, done, tmp_path):
    damaged, saved = tmp_path / "damaged.seatproof", tmp_path / "saved.seatproof"
    damaged.write_bytes(bytes(4096) + done.archive.read_bytes()[4096:])
    status, out, _ = said("archive", "salvage", damaged, saved, archive=None)
    assert status == 0
    assert "none missing between them" in out
    with Archive.read(saved) as there, Archive.read(done.archive) as here:
        assert there.heads() == here.heads()
    status, _, err = said("archive", "salvage", damaged, saved, archive=None)
    assert status == 2
    assert "is there already" in err


def test_archive_to_check_may_be_named_without_a_word_before_it(done, capsys):
    assert main(["archive", "check", str(done.archive)]) == 0
    assert str(done.archive) in capsys.readouterr().out


def test_whoever_has_no_archive_yet_is_told_so(monkeypatch, tmp_path, capsys):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert main(["records"]) == 2
    assert "Nothing is kept here yet" in capsys.readouterr().err
