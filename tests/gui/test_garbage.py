"""Garbage is found in the window's thread, whoever left it."""

import gc
import threading
import weakref

from seatproof.gui.garbage import GarbageCollector


class Knot:
    """Refers to itself, and notes in which thread it goes."""

    def __init__(self, gone: list[int]) -> None:
        self.itself = self
        weakref.finalize(self, lambda: gone.append(threading.get_ident()))


def test_garbage_of_another_thread_goes_in_the_windows_thread(qtbot):
    gone: list[int] = []
    collector = GarbageCollector()

    def leave_much() -> None:
        for _ in range(2 * gc.get_threshold()[0]):
            Knot(gone)

    thread = threading.Thread(target=leave_much)
    thread.start()
    thread.join()
    try:
        qtbot.waitUntil(lambda: bool(gone))
    finally:
        collector.stop()
    assert set(gone) == {threading.get_ident()}


def test_python_looks_by_itself_again_afterwards(qtbot):
    collector = GarbageCollector()
    assert not gc.isenabled()
    collector.stop()
    assert gc.isenabled()
