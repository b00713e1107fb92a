"""What stands beside the events of an archive, altered by somebody who has taken the guards off."""

import sqlite3

import pytest

from seatproof.core.archive.errors import ArchiveAlteredError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.health import check
from tests.core.conftest import PLAN, PLAN_DEFAULTS
from tests.core.verification.conftest import MORE, PHOTO, everything


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """Return the bytes of an archive with a reviewed inspection and its revision."""
    path = tmp_path_factory.mktemp("whole") / "a.seatproof"
    with Archive.open(path) as opened:
        plan = 'conditions = ["clean"]\n' + PLAN.format(**PLAN_DEFAULTS) + MORE
        case = everything(plan, {"version": 1}, opened)
        opened.put_attachment(PHOTO)
        case.bench.inspection.revise("wrong asset")
    return path.read_bytes()


@pytest.fixture
def alter(whole, path):
    """Return what alters the archive by statements, with its guards taken off and put back."""
    path.write_bytes(whole)

    def altered(*statements):
        db = sqlite3.connect(path, isolation_level=None)
        db.execute("PRAGMA ignore_check_constraints = ON")
        guards = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in guards:
            db.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            assert db.execute(statement).rowcount
        for _, definition in guards:
            db.execute(definition)
        db.close()
        return path

    return altered


def told(path):
    with Archive.read(path) as archive, archive.agreement() as agreement:
        return [
            *agreement.of_the_whole(),
            *agreement.of_register("people"),
            *(one for inspection in archive.inspections() for one in agreement.of(inspection)),
        ]


def test_index_agrees_however_it_came_to_be(alter):
    path = alter()
    assert told(path) == []
    alter("UPDATE derivation SET version = 0")
    Archive.open(path).close()  # which makes the index anew
    assert told(path) == []


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE inspection SET verdict = 'conforms'", "says verdict “conforms”"),
        ("UPDATE inspection SET state = 'accepted'", "says state “accepted”"),
        ("UPDATE inspection SET sheet_number = 'X'", "says sheet_number “X”"),
        ("UPDATE inspection SET number = number - 1", "at another time"),
        ("DELETE FROM inspection", "is missing from the index"),
        ("UPDATE inspection SET inspection = 'ghost' WHERE revision = 1", "lists inspection ghost"),
        ("UPDATE seat_result SET verdict = 'other'", "says verdict “other”"),
        ("UPDATE seat_result SET mean_mm = mean_mm + 1e-5", "says mean_mm"),
        ("DELETE FROM gauge_use", "rows (gauge_use)"),
        ("UPDATE gauge_use SET last_day = '1999-01-01'", "says last_day “1999-01-01”"),
        ("UPDATE inspector SET name = name || '?'", "says name"),
        ("INSERT INTO inspector VALUES (1, 'Nobody')", "1 rows (inspector) that belong to no"),
        ("UPDATE inspection_text SET marks = ''", "says marks “”"),
        ("UPDATE event SET payload = payload || ' ' WHERE seq = 9", "Event 9 of inspection"),
        (
            "UPDATE register_event SET payload = payload || ' ' WHERE seq = 2",
            "Event 2 of the register of people",
        ),
    ],
)
def test_what_the_index_says_otherwise_is_found(alter, statement, said):
    assert any(said in sentence for sentence in told(alter(statement)))


def test_guards_that_were_taken_off_or_changed_are_missed(alter):
    path = alter()
    db = sqlite3.connect(path)
    db.execute("DROP TRIGGER event_is_never_changed")
    db.execute("CREATE TRIGGER another AFTER INSERT ON event BEGIN SELECT 1; END")
    db.close()
    assert told(path) == [
        "The trigger another of the archive does not belong there, so it may not refuse changes "
        "any longer.",
        "The trigger event_is_never_changed of the archive is missing, so it may not refuse "
        "changes any longer.",
    ]


def test_inspection_that_the_index_does_not_list_is_read_all_the_same(alter):
    path = alter()
    with Archive.read(path) as archive:
        before, heads = archive.inspections(), archive.heads()
    assert len(before) == len(heads) == 2
    alter("DELETE FROM inspection WHERE revision = 1")
    with Archive.read(path) as archive:
        assert sorted(archive.inspections()) == sorted(before)
        assert sorted(archive.heads()) == sorted(heads)


@pytest.mark.parametrize(
    "payload",
    ["'['", "'[]'", "'{\"a\":' || printf('%.*c', 5000, '9') || '}'", "CAST(x'ff' AS TEXT)"],
)
def test_event_that_holds_what_none_can_hold_is_altered_and_no_crash(alter, payload):
    path = alter(f"UPDATE event SET payload = {payload} WHERE seq = 5")
    assert not check(path).holds
    with Archive.read(path) as archive:
        for inspection in archive.inspections():
            with pytest.raises(ArchiveAlteredError) as caught:
                archive.events(inspection)
            assert caught.value.is_altered
