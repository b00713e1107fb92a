"""Files and places that will not do, and moments in which nothing can be stored."""

import contextlib
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from seatproof.core.archive import place
from seatproof.core.archive.errors import (
    ArchiveBusyError,
    ArchiveDamagedError,
    ArchiveError,
    ArchiveFullError,
    ArchiveGoneError,
    ArchivePlaceError,
    ArchiveReadOnlyError,
    ArchiveUnusableError,
)
from seatproof.core.archive.file import Archive
from seatproof.core.archive.place import (
    NETWORK_SYSTEMS,
    linux_mounts,
    mac_mounts,
    shared_place,
    synchronised_folder,
    system_at,
)
from seatproof.core.record.events import check_chain


def test_text_file_is_refused_and_left_as_it_is(path):
    path.write_text("my notes\n" * 500, encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(ArchiveUnusableError, match="is not a Seatproof archive"):
        Archive.open(path)
    assert path.read_bytes() == before


def test_database_of_another_program_is_refused_and_left_as_it_is(path):
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE theirs (x)")
        db.commit()
    before = path.read_bytes()
    with pytest.raises(ArchiveUnusableError, match="is a database of another program"):
        Archive.open(path)
    assert path.read_bytes() == before


def test_damaged_archive_is_refused(path, chain):
    with Archive.open(path) as archive:
        for event in chain(200, payload={"padding": "x" * 500}):
            archive.append(event)
    content = bytearray(path.read_bytes())
    content[4096:-4096] = bytes(len(content) - 8192)
    path.write_bytes(content)
    with pytest.raises(ArchiveDamagedError, match=r"is damaged \(.*seatproof archive salvage"):
        Archive.open(path)
    assert sorted(file.name for file in path.parent.iterdir()) == [path.name]  # nor is it locked


def test_empty_file_becomes_an_archive(path, stored):
    path.touch()
    assert stored() == []


def test_folder_is_refused(tmp_path):
    with pytest.raises(ArchiveUnusableError, match="is a folder; name an archive file"):
        Archive.open(tmp_path)


def test_missing_folder_is_refused(tmp_path):
    with pytest.raises(ArchiveUnusableError, match=r"The folder .*nowhere does not exist; make it"):
        Archive.open(tmp_path / "nowhere" / "a.seatproof")


@pytest.fixture
def shared(chain):
    """Make a folder that an ordinary user can reach, with an archive of one event."""
    folder = Path(tempfile.mkdtemp())
    path = folder / "archive.seatproof"
    with Archive.open(path) as archive:
        archive.append(chain(1)[0])
    folder.chmod(0o777)
    path.chmod(0o666)
    yield path
    folder.chmod(0o700)
    for file in folder.iterdir():
        file.unlink()
    folder.rmdir()


def test_file_that_can_be_written_is_opened_by_an_ordinary_user(shared, ordinary_user, stored):
    with ordinary_user():
        assert len(stored(shared)) == 1


def test_read_only_file_is_refused(shared, ordinary_user, stored):
    shared.chmod(0o444)
    with ordinary_user(), pytest.raises(ArchiveReadOnlyError) as caught:
        Archive.open(shared)
    assert str(caught.value) == (
        f"{shared} is read-only, so no reading could be stored; choose an archive file in a folder "
        "of your own, or ask for the right to write there."
    )


def test_read_only_folder_is_refused(shared, ordinary_user, stored):
    shared.parent.chmod(0o555)
    with ordinary_user():
        for path in (shared, shared.with_name("new.seatproof")):
            with pytest.raises(ArchiveReadOnlyError, match=f"^{shared.parent} is read-only"):
                Archive.open(path)
    assert len(list(shared.parent.iterdir())) == 1


def test_archive_in_a_read_only_folder_can_be_looked_at(shared, ordinary_user):
    shared.chmod(0o444)
    shared.parent.chmod(0o555)
    with ordinary_user(), Archive.read(shared) as archive:
        assert len(archive.events("i")) == 1
        assert archive.read_only == f"{shared} was opened to be read only."
    assert [file.name for file in shared.parent.iterdir()] == [shared.name]


def test_log_that_cannot_be_folded_in_is_not_passed_over(shared, ordinary_user, chain):
    """What a killed program left in the log beside a file is part of what is stored."""
    with Archive.open(shared) as archive:
        archive.append(chain(2)[1])
        log, content = (
            shared.with_name(f"{shared.name}-wal").read_bytes(),
            shared.read_bytes(),
        )
    shared.write_bytes(content)
    shared.with_name(f"{shared.name}-wal").write_bytes(log)
    shared.parent.chmod(0o555)
    with ordinary_user(), pytest.raises(ArchiveReadOnlyError) as caught:
        Archive.read(shared)
    assert str(caught.value) == (
        f"{shared} was not closed and {shared.parent} is read-only, so it cannot be read there; "
        f"copy it, and {shared.name}-wal beside it, to a folder of your own."
    )
    shared.parent.chmod(0o777)
    with Archive.read(shared) as archive:
        assert len(archive.events("i")) == 2


def test_file_that_cannot_be_read_is_refused(shared, ordinary_user, stored):
    shared.chmod(0o000)
    with ordinary_user(), pytest.raises(ArchiveUnusableError, match="You have no right to read"):
        Archive.open(shared)


def test_archive_that_becomes_read_only_says_so(archive, chain):
    first, second = chain(2)
    archive.append(first)
    archive._db.execute("PRAGMA query_only = ON")  # SQLite then refuses as on a read-only file
    with pytest.raises(ArchiveReadOnlyError, match="nothing can be stored in it"):
        archive.append(second)
    archive._db.execute("PRAGMA query_only = OFF")
    archive.append(second)
    assert list(archive.events("i")) == [first, second]


def test_archive_in_which_another_program_writes_is_busy(archive, path, chain):
    first, second = chain(2)
    archive.append(first)
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(ArchiveBusyError, match="Another program is writing in"):
            archive.append(second)
        assert archive.events("i") == (first,)  # reading goes on
        other.execute("ROLLBACK")
    archive.append(second)


def test_reader_sees_whole_events_while_another_writes(path, chain, following):
    events = chain(5)
    with Archive.open(path) as writer, Archive.read(path) as reader:
        for count, event in enumerate(events):
            assert list(reader.events("i")) == events[:count]
            writer.append(event)
        reader._db.execute("BEGIN")
        assert len(reader.events("i")) == 5
        writer.append(following(events[-1]))  # a reader holds nobody up
        assert len(reader.events("i")) == 5
        reader._db.execute("COMMIT")
        assert len(reader.events("i")) == 6


def test_full_disk_is_said_and_changes_nothing(archive, chain, following, pragma):
    (first,) = chain(1)
    archive.append(first)
    archive._db.execute(f"PRAGMA max_page_count = {pragma(archive, 'page_count')}")
    big = following(first, payload={"padding": "x" * 100_000})
    for _ in range(2):  # and the second time too
        with pytest.raises(
            ArchiveFullError, match="is full; make room, then press the gauge again"
        ):
            archive.append(big)
        assert archive.events("i") == (first,)
    archive._db.execute("PRAGMA max_page_count = 1000000")
    archive.append(big)
    assert archive.events("i") == (first, big)


def test_failed_commit_does_not_stop_what_follows(archive, chain):
    """A transaction was once left open, so that nothing could be stored any longer."""
    first, second = chain(2)
    archive.append(first)
    archive._db.execute("CREATE TABLE a (x PRIMARY KEY)")
    archive._db.execute("CREATE TABLE b (x REFERENCES a DEFERRABLE INITIALLY DEFERRED)")
    archive._db.execute(  # what this writes is found wrong at the commit only
        "CREATE TRIGGER t AFTER INSERT ON event BEGIN INSERT INTO b VALUES (1); END"
    )
    with pytest.raises(ArchiveError):
        archive.append(second)
    archive._db.execute("DROP TRIGGER t")
    archive.append(second)
    assert archive.events("i") == (first, second)


# --- disks that fill up ---------------------------------------------------------------------------


@pytest.fixture
def small_disk(tmp_path):
    """Mount a file system of 1 MB, where that is allowed."""
    folder = tmp_path / "small"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder)]
    try:
        done = subprocess.run(mount, capture_output=True, check=False)
    except FileNotFoundError:
        pytest.skip("there is no mount here")
    if done.returncode:
        pytest.skip("nothing may be mounted here")
    yield folder
    subprocess.run(["umount", "--lazy", str(folder)], check=True)  # whatever is still open there


def fill(bench, padding):
    """Press, with a long note of the point before each, until the archive takes no more."""
    logged = []
    try:
        for _ in range(5000):
            point = bench.state.cursor or bench.state.plan.points()[0].key
            bench.inspection.aim(point, padding)
            logged.append(bench.press("99.99").seq)
    except ArchiveError as error:
        return logged, error
    raise AssertionError("the disk did not fill up")


def test_disk_that_fills_up_loses_no_reading(small_disk, bench_of):
    path = small_disk / "archive.seatproof"
    with Archive.open(path) as archive:
        bench = bench_of(archive)
        assert "MB left" in archive.trouble_ahead()
        logged, error = fill(bench, "x" * 2000)
        assert str(error) == (
            f"The disk that holds {path} is full; make room, then press the gauge again."
        )
        assert type(error) is ArchiveFullError
        assert len(logged) > 10
        before = bench.state
        for _ in range(3):
            with pytest.raises(ArchiveFullError):
                bench.inspection.aim(bench.state.plan.points()[0].key, "y" * 2000)
        assert bench.state is before
        assert archive.events(bench.state.inspection)[-1] == before.last  # it is read still
        # Room is made; the very next press goes on where it stopped.
        subprocess.run(["mount", "-o", "remount,size=8m", str(small_disk)], check=True)
        bench.inspection.aim(bench.state.plan.points()[0].key, "y" * 2000)
        logged.append(bench.press("99.98").seq)
    with Archive.open(path) as archive:
        kept = archive.events(bench.state.inspection)
    check_chain(kept)
    assert {event.seq for event in kept if event.kind == "reading"} == set(logged)


FILLING = """
import resource, signal, sys
from pathlib import Path
from datetime import datetime, UTC
from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.file import Archive
from seatproof.core.record.events import next_event
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
archive = Archive.open(Path(sys.argv[1]))
resource.setrlimit(resource.RLIMIT_FSIZE, (600_000, 600_000))
last = None
try:
    while True:
        following = next_event(inspection="i", last=last, moment=datetime(2024, 5, 17, tzinfo=UTC),
                               actor="a", kind="k", payload={"padding": "x" * 900})
        archive.append(following)
        last = following
except ArchiveError as error:
    print(type(error).__name__, last.seq, archive.events("i")[-1].seq)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGXFSZ"), reason="this system limits no file's size")
def test_file_that_may_not_grow_takes_nothing_more(path, stored):
    done = subprocess.run(
        [sys.executable, "-c", FILLING, str(path)], capture_output=True, text=True, check=True
    )
    name, acknowledged, seen = done.stdout.split()
    # SQLite says of a file that may not grow only that it cannot be written.
    assert name == "ArchiveGoneError"
    assert int(acknowledged) == int(seen) > 10
    assert len(stored()) == int(acknowledged)


# --- files that go away ---------------------------------------------------------------------------


@pytest.mark.skipif(sys.platform == "win32", reason="an open file cannot be moved there")
@pytest.mark.parametrize("what", ["moved", "exchanged", "removed"])
def test_archive_that_is_no_longer_in_its_place_takes_nothing(archive, path, chain, what):
    first, second = chain(2)
    archive.append(first)
    elsewhere = path.with_name("elsewhere")
    if what == "removed":
        path.unlink()
    else:
        path.rename(elsewhere)
    if what == "exchanged":
        path.write_bytes(b"")
    with pytest.raises(ArchiveGoneError, match="was moved, removed or exchanged"):
        archive.append(second)
    assert "nothing more is stored" in archive.trouble_ahead()
    if what == "moved":
        elsewhere.rename(path)
        archive.append(second)
        assert archive.trouble_ahead() == ""


def test_little_room_is_said_beforehand(archive, monkeypatch):
    assert archive.trouble_ahead() == ""
    room = shutil.disk_usage(archive.path.parent)._replace(free=20_000_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: room)
    assert archive.trouble_ahead() == (
        f"The disk that holds {archive.path} has 20 MB left; make room before it is full."
    )


# --- network folders and synchronised ones --------------------------------------------------------


@pytest.mark.parametrize(
    "made",
    [".dropbox.cache/", ".stfolder/", ".sync_4f2a.db", "._sync_4f2a.db", ".csync_journal.db"],
)
def test_folder_that_is_synchronised_is_refused(tmp_path, made):
    mark = tmp_path / made
    mark.mkdir() if made.endswith("/") else mark.touch()
    folder = tmp_path / "shop" / "shafts"
    folder.mkdir(parents=True)
    with pytest.raises(ArchivePlaceError) as caught:
        Archive.open(folder / "archive.seatproof")
    assert str(caught.value) == (
        f"{folder / 'archive.seatproof'} lies in a folder that is synchronised ({tmp_path}), where "
        "an archive in use may be destroyed; keep it in a folder on a disk of this computer, and "
        "send copies there with: seatproof archive backup."
    )
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("name", ["OneDrive", "OneDrive - Brickworks", "Dropbox", "Google Drive"])
def test_folder_named_as_synchronised_ones_are_is_refused(tmp_path, name):
    folder = tmp_path / name / "archives"
    folder.mkdir(parents=True)
    assert synchronised_folder(folder) == tmp_path / name
    assert synchronised_folder(tmp_path) is None


MOUNTS = """\
22 1 254:0 / / rw,relatime shared:1 - ext4 /dev/vda rw
35 22 0:31 / /srv rw shared:7 - tmpfs tmpfs rw
36 22 0:48 / /srv/our\\040files rw shared:9 - nfs4 box:/files rw,vers=4.2
37 22 0:49 /share /mnt/share rw - cifs //box/share rw
38 22 0:50 / /home/ann/cloud rw - fuse.sshfs box: rw
"""
MAC_MOUNTS = """\
/dev/disk3s1s1 on / (apfs, sealed, local, read-only, journaled)
/dev/disk3s5 on /System/Volumes/Data (apfs, local, journaled, nobrowse)
//ann@box/our files on /Volumes/our files (smbfs, nodev, nosuid, mounted by ann)
"""


@pytest.mark.parametrize(
    ("folder", "system"),
    [
        ("/", "ext4"),
        ("/srvx", "ext4"),
        ("/srv/local", "tmpfs"),
        ("/srv/our files/archives", "nfs4"),
        ("/mnt/share", "cifs"),
        ("/home/ann/cloud/deep/er", "fuse.sshfs"),
    ],
)
def test_file_system_of_a_folder_is_that_of_the_nearest_mount(folder, system):
    assert system_at(Path(folder), linux_mounts(MOUNTS)) == system


def test_file_systems_of_a_mac_are_read_too():
    mounts = mac_mounts(MAC_MOUNTS)
    assert system_at(Path("/Volumes/our files/x"), mounts) == "smbfs"
    assert system_at(Path("/Users/ann"), mounts) == "apfs"


def test_network_folder_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(
        place,
        "linux_mounts",
        lambda: [place.Mount("/", "ext4"), place.Mount(str(tmp_path), "nfs4")],
    )
    monkeypatch.setattr(sys, "platform", "linux")
    with pytest.raises(
        ArchivePlaceError, match="lies in a network folder, where an archive in use"
    ):
        Archive.open(tmp_path / "archive.seatproof")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads Linux's table of mounts")
def test_this_computers_own_disk_is_no_network(tmp_path):
    assert system_at(tmp_path.resolve(), linux_mounts()) not in {"", *NETWORK_SYSTEMS}
    assert shared_place(tmp_path / "archive.seatproof") == ""
