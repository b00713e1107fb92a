"""One program writes in an archive: a second one reads and is told so; death frees the lock."""

import signal
import subprocess
import sys
import threading

import pytest

from seatproof.core.archive.errors import ArchiveReadOnlyError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.lock import HeldElsewhereError, Lock

HOLDER = """
import sys, time
from pathlib import Path
from seatproof.core.archive.file import Archive
archive = Archive.open(Path(sys.argv[1]))
print(archive.read_only or "writes", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def holder(path):
    """Start another program that has the archive open for writing."""
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as other:
        assert other.stdout.readline() == "writes\n"
        yield other
        other.kill()


def test_second_program_reads_and_says_so(holder, path, chain):
    with Archive.open(path, busy_timeout_s=0.05) as second:
        assert second.read_only.startswith(
            f"{path} is open in another Seatproof (process {holder.pid} on "
        )
        assert second.read_only.endswith(
            "), so here it can be read only; close it there, then open it again."
        )
        assert second.trouble_ahead() == second.read_only
        assert second.entries() == ()
        for store in (second.append, second.append_register):
            with pytest.raises(ArchiveReadOnlyError) as caught:
                store(chain(1)[0])
            assert str(caught.value) == second.read_only
        with pytest.raises(ArchiveReadOnlyError):
            second.put_attachment(b"a photo")


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no SIGKILL")
def test_lock_dies_with_its_program(holder, path):
    holder.send_signal(signal.SIGKILL)
    holder.wait()
    with Archive.open(path, busy_timeout_s=0.05) as archive:
        assert archive.read_only == ""


def test_lock_is_let_go_at_the_end_and_leaves_no_file(path, chain):
    for event in chain(3):
        with Archive.open(path, busy_timeout_s=0.05) as archive:
            assert archive.read_only == ""
            archive.append(event)
        assert [file.name for file in path.parent.iterdir()] == [path.name]


def test_second_program_waits_a_little_for_the_first_to_close(path):
    first = Archive.open(path)
    closing = threading.Event()

    def close_soon():
        closing.wait()
        lock.release()

    lock = first._lock
    first._lock = None  # the connection belongs to this thread, the lock to nobody in particular
    first.close()
    thread = threading.Thread(target=close_soon)
    thread.start()
    closing.set()
    with Archive.open(path, busy_timeout_s=5) as second:
        assert second.read_only == ""
    thread.join()


def test_reading_takes_no_lock(path, chain):
    Archive.open(path).close()
    with Archive.read(path) as reader, Archive.open(path, busy_timeout_s=0) as writer:
        assert reader.read_only == f"{path} was opened to be read only."
        assert writer.read_only == ""
        (event,) = chain(1)
        writer.append(event)
        assert reader.events("i") == (event,)


def test_lock_taken_while_its_file_goes_away_is_taken_on_the_new_file(path):
    """Two programs once held a lock each, on two files of one name."""
    stale = Lock.take(path, 0)
    path.with_name(f"{path.name}-lock").unlink()
    fresh = Lock.take(path, 0)
    with pytest.raises(HeldElsewhereError):
        Lock.take(path, 0)
    stale.release()  # takes the fresh one's file away, at worst
    fresh.release()
    Lock.take(path, 0).release()


def test_many_starts_at_once_leave_one_writer(path):
    Archive.open(path).close()
    barrier = threading.Barrier(8)
    writers = []

    def start():
        barrier.wait()
        archive = Archive.open(path, busy_timeout_s=0)
        writers.append(archive.read_only == "")
        done.wait()
        archive.close()

    done = threading.Event()
    threads = [threading.Thread(target=start) for _ in range(8)]
    for thread in threads:
        thread.start()
    while len(writers) < 8 and any(thread.is_alive() for thread in threads):
        threads[0].join(0.01)
    done.set()
    for thread in threads:
        thread.join()
    assert writers.count(True) == 1
    assert len(writers) == 8
