"""``seatproof verify`` on records, archives and sheets, as a person and a script see it."""

import json
import sqlite3
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from seatproof.core.archive.file import Archive
from seatproof.core.record.file import read_record, write_record
from seatproof.gui.main import main
from tests.core.conftest import PLAN, PLAN_DEFAULTS
from tests.core.verification.conftest import MORE, PHOTO, everything

OLD = Path(__file__).parents[2] / "core" / "record" / "data" / "schema_1.json"
START = datetime(2025, 3, 4, 9, 15, tzinfo=timezone(timedelta(hours=1)))


@pytest.fixture
def archive(tmp_path):
    path = tmp_path / "a.seatproof"
    with Archive.open(path) as opened:
        opened.append_all(read_record(OLD))
    return path


def verify(capsys, *arguments):
    status = main(["verify", *map(str, arguments)])
    out, err = capsys.readouterr()
    return status, out, err


def test_record_that_holds(capsys):
    status, out, err = verify(capsys, OLD)
    assert status == 0
    assert out.startswith(f"{OLD}: all holds\n")
    assert "sheet KF-2025-004: all holds" in out
    assert err == ""


def test_altered_record_is_told_with_what_changed(capsys, tmp_path):
    path = tmp_path / "record.json"
    path.write_bytes(OLD.read_bytes().replace(b'"110.012"', b'"110.002"'))
    status, out, _ = verify(capsys, path)
    assert status == 1
    assert "DOES NOT HOLD" in out
    assert "What changed: the value was '110.012' and is now '110.002'." in out
    status, out, _ = verify(capsys, path, "--json")
    assert status == 1
    document = json.loads(out)
    assert document["outcome"] == "altered"
    assert document["records"][0]["findings"][0]["seq"] > 1


@pytest.mark.parametrize("content", [None, b"", b"\x00" * 100, b"{}", b"%PDF-1.7"])
def test_what_cannot_be_read(capsys, tmp_path, content):
    path = tmp_path / "thing"
    if content is not None:
        path.write_bytes(content)
    status, out, _ = verify(capsys, path)
    assert status == 2
    assert "CANNOT BE READ" in out


def test_archive_with_lists_kept_elsewhere(capsys, archive, tmp_path):
    keys, heads = tmp_path / "keys.json", tmp_path / "heads.json"
    status, _, err = verify(capsys, archive, "--write-keys", keys, "--write-heads", heads)
    assert status == 0
    assert "List of heads written to" in err
    assert json.loads(keys.read_bytes())["people"] == []
    assert verify(capsys, archive, "--keys", keys, "--heads", heads)[0] == 0


def test_inspection_removed_from_an_archive_is_missed(capsys, archive, tmp_path):
    heads = tmp_path / "heads.json"
    verify(capsys, archive, "--write-heads", heads)
    db = sqlite3.connect(archive)
    for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        db.execute(f"DROP TRIGGER {name}")
    db.execute("DELETE FROM event WHERE seq > 50")
    db.commit()
    db.close()
    status, out, _ = verify(capsys, archive, "--heads", heads, "--chains-only")
    assert status == 1
    assert "was cut short: events 51 to 72 are missing" in out


def test_altered_archive_is_found(capsys, archive):
    db = sqlite3.connect(archive)
    for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        db.execute(f"DROP TRIGGER {name}")
    db.execute("UPDATE event SET actor = 'Eve' WHERE seq = 7")
    db.commit()
    db.close()
    status, out, _ = verify(capsys, archive, "--chains-only")
    assert status == 1
    assert "What changed: actor was 'Łukasz Øst' and is now 'Eve'." in out


def test_signed_inspection_and_its_revision_in_a_real_archive(capsys, tmp_path):
    path, keys = tmp_path / "a.seatproof", tmp_path / "keys.json"
    with Archive.open(path) as opened:
        plan = 'conditions = ["clean"]\n' + PLAN.format(**PLAN_DEFAULTS) + MORE
        case = everything(plan, {"version": 1}, opened)
        opened.put_attachment(PHOTO)
        case.bench.inspection.revise("wrong asset")
        record = write_record(case.events, tmp_path / "record.json")
    status, out, _ = verify(capsys, path, "--chains-only", "--write-keys", keys)
    assert status == 0
    assert "signer not established (no list of keys was given)" in out
    status, out, _ = verify(capsys, record, "--chains-only", "--keys", keys, "--json")
    assert status == 0
    (found,) = json.loads(out)["records"]
    assert [(one["name"], one["holds"], one["signer"]) for one in found["signatures"]] == [
        ("Åsa Test", True, "established"),
        ("Quirin Lead", True, "established"),
        ("Quirin Lead", True, "established"),
    ]


def test_lists_of_what_is_no_archive_are_refused(capsys, tmp_path):
    status, _, err = verify(capsys, OLD, "--write-heads", tmp_path / "h.json")
    assert status == 2
    assert "is no archive; lists of heads and keys belong to an archive." in err


def test_list_of_keys_that_is_none_is_refused(capsys, tmp_path):
    path = tmp_path / "keys.json"
    path.write_text("{}")
    status, _, err = verify(capsys, OLD, "--keys", path)
    assert status == 2
    assert err.startswith("seatproof: The list of keys")
